"""What shows that something is safe at room temperature: values by table B, an assessment, a label; nothing else."""

import pytest

from catalog.recipes.room_sources import basis_of

BY = "Alder laboratory, May 2026"


@pytest.mark.parametrize(
    ("source", "lacks"),
    [
        ("My grandmother made it so, 1974", "hearsay"),
        ("By the health code of my family, 1974", "hearsay"),
        ("A labor of love, 1974", "basis"),
        ("We asked around in 2026", "basis"),
        ("Letter of the county health department", "basis"),
        ("Letter of the county health department, May 12, 2026", ""),
        ("Alder laboratory, report 7", ""),
        ("health 1", "basis"),
        ("FDA 2022", "basis"),
        ("Will be tested by Alder laboratory, 2027", "hearsay"),
        ("Water activity not yet tested, Alder laboratory, 2026", "hearsay"),
        ("Water activity 0.80 assumed, Odile Marsh, 2026", "hearsay"),
        ("Water activity 84 %, Alder laboratory, 2026", "basis"),
        (f"Water activity .84, {BY}", ""),
        ("By its label: shelf-stable", "label_mixed"),
        ("Water activity 0.80, 2026", "who_when"),
        ("Water activity 0.80, by Alder laboratory", "who_when"),
        ("Water activity 0.80, my grandmother, 1974", "who_when"),
        (f"Water activity below 0.85, {BY}", ""),
        (f"Water activity 0,79 at 25 °C, {BY}", ""),
        (f"aw 0.86, {BY}", "activity"),
        (f"Water activity 0.80 to 0.91, {BY}", "activity"),
        (f"pH 4.19, {BY}", ""),
        (f"pH 4.2, {BY}", "ph"),
        (f"pH 3.9 to 4.7, {BY}", "ph"),
        (f"pH 4.6, water activity 0.92, {BY}", ""),
        (f"pH 4.6, water activity 0.93, {BY}", "both"),
        (f"pH 5.0, water activity 0.90, {BY}", ""),
        (f"pH 5.1, water activity 0.90, {BY}", "both"),
        (f"pH 7, water activity 0.85, {BY}", ""),
        ("aw 0.84, 0.97 and 0.96 in three samples, Tomas Reyl, 2026-11-02", "activity"),
        ("pH 4.1 (lemon juice) and 6.4 (cream), Tomas Reyl, 2026-11-02", "ph"),
        ("pH 4.1 (lemon juice) and 6 (cream), Tomas Reyl, 2026-11-02", "ph"),
        ("pH meter, buffer pH 4.0, reading 6.4, Tomas Reyl, 2026-11-02", "ph"),
        ("pH 4.0 at 20.5 °C, 12.11.26, Tomas Reyl", ""),
        ("pH 4.0 by Tomas Reyl on 2.11.2026", ""),
        ("Laboratory report 4471 of 2026 found it not safe at room temperature", "denies"),
        ("US Food Code 3-501.16 requires 41 F or colder", "denies"),
        (f"aw 0.84, it isn't shelf-stable, {BY}", "denies"),
        ("By its label: shelf-stable until it is opened", "denies"),
        ("Alder laboratory, report no. 7: needs no refrigeration", ""),
        ("County health department, May 12, 2026: non-TCS food", ""),
        (f"Water activity not more than 0.84, {BY}", ""),
    ],
)
def test_each_source_is_held_to_what_it_rests_on(source: str, lacks: str) -> None:
    assert basis_of(source).lacks == lacks


def test_a_label_counts_for_one_thing_that_is_bought() -> None:
    assert basis_of("By its label: store in a cool, dry place", mixed=False).lacks == ""
