"""The choices of a step of a recipe or product: roles and stations, read once per page."""

from dataclasses import dataclass

from catalog.kitchen.selectors import kitchen
from catalog.rates.models import Role, Station

#: (value, label)
Choices = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class StepChoices:
    """Roles, stations, and the temperature unit of the form."""

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
