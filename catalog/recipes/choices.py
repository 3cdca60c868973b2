"""What a step of a recipe or product can name: roles and stations, read once a page."""

from dataclasses import dataclass

from catalog.kitchen.selectors import kitchen
from catalog.rates.models import Role, Station

#: (value, label)
Choices = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class StepChoices:
    """Who can do a step, where, and the degrees it is written in."""

    roles: Choices
    stations: Choices
    degrees: str


def step_choices() -> StepChoices:
    """Read who can do a step and where."""
    return StepChoices(
        roles=[(str(role.pk), str(role)) for role in Role.objects.all()],
        stations=[(str(station.pk), str(station)) for station in Station.objects.all()],
        degrees=kitchen().degrees,
    )
