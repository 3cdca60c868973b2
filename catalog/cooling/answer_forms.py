"""The answers to all that is missing of how a recipe cools: a few fields of its editor, and chill steps where none is.

The recipe's own editor checks and saves them, with everything else as it is stored.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from django.forms import BoundField
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from catalog.cooling.figures import missing_key
from catalog.cooling.missing_presenters import missing_sentence, missing_shown
from catalog.cooling.questions import Question
from catalog.rates.models import Station
from catalog.recipes.choices import StepChoices
from catalog.recipes.cost_basis import cost_basis_load
from catalog.recipes.forms import RecipeForms
from catalog.recipes.models import Recipe
from catalog.vessels.forms import VesselForm

#: What a question asks for -> the fields of its step.
_FIELDS: Final = {
    "leaves": ("leaves_c", "vessel", "hold_max", "ice_bath"),
    "vessel": ("vessel", "hold_max", "ice_bath"),
    "chill": ("station", "minutes"),
    "time": ("minutes",),
    "station": ("station",),
    "heat": ("leaves_c", "vessel", "hold_max", "ice_bath"),
}
_NEVER_HOT: Final = ("never_hot", "never_hot_reason")
_ROOM_SAFE: Final = ("shelf_stable", "shelf_stable_source")
TUB: Final = "tub"
#: Fields of a vessel that somebody has to write: where one of them is, a vessel is added.
_WRITTEN: Final = ("name", "diameter_cm", "length_cm", "width_cm", "height_cm")
Step = dict[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question as the page shows it: its sentence, the fields that answer it, or the page where it is answered."""

    sentence: str
    step: str
    fields: Sequence[BoundField]
    ticks: Sequence[BoundField]
    never_hot: Sequence[BoundField]
    url: str


class AnswerForms:
    """A recipe's editor with the fields that answer its questions; ``tub`` is a vessel that the kitchen lacks."""

    def __init__(
        self, recipe: Recipe, questions: Sequence[Question], *, choices: StepChoices, data: QueryDict | None = None
    ) -> None:
        self.recipe, self.questions, self.choices, self.data = recipe, questions, choices, data
        self.adds_vessel = data is not None and any(data.get(f"{TUB}-{name}") for name in _WRITTEN)
        self.tub = VesselForm(data if self.adds_vessel else None, prefix=TUB)
        self._places: dict[int, int] = {}
        self.editor = RecipeForms(
            basis=cost_basis_load(day=timezone.localdate()), choices=choices, data=self._merged(), recipe=recipe
        )
        for question, at in self._steps():
            fields = self.editor.steps.forms[at].fields
            if question.asks == "chill":
                fields["station"].label = gettext("Then chills in")
                fields["minutes"].help_text = gettext("At least until it is cold.")
            elif "hold_max" in _FIELDS[question.asks]:
                fields["hold_max"].help_text = gettext("Only if it is used warm instead of cooled: 1 h or less.")

    def _steps(self) -> Iterator[tuple[Question, int]]:
        """Yield each question that a step of the editor answers, with that step's number there."""
        for number, question in enumerate(self.questions):
            if number in self._places:
                yield question, self._places[number]

    def _merged(self) -> QueryDict:
        """Return what the recipe's editor would submit, with what was entered here."""
        stored = RecipeForms(
            basis=cost_basis_load(day=timezone.localdate()), choices=self.choices, data=None, recipe=self.recipe
        )
        sent = QueryDict(mutable=True)
        for form in (stored.form, *stored.lines.forms):
            sent.update(_sent(form))
        steps = [
            {name.partition(f"steps-{at}-")[2]: text for name, text in _sent(form).items()}
            for at, form in enumerate(stored.steps.forms)
        ]
        steps = self._with_chills(steps)
        sent.update({f"steps-{at}-{name}": text for at, step in enumerate(steps) for name, text in step.items()})
        for prefix, total in (("lines", len(stored.lines.forms)), ("steps", len(steps))):
            sent.update({f"{prefix}-TOTAL_FORMS": str(total), f"{prefix}-INITIAL_FORMS": "0"})
        self._enter(sent)
        return sent

    def _with_chills(self, steps: list[Step]) -> list[Step]:
        """Return the steps with a chill step behind each that lacks one, and note the step of each question."""
        chills = {one.step: number for number, one in enumerate(self.questions) if one.asks == "chill"}
        numbers = {number: one.step for number, one in enumerate(self.questions) if one.asks and one.asks != "chill"}
        found: list[Step] = []
        for at, step in enumerate(steps):
            self._places |= {number: len(found) for number, place in numbers.items() if place == at}
            found.append(step)
            if at in chills:
                self._places[chills[at]] = len(found)
                found.append({"name": gettext("Chill"), "kind": "chill", "station": self._only_refrigerator()})
        return found

    @staticmethod
    def _only_refrigerator() -> str:
        keys = list(Station.objects.filter(kind=Station.Kind.REFRIGERATOR).values_list("pk", flat=True)[:2])
        return str(keys[0]) if len(keys) == 1 else ""

    def _enter(self, sent: QueryDict) -> None:
        """Put what was entered over what is stored."""
        if self.data is None:
            return
        for name in self._names():
            sent.pop(name, None)
            if text := self.data.get(name, ""):
                sent[name] = text
        for question, at in self._steps():
            if question.asks == "chill" and self._stays_warm(sent, at - 1):
                for name in ("name", "kind", "station", "minutes"):
                    sent[f"steps-{at}-{name}"] = ""

    @staticmethod
    def _stays_warm(sent: Mapping[str, Any], at: int) -> bool:
        """Return whether nothing chills behind a step: it is never hot, or safe at room temperature, or used warm."""
        stated = sent.get("never_hot") or sent.get("shelf_stable")
        return bool(stated or (sent.get(f"steps-{at}-hold_max") and not sent.get(f"steps-{at}-vessel")))

    def _names(self) -> list[str]:
        names = [f"steps-{at}-{name}" for question, at in self._steps() for name in _FIELDS[question.asks]]
        return [*names, *_ROOM_SAFE, *(_NEVER_HOT if self._asks_heat else ())]

    @property
    def room_safe(self) -> list[BoundField]:
        """The fields that answer all of it at once: that it is safe at room temperature, and who says so."""
        return [self.editor.form[name] for name in _ROOM_SAFE]

    @property
    def _asks_heat(self) -> bool:
        return any(question.asks == "heat" for question in self.questions)

    def is_valid(self) -> bool:
        """Check the answers by the recipe's editor; each question needs one."""
        sound = self.editor.is_valid() and (not self.adds_vessel or self.tub.is_valid())
        for question, at in self._steps():
            for name in self._left_open(question, at, adds_vessel=self.adds_vessel):
                self.editor.steps.forms[at].add_error(name, gettext("Answer this too, so that its cooling is known."))
                sound = False
        return sound

    def _left_open(self, question: Question, at: int, *, adds_vessel: bool) -> list[str]:
        """Return the fields of a question that were left empty and are needed."""
        sent, errors = self.editor.steps.data, self.editor.steps.forms[at].errors
        if sent.get("shelf_stable") or (self._asks_heat and sent.get("never_hot")):
            return []
        if question.asks == "chill" and self._stays_warm(sent, at - 1):
            return []
        empty = [name for name in _FIELDS[question.asks] if not sent.get(f"steps-{at}-{name}") and name not in errors]
        if "hold_max" not in empty or adds_vessel:
            # Used warm, or in the vessel that is added below.
            empty = [name for name in empty if name != "vessel"]
        return [name for name in empty if name not in ("hold_max", "ice_bath")]

    def with_vessel(self, vessel: int) -> QueryDict:
        """Return what was entered with a vessel chosen wherever one is asked for and none was: it was just added."""
        data = QueryDict(mutable=True) if self.data is None else self.data.copy()
        for question, at in self._steps():
            name = f"steps-{at}-vessel"
            if "vessel" in self._left_open(question, at, adds_vessel=False):
                data[name] = str(vessel)
        for name in [name for name in data if name.startswith(f"{TUB}-")]:
            del data[name]
        return data

    def _elsewhere(self, question: Question) -> str:
        """Return the page on which a question is answered that no field here answers."""
        missing = question.missing
        if (missing.kind, missing.thing) == ("recipe", self.recipe.code):
            return reverse("recipe-edit", args=[self.recipe.pk])
        return missing_shown(missing, missing_key(missing)).url

    @cached_property
    def asked(self) -> list[Asked]:
        """The questions as the page shows them."""
        places = self._places
        found = []
        for number, question in enumerate(self.questions):
            form = self.editor.steps.forms[places[number]] if number in places else None
            fields = [form[name] for name in _FIELDS[question.asks]] if form else []
            ticks = [bound for bound in fields if bound.name == "ice_bath"]
            fields = [bound for bound in fields if bound.name != "ice_bath"]
            never = [self.editor.form[name] for name in _NEVER_HOT] if question.asks == "heat" else []
            url = "" if form else self._elsewhere(question)
            step = str(form["name"].value() or "") if form else ""
            found.append(Asked(missing_sentence(question.missing), step, fields, ticks, never, url))
        return found


def _sent(form: object) -> dict[str, str]:
    """Return what a browser sends of a form as it is shown."""
    values = {bound.html_name: bound.value() for bound in form}  # type: ignore[attr-defined]  # a form
    return {name: "on" if value is True else str(value) for name, value in values.items() if value not in (None, False)}
