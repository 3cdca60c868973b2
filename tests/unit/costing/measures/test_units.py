"""The table of units: worked out again by pint, held against published values, named in every spelling."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from costing.measures.spelling import normalise_measure, registry, unit_named
from costing.measures.units import ALL, CUP_UNITS, FACTORS, UNITS
from tests.each import each

BASE_UNIT = {"mass": "g", "volume": "ml", "count": "each"}
SPELLINGS: dict[str, tuple[str, ...]] = {
    "mg": ("milligram", "milligrams", "milligramme", "milligrammes"),
    "g": ("gr", "gm", "gms", "gram", "grams", "gramme", "grammes"),
    "kg": ("kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"),
    "oz": ("ounce", "ounces", "ozs"),
    "lb": ("lbs", "pound", "pounds"),
    "ml": ("mls", "millilitre", "millilitres", "milliliter", "milliliters"),
    "cl": ("cls", "centilitre", "centilitres", "centiliter", "centiliters"),
    "l": ("lt", "ltr", "ltrs", "litre", "litres", "liter", "liters"),
    "fl_oz": (
        "fl oz",
        "floz",
        "fl ozs",
        "fluid oz",
        "fluid ounce",
        "fluid ounces",
        "fl ounce",
        "fl ounces",
    ),
    "pint": ("pints", "pt", "pts"),
    "quart": ("quarts", "qt", "qts"),
    "gallon": ("gallons", "gal", "gals"),
    "cup": ("cups",),
    "tbsp": ("tbsps", "tbs", "tblsp", "tablespoon", "tablespoons"),
    "tsp": ("tsps", "teaspoon", "teaspoons"),
    "dash": ("dashes",),
    "pinch": ("pinches",),
    "each": ("ea", "pc", "pcs", "piece", "pieces", "unit", "units", "whole"),
    "dozen": ("dozens", "doz", "dz"),
}


@each(("unit", "cup"), sorted(FACTORS))
def test_a_factor_is_what_pint_makes_of_the_definitions(unit: str, cup: str) -> None:
    kind = next(one.kind for one in ALL if one.name == unit)
    defined = registry().Quantity(Fraction(1), f"{cup}_{unit}" if unit in CUP_UNITS else unit)
    assert FACTORS[unit, cup] == Fraction(defined.to(BASE_UNIT[kind]).magnitude)


def test_every_unit_has_a_source() -> None:
    assert all(unit.source for unit in ALL)


def test_every_spelling_is_of_a_unit_and_every_unit_is_its_own() -> None:
    assert set(SPELLINGS) == set(UNITS)
    for unit, spellings in SPELLINGS.items():
        for spelling in (unit, *spellings):
            assert normalise_measure(f"2 {spelling}") == f"2 {unit}"


@pytest.mark.parametrize(
    "name", ["", "us_cup", "metric tsp", "k", "milli", "g*kg", "mass", "litre per g", "stick", "m"]
)
def test_what_is_no_unit_of_a_kitchen_is_none(name: str) -> None:
    assert unit_named(name) is None


def test_the_computation_never_imports_pint() -> None:
    program = "import sys, costing, costing.headless; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_the_service_starts_without_what_few_of_its_processes_need() -> None:
    """Every page's forms are loaded at the start; pint alone takes half a second and waits for the first measure."""
    few = {"pint", "openpyxl", "weasyprint"}
    program = f"import sys, django; django.setup(); import config.urls; sys.exit(bool({few} & set(sys.modules)))"
    environment = {"DJANGO_SETTINGS_MODULE": "tests.settings", "PATH": ""}
    done = subprocess.run([sys.executable, "-c", program], cwd=Path(__file__).parents[4], env=environment, check=False)
    assert done.returncode == 0


def test_the_command_line_never_imports_pint() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "manage.py", "estimate", "--book", "none.json", "none.json"],
        cwd=Path(__file__).parents[4],
        env={"PATH": "", "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    imported = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "costing.headless" in imported
    assert "pint" not in imported
