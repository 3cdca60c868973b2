"""Roles and their pay as the owner reads them; times in which stations are out of order."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from catalog.rates.models import Role, Station, StationOut


@dataclass(frozen=True, slots=True)
class RoleRow:
    """A kind of work with what an hour of it costs."""

    role: Role
    cost: Decimal


def role_rows() -> list[RoleRow]:
    """Return the kinds of work with their cost an hour; one query."""
    return [RoleRow(role, role.hourly * (1 + role.on_cost)) for role in Role.objects.all()]


@dataclass(frozen=True, slots=True)
class OutData:
    """A time in which stations are out of order, by the clocks of the kitchen, and how many of those alike."""

    first_day: date
    begins: time
    last_day: date
    ends: time
    count: int = 1
    reason: str = ""


def outs_during(station: Station, data: OutData) -> list[StationOut]:
    """Return the times of a station that meet another one, without one that is the same; one query."""
    return [
        out
        for out in station.outs.all()
        if (out.first_day, out.begins) < (data.last_day, data.ends)
        and (data.first_day, data.begins) < (out.last_day, out.ends)
        and (out.first_day, out.begins, out.last_day, out.ends)
        != (data.first_day, data.begins, data.last_day, data.ends)
    ]


def outs_ahead(*, day: date) -> Mapping[int, list[StationOut]]:
    """Return the times that end on a day or later, by the key of their station; one query."""
    found: defaultdict[int, list[StationOut]] = defaultdict(list)
    for out in StationOut.objects.filter(last_day__gte=day):
        # One that ends at midnight is over with the day before.
        if (out.last_day, out.ends) > (day, time(0)):
            found[out.station_id].append(out)
    return found
