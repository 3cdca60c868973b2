"""Food-safety profiles: how fast food has to get cold, as data with sources, and the check against them.

A profile is a list of legs, each from one temperature to another within a time. The Food Code's second leg runs from
57 °C again, so its six hours include those of the first leg; Australia's runs from 21 °C, for a further four hours.
Units: the Food Code writes 57 °C (135 °F), 21 °C (70 °F) and 5 °C (41 °F), and only the last pair is equal. The
Fahrenheit figures are the limits here, because they are what its inspectors' thermometers read: the clock starts at
57.22 °C, a little before 57 °C, and the first leg ends at 21.11 °C. Elsewhere the Celsius figures are the limits.

The profiles decide nothing about a food; whether it needs time and temperature control is for its maker and the local
authority to say. The law in force at the place, not this table, binds a kitchen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


def celsius(fahrenheit: float) -> float:
    """Convert degrees Fahrenheit to degrees Celsius.

    Parameters
    ----------
    fahrenheit : float
        Temperature [°F].

    Returns
    -------
    float
        Temperature [°C].
    """
    return (fahrenheit - 32) * 5 / 9


HOT_C, LUKEWARM_C, COLD_C = celsius(135), celsius(70), celsius(41)
"""The Food Code's limits [°C]: 57.22, 21.11, 5."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One part of a profile.

    Parameters
    ----------
    from_c : float or None
        Where its clock starts [°C]; None at minute 0.
    to_c : float
        Where it ends [°C].
    minutes : float
        Within how long [min].
    """

    from_c: float | None
    to_c: float
    minutes: float


@dataclass(frozen=True, slots=True)
class TimeOutClause:
    """A time limit out of the cold, after which food is discarded.

    Parameters
    ----------
    minutes : float
        How long [min].
    warmest_c : float or None
        The highest temperature its warmest part may reach in that time [°C]; None when the rule states none.
    source : str
        Where it is printed, and its other conditions.
    """

    minutes: float
    warmest_c: float | None
    source: str


@dataclass(frozen=True, slots=True)
class Profile:
    """A rule for cooling food.

    Parameters
    ----------
    code : str
        A short name.
    title : str
        What it is, for people.
    legs : tuple of Leg
        Its parts; none when the rule states no times.
    cold_c : float or None
        The warmest that cold food may be held at [°C].
    source : str
        Where it is printed, and how it was read.
    binding : bool
        Whether it is law or code somewhere; guidance otherwise.
    times_out : tuple of TimeOutClause
        How long cold food may be out of the cold instead of being kept cold; none when it states no such time.
    """

    code: str
    title: str
    legs: tuple[Leg, ...]
    cold_c: float | None
    source: str
    binding: bool = True
    times_out: tuple[TimeOutClause, ...] = ()


_US_OUT = (
    TimeOutClause(
        240, None, "US Food Code 3-501.19(B), as enacted in 16 Del. Admin. Code 3-501.19: cold at first, marked"
    ),
    TimeOutClause(360, LUKEWARM_C, "US Food Code 3-501.19(C), as enacted in Minn. R. 4626.0408: cold at first, marked"),
)

COOKED, AMBIENT = "us-cooked", "us-ambient"

PROFILES: dict[str, Profile] = {
    profile.code: profile
    for profile in (
        Profile(
            COOKED,
            "United States, cooked food: 135 to 70 °F within 2 hours, to 41 °F within 6 hours in all",
            (Leg(HOT_C, LUKEWARM_C, 120), Leg(HOT_C, COLD_C, 360)),
            COLD_C,
            "US Food Code 3-501.14(A), as enacted in 16 Del. Admin. Code 3-501.14",
            times_out=_US_OUT,
        ),
        Profile(
            AMBIENT,
            "United States, made from ingredients at room temperature: to 41 °F within 4 hours",
            (Leg(None, COLD_C, 240),),
            COLD_C,
            "US Food Code 3-501.14(B), as enacted in 16 Del. Admin. Code 3-501.14",
            times_out=_US_OUT,
        ),
        Profile(
            "anz",
            "Australia and New Zealand: 60 to 21 °C within 2 hours, then to 5 °C within a further 4 hours",
            (Leg(60.0, 21.0, 120), Leg(21.0, 5.0, 240)),
            5.0,
            "FSANZ Standard 3.2.2, clause 7(3), as quoted; another way may be used when it is proven safe",
            times_out=(
                TimeOutClause(
                    240, None, "FSANZ 2-hour/4-hour guide, from memory: from 2 hours on not back into the cold"
                ),
            ),
        ),
        Profile(
            "ca",
            "Canada: 60 to 20 °C within 2 hours, then to 4 °C within 4 hours",
            (Leg(60.0, 20.0, 120), Leg(20.0, 4.0, 240)),
            4.0,
            "Food Retail and Food Services Code 2016, from a secondary page; the clause itself was not seen",
        ),
        Profile(
            "uk-cook-chill",
            "United Kingdom, cook-chill guidance: 70 to 3 °C within 90 minutes",
            (Leg(70.0, 3.0, 90),),
            3.0,
            "UK cook-chill guideline, for a layer of 50 mm, as quoted; guidance, not law",
            binding=False,
        ),
        Profile(
            "uk",
            "United Kingdom: cold food at 8 °C or colder, cooled as quickly as possible",
            (),
            8.0,
            "SI 2006/31 (Wales) Schedule 4 and NISR 2006/3 Schedule 4; England SI 2013/2996 Schedule 3 from memory",
            times_out=(
                TimeOutClause(240, None, "NISR 2006/3 Schedule 4 paragraph 5: on display, less than that, once only"),
            ),
        ),
        Profile(
            "eu",
            "European Union: cooled as quickly as possible; no times stated",
            (),
            None,
            "Regulation (EC) 852/2004, Annex II, chapter IX, points 5 and 6, from memory",
        ),
    )
}


@dataclass(frozen=True, slots=True)
class LegResult:
    """The result of one leg for a body.

    Parameters
    ----------
    leg : Leg
        The leg.
    minutes : float or None
        How long it takes [min]; None when the end is not reached in the stages.
    """

    leg: Leg
    minutes: float | None

    @property
    def met(self) -> bool:
        """Whether the leg is met: its end is reached in time."""
        return self.minutes is not None and self.minutes <= self.leg.minutes

    @property
    def margin(self) -> float | None:
        """The time left to the limit, as a share of the limit [1]; None when the end is not reached."""
        return None if self.minutes is None else abs(self.minutes / self.leg.minutes - 1)


Times = Callable[[float], float | None]
"""Temperature [°C] -> when a point first falls through it [min]; None when it begins below or never does."""


def results(profile: Profile, initial_c: float, times: Times) -> tuple[LegResult, ...]:
    """Check a cooling point against every leg of a profile.

    For a point that begins below the leg's start temperature the clock starts at minute 0, because the time before is
    not known.

    Parameters
    ----------
    profile : Profile
        The rule.
    initial_c : float
        Temperature at minute 0 [°C].
    times : callable
        When the point falls through a temperature.

    Returns
    -------
    tuple of LegResult
        One for each leg.
    """
    return tuple(LegResult(leg, _lasted(leg, initial_c, times)) for leg in profile.legs)


def _lasted(leg: Leg, initial_c: float, times: Times) -> float | None:
    end = 0.0 if initial_c < leg.to_c else times(leg.to_c)
    start = 0.0 if leg.from_c is None or initial_c < leg.from_c else times(leg.from_c)
    return None if start is None or end is None else end - start
