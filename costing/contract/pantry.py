"""What the kitchen buys, in the Book: ingredients with their parts, packs and composition, and suppliers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from costing.measures.measure import CupKind, Measure

ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Composition:
    """What an ingredient consists of [percent by mass]; carbohydrate without fibre."""

    water: Fraction
    protein: Fraction
    fat: Fraction
    carb: Fraction
    fibre: Fraction
    ash: Fraction


@dataclass(frozen=True, slots=True)
class Supplier:
    """Somebody the kitchen buys from."""

    name: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A share of the as-purchased mass of an ingredient, such as juice or yolk.

    Parameters
    ----------
    code : str
        Code, unique among the ingredient's parts.
    share : Fraction
        Its share of the as-purchased mass [share].
    density : Fraction, optional
        Density [g/mL]; the ingredient's where it is None.
    grams_each : Fraction, optional
        Mass of one piece [g].
    joint : str, optional
        Name of the group of parts that come from the same piece.
    ndb : str
        Its own row of the food table; the ingredient's where it is empty.
    """

    code: str
    share: Fraction
    density: Fraction | None = None
    grams_each: Fraction | None = None
    joint: str | None = None
    ndb: str = ""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack as bought: size, dated price [currency], and whether it is the preferred one."""

    size: Measure
    price: Fraction
    start: date
    end: date | None = None
    supplier: str | None = None
    preferred: bool = False

    def in_force(self, day: date) -> bool:
        """Return whether the price is in force on a costing date.

        Parameters
        ----------
        day : date
            Costing date; the last day of the price counts.
        """
        return self.start <= day and (self.end is None or day <= self.end)


@dataclass(frozen=True, slots=True)
class Ingredient:
    """What is bought.

    Parameters
    ----------
    code, name : str
        Code, and name for people.
    base : {'g', 'each'}
        Whether it is bought by mass or only counted.
    density : Fraction, optional
        Density [g/mL].
    grams_each : Fraction, optional
        Mass of one piece [g].
    yield_ : Fraction
        What is ready to use of what is purchased [share].
    charge : {'used', 'packs'}
        Whether an order is charged what it uses, or the whole packs bought for it.
    parts : tuple of Part
        Parts it can be separated into.
    packs : tuple of Pack
        Packs it is bought in.
    allergens : tuple of str
        Codes of the allergens in it.
    allergen_answers : tuple of (str, str)
        Code -> `may`, `free` or `contains`, sorted by code: what else was asked about it and answered. What is neither
        here nor among `allergens` was not checked yet.
    allergen_names : tuple of (str, str)
        Code -> the species or kind, such as shrimp for crustaceans, where a label has to name it; sorted by code.
    touches_food : bool
        False for packaging that never touches the food.
    label_list : str
        The list of ingredients on its label, where somebody entered it.
    free_by : str
        How it is known what it is free of, with the name that this is about: `label:`, `own:` or `asked:` and the name;
        empty where nobody said.
    source : str
        Where its figures come from.
    ndb : str
        Its row of the food table.
    composition : Composition, optional
        What the kitchen stated it consists of.
    note : str
        A free note.
    active : bool
        False for what is no longer bought.
    """

    code: str
    name: str
    base: Literal["g", "each"] = "g"
    density: Fraction | None = None
    grams_each: Fraction | None = None
    yield_: Fraction = ONE
    charge: Literal["used", "packs"] = "used"
    parts: tuple[Part, ...] = ()
    packs: tuple[Pack, ...] = ()
    allergens: tuple[str, ...] = ()
    allergen_answers: tuple[tuple[str, str], ...] = ()
    allergen_names: tuple[tuple[str, str], ...] = ()
    touches_food: bool = True
    label_list: str = ""
    free_by: str = ""
    source: str = ""
    ndb: str = ""
    composition: Composition | None = None
    note: str = ""
    active: bool = True

    def part(self, code: str) -> Part:
        """Return a part by its code.

        Parameters
        ----------
        code : str
            Code of the part.

        Raises
        ------
        KeyError
            When the ingredient has no such part.
        """
        for part in self.parts:
            if part.code == code:
                return part
        raise KeyError(code)

    def amount_of(self, measure: Measure, cup: CupKind, part: str | None = None) -> Fraction:
        """Convert a measure of this ingredient, or of a part of it, to its base unit.

        Parameters
        ----------
        measure : Measure
            What is measured.
        cup : {'us', 'metric'}
            The kitchen's cup.
        part : str, optional
            Code of the part that is measured.

        Returns
        -------
        Fraction
            [g], or [each] for an ingredient that is only counted.

        Raises
        ------
        MeasureError
            When density or piece weight is missing.
        """
        if self.base == "each":
            return measure.in_base(cup)
        if part is None:
            return measure.grams(cup, self.density, self.grams_each)
        piece = self.part(part)
        density = self.density if piece.density is None else piece.density
        return measure.grams(cup, density, piece.grams_each)
