"""The choices of a step of a recipe or product: roles, stations and vessels, read once per page."""

from dataclasses import dataclass, field

from catalog.kitchen.selectors import kitchen
from catalog.rates.models import Role, Station
from catalog.vessels.models import Vessel

#: (value, label)
Choices = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class StepChoices:
    """Roles, stations, the temperature unit of the form, and for a recipe the vessels."""

    roles: Choices
    stations: Choices
    degrees: str
    vessels: Choices = field(default_factory=list)


def step_choices(*, vessels: bool = False) -> StepChoices:
    """Read who can do a step and where; for a recipe also the vessels."""
    return StepChoices(
        roles=[(str(role.pk), str(role)) for role in Role.objects.all()],
        stations=[(str(station.pk), str(station)) for station in Station.objects.all()],
        degrees=kitchen().degrees,
        vessels=[(str(vessel.pk), str(vessel)) for vessel in Vessel.objects.all()] if vessels else [],
    )
