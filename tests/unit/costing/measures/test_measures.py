"""Measures in the exact grammar, and as people type them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.measures.figures import NumberFormat, TwoReadings, figure_read
from costing.measures.measure import (
    VULGAR,
    Measure,
    MeasureError,
    NoDensity,
    NoPieceWeight,
    format_measure,
    parse_measure,
)
from costing.measures.spelling import normalise_measure, normalise_pack
from costing.measures.units import UNITS


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("250 g", "250"),
        ("0.5 kg", "1/2"),
        ("1/2 cup", "1/2"),
        ("1 1/2 cup", "3/2"),
        ("½ tsp", "1/2"),
        ("1½ l", "3/2"),
        ("1 ½ l", "3/2"),
        ("3/2 cup", "3/2"),
        ("007 g", "7"),
    ],
)
def test_a_measure_is_read_exactly_and_keeps_its_text(text: str, amount: str) -> None:
    measure = parse_measure(text)
    assert measure.amount == Fraction(amount)
    assert str(measure) == text


@pytest.mark.parametrize(
    ("entered", "exact"),
    [
        ("1 1/2 cups", "1 1/2 cup"),
        ("250g", "250 g"),
        ("½ tsp.", "½ tsp"),
        ("3 tbsp", "3 tbsp"),
        ("2 lbs", "2 lb"),
        ("2 LBS", "2 lb"),
        (" 1,000 G ", "1000 g"),
        (".5 kg", "0.5 kg"),
        ("1 ½ Cups", "1 ½ cup"),
        ("12 fl. oz.", "12 fl_oz"),
        ("1 1⁄2 quarts", "1 1/2 quart"),
        ("3 pcs", "3 each"),
        ("2 Dozen", "2 dozen"),
        ("1 / 2 cup", "1/2 cup"),
        ("1 000 g", "1000 g"),
        ("1\u2019000 g", "1000 g"),
        ("0,25 g", "0.25 g"),
        ("0,125 l", "0.125 l"),
    ],
)
def test_what_people_type_becomes_the_exact_grammar(entered: str, exact: str) -> None:
    assert normalise_measure(entered) == exact


@pytest.mark.parametrize(
    "entered",
    ["", "cup", "12", "3 ladles", "1,50,0 kg", "1,2345 kg", "1 2 3 g", "1/0 cup", "0 g", "-1 g", "g 5", "five g"],
)
def test_what_cannot_be_read_is_reported_in_a_sentence(entered: str) -> None:
    with pytest.raises(MeasureError, match=r"[A-Z“].*\.$"):
        normalise_measure(entered)


@given(st.fractions(Fraction(1, 1000), 10**6, max_denominator=10**4), st.sampled_from(UNITS))
def test_any_measure_written_is_read_back_the_same(amount: Fraction, unit: str) -> None:
    measure = Measure(amount, unit)
    assert parse_measure(format_measure(measure)) == measure
    assert normalise_measure(measure.text) == measure.text


@given(st.text(max_size=12) | st.from_regex(r"[0-9 /.½,]{0,6} ?[a-z_]{0,6}", fullmatch=True))
def test_any_text_is_a_measure_or_a_sentence(text: str) -> None:
    refusal, exact = "", ""
    try:
        exact = normalise_measure(text)
    except MeasureError as error:
        refusal = str(error)
    assert refusal.endswith(".") if refusal else parse_measure(exact).amount > 0


def test_every_vulgar_fraction_is_its_value() -> None:
    import unicodedata

    for character, value in VULGAR.items():
        assert abs(Fraction(unicodedata.numeric(character)) - value) < Fraction(1, 10**6)


def test_a_volume_needs_a_density_and_a_count_a_piece_weight() -> None:
    assert parse_measure("2 tbsp").grams("metric", density=Fraction(2)) == 60
    assert parse_measure("1/2 dozen").grams(grams_each=Fraction(57)) == 342
    with pytest.raises(NoDensity):
        parse_measure("2 tbsp").grams()
    with pytest.raises(NoPieceWeight):
        parse_measure("2 each").grams(density=Fraction(1))


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(MeasureError):
        Measure(Fraction(1), "stick")


@pytest.mark.parametrize(
    ("entered", "exact"),
    [
        ("1 c", "1 cup"), ("1 1/2 c.", "1 1/2 cup"), ("2 T", "2 tbsp"), ("2 t", "2 tsp"), ("1 T.", "1 tbsp"),
        ("8 oz by volume", "8 fl_oz"), ("8 oz. (vol.)", "8 fl_oz"), ("1 lb 4 oz", "20 oz"), ("1 kg 250 g", "1250 g"),
        ("2 cups and 2 tbsp", "34 tbsp"), ("1 lb, 2 oz", "18 oz"), ("8 fl. oz.", "8 fl_oz"), ("2 ea", "2 each"),
        ("1 C", "1 cup"), ("1½ c", "1½ cup"), ("8 oz wt", "8 oz"), ("8 oz. (weight)", "8 oz"),
        ("2 lbs by weight", "2 lb"), ("1-1/2 cups", "1 1/2 cup"), ("1-½ cup", "1 ½ cup"), ("8-oz", "8 oz"),
    ],
)  # fmt: skip
def test_what_cooks_write_short_is_read(entered: str, exact: str) -> None:
    assert normalise_measure(entered) == exact


@pytest.mark.parametrize("entered", ["1 stick", "2 sticks", "1 lb 4 cups", "1 stick 2 oz", "3 cs"])
def test_what_is_no_measure_by_itself_is_asked_about(entered: str) -> None:
    with pytest.raises(MeasureError):
        normalise_measure(entered)


@pytest.mark.parametrize(
    ("entered", "reason"),
    [
        ("#10 can", "can"), ("1 #10 can", "can"), ("2 #2.5 cans", "can"), ("1 can", "holder"), ("2 pkg.", "holder"),
        ("1 large box", "holder"), ("1 stick", "stick"),
    ],
)  # fmt: skip
def test_what_something_is_sold_in_is_asked_about_with_the_fix(entered: str, reason: str) -> None:
    with pytest.raises(MeasureError) as refused:
        normalise_measure(entered)
    assert refused.value.reason == reason
    assert "Write" in str(refused.value)


@pytest.mark.parametrize(
    ("entered", "exact"),
    [
        ("12/1 qt", "12 quart"), ("36/1 lb", "36 lb"), ("6/5 lb", "30 lb"), ("12 x 1 qt", "12 quart"),
        ("4 x 1/2 gallon", "2 gallon"),
        ("6 x 1 1/2 qt", "9 quart"), ("140 ct", "140 each"), ("100 count", "100 each"),
        ("4 × 5 lb", "20 lb"), ("4x2.5 kg", "10 kg"), ("50 lb bag", "50 lb"), ("5 gal. pail", "5 gallon"),
        ("50#", "50 lb"), ("1/2 gallon", "1/2 gallon"), ("3/4 lb", "3/4 lb"), ("1 1/2 lb", "1 1/2 lb"),
        ("15 dz", "15 dozen"), ("15 dozen case", "15 dozen"), ("2/1.5 l", "3 l"), ("1 kg", "1 kg"),
        ("100 each", "100 each"), ("4/5 LB", "20 lb"), ("6/16 OZ", "96 oz"), ("6/500 G", "3000 g"),
        ("9/.5 GAL", "4.5 gallon"), ("2/4 lb", "8 lb"), ("1/5 lb", "5 lb"), ("2/5 L", "10 l"), ("4x5 lb", "20 lb"),
        ("1000 ct/cs", "1000 each"), ("30 dz/cs", "30 dozen"), ("6/5 lb per case", "30 lb"), ("50 lb/bag", "50 lb"),
        ("case of 12 x 1 qt", "12 quart"), ("10 kg Eimer", "10 kg"), ("5 kg Beutel", "5 kg"), ("1 l Flasche", "1 l"),
        ("400 g Dose", "400 g"), ("10 l Kanister", "10 l"), ("5 kg Netz", "5 kg"), ("25 kg Sack", "25 kg"),
        ("6 x 1 l Flaschen", "6 l"), ("12 St.", "12 each"), ("5 lb tub", "5 lb"), ("2 l can", "2 l"),
        ("9 oz jar", "9 oz"),
    ],
)  # fmt: skip
def test_packs_in_a_pack_are_multiplied_out(entered: str, exact: str) -> None:
    assert normalise_pack(entered) == exact


@pytest.mark.parametrize("entered", ["1000/cs", "1,000 per case", "1000/ctn.", "case of 1000", "1000"])
def test_so_many_in_a_case_are_pieces_of_what_is_counted_and_asked_about_of_all_else(entered: str) -> None:
    assert normalise_pack(entered, counted=True) == "1000 each"
    with pytest.raises(MeasureError):
        normalise_pack(entered)


@pytest.mark.parametrize("entered", ["6/#10", "6/#10 cans", "1 case", "1 cs", "12-1 qt", "0/5 lb", "5/0 lb", "12/ qt"])
def test_a_pack_that_can_be_read_two_ways_is_asked_about(entered: str) -> None:
    with pytest.raises(MeasureError):
        normalise_pack(entered)


@pytest.mark.parametrize("entered", ["1/2 gal", "3/4 lb", "1/8 oz", "1/3 lb", "1/4 lb"])
def test_a_suppliers_list_can_mean_a_usual_fraction_as_so_many_packs(entered: str) -> None:
    with pytest.raises(MeasureError, match="can be a fraction or so many packs"):
        normalise_pack(entered, listed=True)


@pytest.mark.parametrize("entered", ["1-2 T", "1 to 2 cups", "1 – 2 tsp"])
def test_a_range_is_named_as_one(entered: str) -> None:
    with pytest.raises(MeasureError, match=r"is a range\. Write one amount"):
        normalise_measure(entered)


def test_a_sentence_for_a_screen_has_units_as_people_write_them() -> None:
    with pytest.raises(MeasureError) as refused:
        normalise_measure("3 blops")
    assert "fl oz" in refused.value.on_screen()
    assert "_" not in refused.value.on_screen()


@given(st.text(alphabet="0123456789/x# .lbqtozgcase", max_size=24))
def test_any_text_is_a_pack_or_a_sentence(text: str) -> None:
    try:
        exact = normalise_pack(text)
    except MeasureError:
        return
    assert parse_measure(exact).amount > 0


GERMAN, FRENCH, SWISS = NumberFormat(",", "."), NumberFormat(",", " "), NumberFormat(".", "'")


@pytest.mark.parametrize(
    ("entered", "written", "exact"),
    [
        ("1.000 g", GERMAN, "1000 g"),
        ("1.250,5 g", GERMAN, "1250.5 g"),
        ("2.500 ml", GERMAN, "2500 ml"),
        ("1,5 kg", GERMAN, "1.5 kg"),
        ("1,125 kg", GERMAN, "1.125 kg"),
        ("1.5 kg", GERMAN, "1.5 kg"),
        ("0.845 kg", GERMAN, "0.845 kg"),
        ("1.1250 kg", GERMAN, "1.1250 kg"),
        ("1 250,5 g", FRENCH, "1250.5 g"),
        ("1\u202f250,5 g", FRENCH, "1250.5 g"),
        ("1’250.5 g", SWISS, "1250.5 g"),
        ("1 1/2 l", GERMAN, "1 1/2 l"),
    ],
)
def test_an_amount_is_read_by_the_numbers_of_its_country(entered: str, written: NumberFormat, exact: str) -> None:
    assert normalise_measure(entered, written) == exact


@pytest.mark.parametrize(
    ("entered", "written", "readings"),
    [
        ("1,5 kg", NumberFormat(), ("1.5 kg", "15 kg")),
        ("1.000 g", FRENCH, ("1000 g", "1 g")),
        ("1.250 g", FRENCH, ("1250 g", "1,25 g")),
        ("1,000 g", SWISS, ("1000 g", "1 g")),
    ],
)
def test_an_amount_with_two_readings_names_both(entered: str, written: NumberFormat, readings: tuple[str, str]) -> None:
    with pytest.raises(MeasureError) as refused:
        normalise_measure(entered, written)
    first, second = readings
    assert str(refused.value) == f"“{entered}” can be read as {first} or as {second}. Write one of these."


def test_a_pack_is_read_by_the_numbers_of_its_country() -> None:
    assert normalise_pack("1.000 g", listed=True, written=GERMAN) == "1000 g"
    assert normalise_pack("12 x 1,5 l", listed=True, written=GERMAN) == "18 l"
    assert normalise_pack("1 000 g", listed=True, written=GERMAN) == "1000 g"
    assert normalise_pack("4 x 1.000 g", listed=True, written=GERMAN) == "4000 g"
    with pytest.raises(MeasureError, match="12500 g or as 12 x 500 g"):
        normalise_pack("12 500 g", listed=True, written=GERMAN)


@given(st.text(alphabet="0123456789.,' ", max_size=12), st.sampled_from([NumberFormat(), GERMAN, FRENCH, SWISS]))
def test_a_number_is_exact_none_or_two_readings_and_never_loses_a_digit(text: str, written: NumberFormat) -> None:
    readings, exact = (), None
    try:
        exact = figure_read(text, written)
    except TwoReadings as two:
        readings = (two.first, two.second)
    assert len({figure_read(reading, written) for reading in readings} - {None}) == len(readings)
    if exact is not None:
        digits = "".join(sign for sign in text if sign.isdigit())
        assert exact.replace(".", "").lstrip("0") == digits.lstrip("0")


@pytest.mark.parametrize(
    ("entered", "exact"),
    [("3 Stück", "3 each"), ("2 EL", "2 tbsp"), ("1/2 TL", "1/2 tsp"), ("2 dl", "200 ml"), ("2.5 dl", "250 ml"),
     ("1 Prise", "1 pinch"), ("250 Gramm", "250 g")],
)  # fmt: skip
def test_units_of_german_recipes_are_read(entered: str, exact: str) -> None:
    assert normalise_measure(entered) == exact


def test_a_german_packet_is_asked_about() -> None:
    with pytest.raises(MeasureError, match="does not say how much is in it"):
        normalise_measure("1 Pck.")
