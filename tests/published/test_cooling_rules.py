"""The table of cooling rules against the figures each of them prints; and walls of molds against a standard's table.

How each was seen stands beside it. The figures are written out here, apart from the product's table.
"""

from dataclasses import dataclass, field

import pytest

from costing.chilling import PROFILES, WALLS
from costing.chilling.profiles import celsius


@dataclass(frozen=True)
class Text:
    """What a text prints: legs of (from °C, to °C, minutes), the warmest cold food [°C], times out, and its nature.

    A time out is (minutes, warmest °C, what it is, whether it has to be less, below what it may go back into the cold).
    """

    legs: list[tuple[float | None, float, float]]
    cold: float | None
    kind: str
    seen: str
    out: list[tuple[float, float | None, str, bool, float | None]] = field(default_factory=list)


#: US Food Code 3-501.19(B) and (C), 16 Del. Admin. Code 3-501.19 (whole; of (C) the beginning): up to 4 hours, or up to
#: 6 hours never above 70 °F.
US_OUT: list[tuple[float, float | None, str, bool, float | None]] = [
    (4 * 60, None, "rule", False, None),
    (6 * 60, celsius(70), "rule", False, None),
]
#: FSANZ's page on the 2-hour/4-hour rule, read whole: under 2 hours use or back into the cold, 2 to 4 hours use, 4 or
#: more discard; an alternative method under Standard 3.2.2 clause 25.
FSANZ: list[tuple[float, float | None, str, bool, float | None]] = [(4 * 60, None, "accepted", True, 2 * 60)]
#: NISR 2006/3 Schedule 4 paragraph 5, read whole on legislation.gov.uk: a defence; for service or on display, a period
#: of less than four hours, not so kept before. Wales is said to read alike; England's paragraph was not opened.
DEFENCE: list[tuple[float, float | None, str, bool, float | None]] = [(4 * 60, None, "defence", True, None)]

TEXTS = {
    # US Food Code 3-501.14(A), 3-501.16, as enacted in 16 Del. Admin. Code: 135 °F to 70 °F within 2 hours, and within
    # a total of 6 hours to 41 °F (read in a stored copy).
    "us-cooked": Text(
        [(celsius(135), celsius(70), 2 * 60), (celsius(135), celsius(41), 6 * 60)],
        celsius(41),
        "adopted",
        "whole",
        US_OUT,
    ),
    # The same, 3-501.14(B): made from ingredients at ambient temperature, to 41 °F within 4 hours.
    "us-ambient": Text([(None, celsius(41), 4 * 60)], celsius(41), "adopted", "whole", US_OUT),
    # FSANZ Standard 3.2.2 clause 7(3): 60 to 21 °C within 2 hours, to 5 °C within a further 4 (Access Canberra's page).
    # Chapter 3 of the Code is in force in Australia only (FSANZ fact sheet).
    "au": Text([(60, 21, 2 * 60), (21, 5, 4 * 60)], 5, "law", "excerpt", FSANZ),
    # MPI template food control plan S39-00002, card on cooling: 60 °C to room temperature or 21 °C, whichever is the
    # colder, in under 2 hours; from there to 5 °C in under 4 (a copy on a third party's page). No time for display was
    # found.
    "nz": Text([(60, 21, 2 * 60), (21, 5, 4 * 60)], 5, "template", "secondary"),
    # N.B. Reg. 2009-138 section 27(1)(b), (c), laws.gnb.ca, version of 2020-08-26: 60 °C or more to 20 °C within 2
    # hours and to 4 °C within 6 hours: a total.
    "ca-nb": Text([(60, 20, 2 * 60), (60, 4, 6 * 60)], 4, "law", "whole"),
    # Quebec P-29, r. 1, section 1.4.1, LégisQuébec: without delay, 4 °C or less; no times.
    "ca-qc": Text([], 4, "law", "whole"),
    # Food Retail and Food Services Code, 2016: 60 to 20 °C within 2 hours, 20 to 4 °C within 4 (secondary pages only; a
    # model code, not law by itself).
    "ca": Text([(60, 20, 2 * 60), (20, 4, 4 * 60)], 4, "model", "secondary"),
    # Regulation (EC) 852/2004 Annex II chapter IX point 5 (a copy): no figures; limited periods out of the cold.
    "eu": Text([], None, "law", "excerpt"),
    # SI 2013/2996 Schedule 4 paragraph 2, as made (legislation.gov.uk): 8 °C. Schedule 4, not 3.
    "uk-en": Text([], 8, "law", "whole"),
    # WSI 2006/31 Schedule 4 paragraphs 1 to 3: 8 °C.
    "uk-wa": Text([], 8, "law", "excerpt", DEFENCE),
    # NISR 2006/3 Schedule 4: 8 °C, as its paragraph 5 repeats it.
    "uk-ni": Text([], 8, "law", "excerpt", DEFENCE),
    # SSI 2006/3 Schedule 4 paragraph 2, as made: a refrigerator, a refrigerating chamber or a cool ventilated place. No
    # 8 °C, and no time.
    "uk-sc": Text([], None, "law", "whole"),
    # UK cook-chill guideline: a layer of 50 mm from 70 to 3 °C within 90 minutes (as quoted on a stored page).
    "uk-cook-chill": Text([(70, 3, 90)], 3, "guidance", "secondary"),
}
#: What was one choice once -> the texts that it stood for.
DIVIDED = {
    "anz": ("au", "nz"),
    "uk": ("uk-en", "uk-wa", "uk-ni", "uk-sc"),
    "ca": ("ca-nb", "ca-qc"),
}


def test_every_text_that_was_read_is_a_rule_and_every_rule_is_a_text_or_was_divided() -> None:
    assert set(PROFILES) == set(TEXTS) | set(DIVIDED)
    assert {code: rule.divided_into for code, rule in PROFILES.items() if rule.divided_into} == DIVIDED


@pytest.mark.parametrize("code", TEXTS)
def test_a_rule_has_the_temperatures_and_minutes_its_text_prints(code: str) -> None:
    text, rule = TEXTS[code], PROFILES[code]
    assert [(leg.from_c, leg.to_c, leg.minutes) for leg in rule.legs] == text.legs
    assert rule.cold_c == text.cold
    assert [(out.minutes, out.warmest_c, out.kind, out.under, out.back_minutes) for out in rule.times_out] == text.out


@pytest.mark.parametrize("code", TEXTS)
def test_a_rule_says_whether_it_is_law_and_how_it_was_read(code: str) -> None:
    assert (PROFILES[code].kind, PROFILES[code].seen) == (TEXTS[code].kind, TEXTS[code].seen)


def test_nothing_stands_on_memory() -> None:
    rules = PROFILES.values()
    written = [
        *(rule.source + rule.remark for rule in rules),
        *(out.source for rule in rules for out in rule.times_out),
    ]
    assert not [words for words in written if "memory" in words]
    assert all(rule.source for rule in rules)


def test_a_rule_that_was_divided_has_the_strictest_limits_of_its_parts() -> None:
    """Every limit of every part is kept by what keeps the rule they were divided from."""
    for code, parts in DIVIDED.items():
        whole = PROFILES[code]
        for part in (PROFILES[each] for each in parts):
            assert part.cold_c is None or (whole.cold_c is not None and whole.cold_c <= part.cold_c)
            assert part.most_out is None or (whole.most_out is not None and whole.most_out <= part.most_out)
            assert part.or_room_c is None or part.or_room_c == whole.or_room_c
            for leg in part.legs:
                inside = [one for one in whole.legs if (one.to_c, one.minutes) == (leg.to_c, leg.minutes)]
                # New Brunswick's 6 hours begin at 60 °C: the model code's 2 and 4 hours end within them.
                in_all = whole.legs[-1].to_c <= leg.to_c and sum(one.minutes for one in whole.legs) <= leg.minutes
                assert inside or in_all


def test_scotland_has_no_eight_degrees_and_new_zealand_no_four_hours() -> None:
    assert [PROFILES[code].cold_c for code in ("uk-en", "uk-wa", "uk-ni", "uk-sc")] == [8, 8, 8, None]
    assert [PROFILES[code].most_out for code in ("au", "nz")] == [240, None]


def test_where_a_text_was_not_read_the_rule_says_so_and_refers_to_the_authority() -> None:
    """Looked for again and not found: England's Schedule 4 paragraphs 3 to 7; 852/2004 Annex II chapter IX point 6."""
    assert "Paragraphs 3 to 7 were not read" in PROFILES["uk-en"].remark
    assert "point 6, on cooling, was not seen" in PROFILES["eu"].source
    for code in ("uk-en", "eu"):
        assert "Ask your authority, and enter its limit" in PROFILES[code].remark
        assert PROFILES[code].times_out == ()


def test_frances_canteens_are_named_with_the_figures_of_their_text() -> None:
    """Arrêté du 21 décembre 2009 (AGRG0927709A) Annexe IV, points 1 and 2, read whole in a public copy of the law
    (etalab/lois-non-codifiees-et-reglements-francais): the core no more than 2 hours between 63 and 10 °C; held at 0 to
    3 °C; taken out at most 2 hours before it is eaten, at 10 °C or colder. Article 2 d): canteens, not caterers."""
    remark = PROFILES["eu"].remark
    for words in (
        "canteens",
        "63 to 10 °C within 2 hours",
        "0 to 3 °C",
        "within 2 hours of leaving",
        "10 °C or colder",
    ):
        assert words in remark


def test_states_differ_from_the_food_code_as_their_texts_do() -> None:
    """Washington, WAC 246-215-03530 (read whole), and Indiana, 410 IAC 7-24-193 (read whole in a copy):
    4 hours and no 6; in Indiana "approved by the regulatory authority prior to use"."""
    for code in ("us-cooked", "us-ambient"):
        remark = PROFILES[code].remark
        assert "Washington’s text of 2009 and Indiana’s (410 IAC 7-24-193) have the 4 hours only" in remark
        assert "approves the written procedures before they are used" in remark


def test_fahrenheit_is_that_of_nist() -> None:
    """NIST SP 811 B.9: t/°C = (t/°F − 32) / 1.8; 41 °F is exactly 5 °C."""
    assert celsius(41) == 5
    assert celsius(135) == pytest.approx((135 - 32) / 1.8)


#: EN ISO 10077-2:2003, table of conductivities [W/m K], read in a stored copy of the table.
EN_ISO_10077 = {"metal": 50.0, "glass": 1.0, "silicone": 0.35, "plastic": 0.22}


@pytest.mark.parametrize(("wall", "agrees"), [("metal", 0.0), ("glass", 0.0), ("plastic", 0.1)])
def test_a_molds_wall_conducts_as_the_standard_says(wall: str, agrees: float) -> None:
    """Steel 50, soda-lime glass 1.0, solid polypropylene 0.22; plastic is several things, so a tenth is allowed."""
    assert WALLS[wall].conductivity == pytest.approx(EN_ISO_10077[wall], rel=agrees)


@pytest.mark.parametrize("wall", EN_ISO_10077)
def test_no_wall_lets_more_cold_through_than_the_standard_says(wall: str) -> None:
    """Pure silicone has 0.35 there; ours is less, so that a mold of it is not promised to cool sooner than it does."""
    assert EN_ISO_10077[wall] / 2 < WALLS[wall].conductivity <= EN_ISO_10077[wall]


def test_no_card_lets_more_cold_through_than_a_table_says() -> None:
    """Cardboard, about 0.14 W/m K at 0 to 20 °C: a table of non-metallic solids for pipework, read in a stored copy."""
    assert 0.14 / 2 < WALLS["card"].conductivity <= 0.14
