"""The composition of a mixture, from the compositions of its parts less the loss in making."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor

from costing.chilling.composition import COMPONENTS, MOST_AIR, PROPERTY_TEMPERATURE_C, component, mass_fractions

CODES: frozenset[str] = frozenset({"nothing_known", "loss", "composition", "air"})
"""Codes of what can be wrong with a mixture."""


_ROUNDING = 1e-9


class MixtureError(Exception):
    """An impossible mixture; its `str` is a sentence for people.

    Parameters
    ----------
    code : str
        One of `CODES`.
    message : str
        What is wrong, and what to do.
    """

    def __init__(self, code: str, message: str) -> None:
        self.code, self.message = code, message
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Share:
    """One part of a mixture: an ingredient, or a mixture in its turn.

    Parameters
    ----------
    name : str
        Name for people.
    grams : float
        How much of it goes in [g].
    percent : mapping of str to float, or None
        Component to percent of its mass [%]; None when that is not known.
    air : float
        Share of its volume that is air [1].
    """

    name: str
    grams: float
    percent: Mapping[str, float] | None
    air: float = 0.0

    @property
    def known(self) -> bool:
        """Whether its composition is known."""
        return bool(self.percent) and sum((self.percent or {}).values()) > 0


@dataclass(frozen=True, slots=True)
class Mixture:
    """The result of mixing.

    Parameters
    ----------
    percent : dict of str to float
        Component to percent of the mass of what is known [%]; they add up to 100.
    grams : float
        Mass after the loss, including parts of unknown composition [g].
    air : float
        Share of its volume that is air [1].
    unknown : tuple of str
        Names of the parts left out of `percent`, each once.
    unknown_share : float
        Their share of the mass [1].
    """

    percent: dict[str, float]
    grams: float
    air: float
    unknown: tuple[str, ...]
    unknown_share: float


def mixed(
    shares: Sequence[Share], *, loss: float = 0.0, loss_is_water: bool = True, air: float | None = None
) -> Mixture:
    """Mix parts by mass and subtract the loss.

    What is lost in an oven or a pot is water that leaves as steam; fat, protein, sugar and salt stay. Parts of unknown
    composition are left out and named; they are taken to lose as much of their mass as the rest.

    Parameters
    ----------
    shares : sequence of Share
        The parts. A part of zero grams is ignored.
    loss : float, optional
        Share of the mass that is lost [1], from 0 to below 1.
    loss_is_water : bool, optional
        Whether only water is lost; else every component alike, as with trimmings or what sticks to the bowl.
    air : float or None, optional
        Share of the volume that is air [1]; None: that of the parts by volume, before the loss.

    Returns
    -------
    Mixture
        Its composition, mass and air.

    Raises
    ------
    MixtureError
        When nothing of it is known, more is lost than there is water, or a number is out of bounds.

    References
    ----------
    Mass balance of each component; volumes by the densities of Choi and Okos.
    """
    _check_loss(loss)
    there = [share for share in shares if share.grams > 0]
    known = [share for share in there if share.known]
    whole, of_known = sum(share.grams for share in there), sum(share.grams for share in known)
    if not known:
        names = _listed([share.name for share in there]) or "this mixture"
        raise MixtureError("nothing_known", f"What {names} consists of is not known. Enter its composition.")
    masses = _lossless(known)
    dried = _dried(masses, loss * of_known) if loss_is_water else masses
    remains = sum(dried.values())
    return Mixture(
        {name: 100 * mass / remains for name, mass in dried.items()},
        whole * (1 - loss),
        _checked_air(_air_by_volume(known) if air is None else air),
        tuple(dict.fromkeys(share.name for share in there if not share.known)),
        1 - of_known / whole,
    )


def _fractions(share: Share) -> dict[str, float]:
    try:
        return mass_fractions(share.percent or {})
    except ValueError as error:
        raise MixtureError("composition", f"{share.name}: {error}") from error


def _lossless(known: Sequence[Share]) -> dict[str, float]:
    """Add up the mass of each component [g]."""
    masses = dict.fromkeys(COMPONENTS, 0.0)
    for share in known:
        for name, fraction in _fractions(share).items():
            masses[name] += share.grams * fraction
    return masses


def _dried(masses: Mapping[str, float], lost: float) -> dict[str, float]:
    if lost > masses["water"] * (1 + _ROUNDING):
        most = masses["water"] / sum(masses.values())
        raise MixtureError(
            "loss",
            f"More is lost than there is water: at most {floor(100 * most)}% of the mass can dry away. Enter a smaller"
            " loss, or say that what is lost is all of it alike, as with trimmings.",
        )
    return {**masses, "water": max(0.0, masses["water"] - lost)}


def _check_loss(loss: float) -> None:
    if not 0 <= loss < 1:
        raise MixtureError("loss", f"The loss is {100 * loss:g}%. Enter 0% to less than 100%.")


def _checked_air(air: float) -> float:
    if not 0 <= air <= MOST_AIR:
        raise MixtureError("air", f"The share of air is {100 * air:g}%. Enter 0 to {100 * MOST_AIR:g}% of the volume.")
    return air


def _air_by_volume(known: Sequence[Share]) -> float:
    solid = foamed = 0.0
    for share in known:
        fractions = _fractions(share)
        volume = sum(
            share.grams * part / component(name, "rho", PROPERTY_TEMPERATURE_C) for name, part in fractions.items()
        )
        solid += volume
        foamed += volume / (1 - _checked_air(share.air))
    return max(0.0, 1 - solid / foamed)


def _listed(names: Sequence[str]) -> str:
    each = list(dict.fromkeys(names))
    return " and ".join(part for part in (", ".join(each[:-1]), *each[-1:]) if part)
