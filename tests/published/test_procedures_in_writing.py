"""What has to be in writing about time and temperature, against what each text was read to say.

How each was seen stands beside it. The findings are written out here, apart from the product's table.
"""

from catalog.kitchen.duties import RECORD_DUTIES, record_duties
from catalog.kitchen.duty_presenters import RECORD_SOURCES, records_shown
from catalog.kitchen.models import Kitchen

#: code: what is asked, what the text is, how it was read, how many months records are kept.
TEXTS = {
    # US Food Code 3-501.19(A), 16 Del. Admin. Code 3-501.19 (whole): written procedures prepared in advance, kept in
    # the establishment, shown on request; how (B) or (C) is met, and 3-501.14 for food cooked and refrigerated first.
    "us": ("procedure", "adopted", "whole", None),
    # Standard 3.2.2A from 2023-12-08, Cessnock City Council: records or another proof, kept 3 months.
    "au": ("records", "law", "secondary", 3),
    # MPI template food control plan, card on cooling (a copy): each batch, the food, date cooked, time it took to cool.
    "nz": ("records", "template", "secondary", None),
    # N.B. Reg. 2009-138 section 32, laws.gnb.ca (whole): cold equipment twice a day, hot food every 4 h.
    "ca-nb": ("records", "law", "whole", None),
    # B.C. Reg. 210/99 sections 23 and 24 (whole): written food safety procedures, written sanitation procedures.
    "ca-bc": ("procedure", "law", "whole", None),
    # Nothing was found in what was read of these; Article 5 of Regulation (EC) 852/2004 was not opened.
    "ca-qc": ("none", "law", "whole", None),
    "eu": ("none", "law", "excerpt", None),
    "uk": ("none", "law", "excerpt", None),
}


def test_every_text_that_was_read_is_in_the_table_and_none_besides() -> None:
    rows = {code: (duty.asked, duty.kind, duty.seen, duty.keep_months) for code, duty in RECORD_DUTIES.items()}
    assert rows == TEXTS
    assert RECORD_SOURCES.keys() == RECORD_DUTIES.keys()
    assert all(source and "memory" not in source for source in RECORD_SOURCES.values())


def test_each_rule_says_what_it_asks_and_every_text_is_some_rules() -> None:
    reached = {duty.code for code in Kitchen.FoodSafety.values for duty in record_duties(code)}
    assert reached == set(TEXTS)


def test_where_nothing_was_found_the_authority_is_asked() -> None:
    for code in ("eu", "ca-qc", "uk-en", "uk-sc", "uk-cook-chill"):
        (shown,) = records_shown(code)
        assert shown.sentence.startswith(
            "No requirement for a written procedure was found in the text named here. Ask your authority"
        )


def test_australias_records_are_kept_three_months() -> None:
    assert records_shown("au")[0].sentence.endswith("They are kept for 3 months.")
