"""Amounts as a cook takes them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.display.handy import handy_measure
from catalog.web.display.measures import measure_text
from costing.measures.measure import Measure, parse_measure
from costing.measures.units import FACTORS

CUPS = {"cups": "cup", "cup": "cup", "tbsp": "tbsp", "tsp": "tsp"}
VULGAR = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}


def read_spoons(text: str, cup: str) -> Fraction:
    """Read “about 2 ¼ cups + 2 tbsp + ½ tsp” back into millilitres, by hand."""
    total = Fraction(0)
    for part in text.removeprefix("about ").split(" + "):
        *numbers, unit = part.split()
        amount = sum((VULGAR[n] if n in VULGAR else Fraction(n) for n in numbers), Fraction(0))
        total += amount * FACTORS[CUPS[unit], cup]  # type: ignore[index]
    return total


@given(
    st.fractions(min_value=Fraction(1, 4), max_value=400),
    st.sampled_from(["cup", "tbsp", "tsp", "fl_oz", "pint", "quart"]),
    st.sampled_from(["us", "metric"]),
)
def test_spoons_and_cups_add_up_in_two_measures_at_most(amount: Fraction, unit: str, cup: str) -> None:
    measure = Measure(amount, unit)
    text = handy_measure(measure, cup, None, pounds=True)  # type: ignore[arg-type]
    exact = measure.in_base(cup)  # type: ignore[arg-type]
    read = read_spoons(text, cup)
    assert abs(read - exact) <= max(FACTORS["tsp", cup] / 8, exact / 50)  # type: ignore[index]
    assert text.count(" + ") <= 1
    assert text.startswith("about ") is (read != exact)


@pytest.mark.parametrize(
    ("measure", "pounds", "expected"),
    [
        ("1 cup", True, "1 cup"),
        ("1/4 cup", True, "¼ cup"),
        ("16 tbsp", True, "1 cup"),
        ("4 tbsp", False, "¼ cup"),
        ("7 tsp", True, "2 tbsp + 1 tsp"),
        ("1/64 tsp", True, "under ¼ tsp"),
        ("2 lb", True, "2 lb"),
        ("20 oz", True, "1 lb 4 oz"),
        ("1234 g", False, "1.234 kg"),
        ("1234.4 g", False, "about 1.234 kg"),
        ("2.34 g", False, "about 2.3 g"),
        ("5 g", True, "0.18 oz (5 g)"),
        ("2.34 g", True, "0.08 oz (about 2.3 g)"),
        ("7/3 each", True, "about 2 ¼"),
        ("2 19/32 cup", True, "about 2 ½ cups + 2 tbsp"),
        ("10 1/8 cup", True, "about 10 ¼ cups"),
        ("0.7 cup", True, "about ½ cup + 3 tbsp"),
        ("17 1/4 tsp", True, "5 tbsp + 2 ¼ tsp"),
        ("500 ml", True, "500 ml"),
    ],
)
def test_amounts_are_written_as_a_cook_takes_them(measure: str, pounds: bool, expected: str) -> None:
    read = parse_measure(measure)
    grams = read.in_base() if read.kind == "mass" else None
    assert handy_measure(read, "us", grams, pounds=pounds) == expected


def test_a_part_of_an_egg_beyond_two_is_weighed() -> None:
    yolks = parse_measure("10.75 each")
    assert handy_measure(yolks, "us", Fraction(183), pounds=False) == "11 (183 g of them)"
    assert handy_measure(parse_measure("1.5 each"), "us", Fraction(75), pounds=False) == "1 ½"
    assert handy_measure(parse_measure("12 each"), "us", Fraction(600), pounds=False) == "12"


def test_a_german_kitchen_reads_a_decimal_comma() -> None:
    with display.use(DisplaySettings(locale="de_DE", measures="metric")):
        assert handy_measure(parse_measure("1279 g"), "metric", Fraction(1279), pounds=False) == "1,279 kg"
        assert handy_measure(parse_measure("2.5 g"), "metric", Fraction(5, 2), pounds=False) == "2,5 g"
        assert measure_text(parse_measure("2.1 kg")) == "2,1 kg"


@pytest.mark.parametrize(
    ("stored", "written"), [("1 1/2 cup", "1 ½ cups"), ("0.25 tsp", "¼ tsp"), ("12 each", "12"), ("3 fl_oz", "3 fl oz")]
)
def test_stored_measures_read_naturally(stored: str, written: str) -> None:
    assert measure_text(parse_measure(stored)) == written
