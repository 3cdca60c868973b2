"""The question of allergens: one answer for each of the list's, and for what some guests do not eat."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from catalog.pantry.allergens import (
    NAMED_BY_SPECIES,
    NOT_NAMED,
    NOT_ON_LABEL,
    allergen_choices,
    allergen_name,
    asked_of,
    covered,
)
from catalog.pantry.declarations import CONTAINS, FREE, MAY
from catalog.pantry.diets import DIET_FACTS, DIET_NAMES, RAW_EGG, facts_asked, named_facts
from catalog.pantry.free_by import (
    ARTICLE,
    BOUGHT,
    FREE_BY,
    FREE_BY_WHO,
    LABEL,
    OFF_FOOD,
    RENAMED,
    WAS_FREE,
    free_in_note,
    source_of,
    source_value,
    was_free,
)
from catalog.pantry.free_by_words import QUESTION, missing_words, source_choices
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import is_ingredient_list, says_what_is_in_it
from catalog.pantry.made_words import beside_asked, list_asked, name_asked
from catalog.pantry.models import LISTED
from catalog.pantry.named_codes import named_beside
from catalog.pantry.single_foods import is_single_food, plainly_packing
from catalog.records.presenters import counted
from catalog.web.display import joined

ANSWERS: Final = ((CONTAINS, _("contains")), (MAY, _("may contain")), (FREE, _("free")), ("", _("not checked")))
_NO_TRACES: Final = ((CONTAINS, _("contains")), (FREE, _("free")), ("", _("not checked")))
#: So many are named.
_NAMED: Final = 6
_NO_NAME: Final = ((CONTAINS, _("contains")), (MAY, _("may contain")), ("", _("not checked")))


class AllergenForm(forms.Form):
    """What a label says of each allergen of the kitchen's list: contains, may contain, free, or not checked yet."""

    all_free = forms.BooleanField(
        required=False,
        label=_("I have read the label: it is free of every other allergen"),
        help_text=_("Each allergen left at “not checked” is then saved as free. Diets are answered row by row."),
    )
    pasteurized = forms.BooleanField(required=False, label=_("Its egg is pasteurized"))
    off_food = forms.BooleanField(
        required=False,
        label=_("It never touches food"),
        help_text=_("Check it for outer boxes, ribbons and labels. Its allergens then do not matter."),
    )

    def __init__(
        self,
        data: Any = None,
        *,
        which: str,
        allergens: Iterable[str] = (),
        answers: Mapping[str, str] | None = None,
        names: Mapping[str, str] | None = None,
        touches_food: bool = True,
        recipes: Sequence[str] = (),
        named_only: Mapping[str, str] | None = None,
        prefix: str = "label",
    ) -> None:
        self.contained, self.answers, self.names = list(allergens), dict(answers or {}), dict(names or {})
        self.recipes, self.named_only, self.before = list(recipes), dict(named_only or {}), dict(named_only or {})
        self.named_fields: list[str] = []
        initial = {"off_food": not touches_food, "pasteurized": self.answers.get(RAW_EGG) == FREE}
        super().__init__(data, initial=initial, prefix=prefix)
        saved = [*self.contained, *(code for code in self.answers if code not in DIET_FACTS)]
        asked = dict(allergen_choices(which, saved))
        self.codes = list(asked)
        self.diet_codes = [code for code in DIET_FACTS if code != RAW_EGG]
        for code in self.codes:
            choices = _NO_NAME if code in NOT_NAMED else ANSWERS
            self._ask(code, asked[code], choices, CONTAINS if code in self.contained else "")
        for code in self.diet_codes:
            self._ask(code, gettext(DIET_FACTS[code]), _NO_TRACES, "")
        asked_again = {*self.codes, *self.diet_codes, RAW_EGG} - {*self.contained, *self.answers}
        self.was_free = [code for code in was_free(self.named_only) if code in asked_again]
        if self.was_free:
            self.fields["free_again"] = forms.BooleanField(required=False, label=_again(self.was_free))
        self.species = [code for code in NAMED_BY_SPECIES.get(which, ()) if code in asked_of(which)]
        # Own words that a Book had beside others can be read and changed, too.
        self.worded = [*self.species, *(code for code in self.codes if code in self.names and code not in self.species)]
        for code in self.worded:
            self.fields[f"name-{code}"] = forms.CharField(
                required=False,
                max_length=80,
                label=gettext("Which %(allergen)s") % {"allergen": allergen_name(code).partition(" (")[0]},
                help_text=_("As the label names it: the law asks for the species.") if code in self.species else "",
                initial="" if self.names.get(code) == NOT_ON_LABEL else self.names.get(code, ""),
            )
            self.fields[f"unnamed-{code}"] = forms.BooleanField(
                required=False,
                label=_("The label does not name it"),
                initial=self.names.get(code) == NOT_ON_LABEL,
            )

    def _ask(self, code: str, name: str, choices: Any, contained: str) -> None:
        self.fields[f"has-{code}"] = forms.ChoiceField(
            required=False,
            label=name[:1].upper() + name[1:],
            choices=choices,
            widget=forms.RadioSelect,
            initial=contained or self.answers.get(code, ""),
            error_messages={
                "invalid_choice": gettext("Choose one of the answers for %(allergen)s.") % {"allergen": name}
            },
        )

    def rows(self) -> Iterator[tuple[Any, list[tuple[str, Any]]]]:
        """Return each allergen's field with its answers in the order of ``ANSWERS``; None where one is not offered."""
        return self._rows(self.codes)

    def diet_rows(self) -> Iterator[tuple[Any, list[tuple[str, Any]]]]:
        """Return the rows of what some guests do not eat."""
        return self._rows(self.diet_codes)

    def _rows(self, codes: Iterable[str]) -> Iterator[tuple[Any, list[tuple[str, Any]]]]:
        for code in codes:
            field = self[f"has-{code}"]
            offered = {radio.data["value"]: radio for radio in field.subwidgets}
            yield field, [(str(words), offered.get(answer)) for answer, words in ANSWERS]

    def species_fields(self) -> list[tuple[Any, Any]]:
        """Return the fields for species, each with the tick that the label names none."""
        return [(self[f"name-{code}"], self[f"unnamed-{code}"]) for code in self.worded]

    def clean(self) -> dict[str, Any]:
        """Tidy the names of species, and ask for the one of what it contains."""
        values = super().clean() or self.cleaned_data
        if values.get("free_again"):
            again = {f"has-{code}": FREE for code in self.was_free if not values.get(f"has-{code}")}
            values |= again | ({"pasteurized": True} if RAW_EGG in self.was_free else {})
        for code in self.worded:
            named = values[f"name-{code}"] = " ".join(str(values.get(f"name-{code}") or "").split())
            what, unnamed = allergen_name(code).partition(" (")[0], values.get(f"unnamed-{code}")
            if code in self.species and values.get(f"has-{code}") == CONTAINS and not (named or unnamed):
                sentence = gettext("It contains %(what)s: enter which, or check “The label does not name it”.")
                self.add_error(f"name-{code}", sentence % {"what": what})
            if named and values.get(f"has-{code}") not in (CONTAINS, MAY):
                sentence = gettext(
                    "%(named)s is named, but the answer for %(what)s is not “contains” or “may contain”: choose one of"
                    " these, or clear the name."
                )
                self.add_error(f"name-{code}", sentence % {"named": named, "what": what})
            if named and unnamed:
                sentence = gettext(
                    "%(named)s is named, and “The label does not name it” is checked: clear one of them."
                )
                self.add_error(f"name-{code}", sentence % {"named": named})
        self._ask_beside()
        if values.get("off_food") and self.recipes:
            sentence = gettext("It is in %(recipes)s, so it is food: uncheck this, or remove it from the recipe first.")
            self.add_error("off_food", sentence % {"recipes": counted(self.recipes)})
        return values

    def _ask_beside(self) -> None:
        """Ask of each allergen that own words beside another name for its own answer."""
        values = self.cleaned_data
        words = {code: str(values.get(f"name-{code}") or "") for code in self.worded}
        held = {code for code in self.codes if values.get(f"has-{code}") in (CONTAINS, MAY)}
        for code, named in named_beside(words, held).items():
            if code in self.codes:
                self.add_error(f"has-{code}", beside_asked(code, named) % {"named": named, "what": allergen_name(code)})

    def check_name(self, name: str) -> None:
        """Refuse an answer about what some guests do not eat that the ingredient's own name belies."""
        for code, word in named_facts(name):
            if self.cleaned_data.get(f"has-{code}") == FREE:
                sentence = gettext(
                    "The name includes “%(word)s”, but the answer is free of %(what)s: choose “contains” or “not"
                    " checked”, or change the name."
                )
                self.add_error(f"has-{code}", sentence % {"word": word, "what": gettext(DIET_NAMES[code])})

    def _answers(self) -> dict[str, str]:
        """Return the answer for each allergen, those that the tick gives among them."""
        values = self.cleaned_data
        rest = set(self.codes) - NOT_NAMED.keys() if values.get("all_free") else set()
        return {code: values.get(f"has-{code}") or (FREE if code in rest else "") for code in self.codes}

    def note_named(self, note: str) -> str:
        """Return what is said where a note names what is answered free beside it; empty where it does not."""
        if self.cleaned_data.get("off_food"):
            return ""
        named = free_in_note(note=note, allergens=(), answers=self._answers())
        sentence = gettext("The note names %(what)s, and the answer is free of it. Change the answer or the note.")
        return sentence % {"what": joined([allergen_name(code) for code in named])} if named else ""

    def ask_named(self, name: str, before: str = "") -> None:
        """Ask of each allergen that the name has in it and that is answered free whether it only has the name.

        ``before`` is another name that it had: what it is free of is asked again, whatever the two are.
        """
        values, answers = self.cleaned_data, self._answers()
        free = {code for code, answer in answers.items() if answer == FREE}
        held = {code for code, answer in answers.items() if answer in (CONTAINS, MAY)}
        if values.get("off_food"):
            self._ask_food(name)
            return
        for code in foods_named(name):
            if not covered(code) & free or covered(code) & held:
                continue
            field, what = f"named-{code}", {"what": allergen_name(code), "named": name}
            label, sentence = name_asked(code, name)
            known = self.named_only.get(code) == name
            self.fields[field] = forms.BooleanField(required=False, label=label % what, initial=known)
            self.named_fields.append(field)
            ticked = f"{self.prefix}-{field}" in self.data
            if ticked or known:
                self.named_only[code] = name
                continue
            self.add_error(field, sentence % what)

        self._ask_facts(name)
        diets = any(values.get(f"has-{code}") == FREE for code in self.diet_codes)
        if (before and (free or diets)) or (free and not is_single_food(name)):
            self._ask_source(name, held, before)

    def _ask_source(self, name: str, held: set[str], before: str) -> None:
        """Ask how it is known that there is none in it, and for the label's list where the name says nothing."""
        stored = self.named_only.pop(FREE_BY, "")
        if known := source_of(stored, name) or (LABEL if self.cleaned_data.get("free_again") else ""):
            stored = source_value(known, name)
        chosen = str(self.data.get(f"{self.prefix}-{FREE_BY}") or stored)
        asked = missing_words(name, before)
        self.fields[FREE_BY] = forms.ChoiceField(
            label=QUESTION,
            required=False,
            choices=source_choices(name),
            widget=forms.RadioSelect,
            initial=stored,
            error_messages={"invalid_choice": asked},
        )
        self.named_fields.append(FREE_BY)
        missing = not source_of(chosen, name)
        if missing:
            self.add_error(FREE_BY, asked)
        else:
            self.named_only[FREE_BY] = chosen
        if not says_what_is_in_it(name) and (missing or source_of(chosen, name) == LABEL):
            # A list that was entered for another name is of another food.
            known = "" if stored and not source_of(stored, name) else self.named_only.get(LISTED, "")
            self._ask_list(held, known, needed=not missing)

    def _ask_list(self, held: set[str], known: str, *, needed: bool) -> None:
        """Ask for the label's list of ingredients, and of each allergen in it that is not answered "contains".

        It is not ``needed`` before it is known that a label was read.
        """
        label = gettext("Ingredients on the label")
        help_text = gettext("If you read the label: enter them as they stand on it.")
        area = forms.Textarea(attrs={"rows": 2})
        self.fields[LISTED] = forms.CharField(
            label=label, help_text=help_text, required=False, max_length=2000, widget=area, initial=known
        )
        self.named_fields.append(LISTED)
        if not needed:
            return
        listed = " ".join(str(self.data.get(f"{self.prefix}-{LISTED}") or known).replace("\x00", "").split())[:2000]
        if not listed:
            self.add_error(
                LISTED,
                gettext(
                    "The name does not say what is in it. Enter the list of ingredients on its label, or clear the box."
                ),
            )
            return
        if not is_ingredient_list(listed):
            self.add_error(
                LISTED,
                gettext(
                    "Enter the ingredients as they stand on the label, with commas between them. If it is one thing"
                    " alone, enter it so: 100% hazelnuts."
                ),
            )
            return
        self.named_only[LISTED] = listed
        for code in foods_named(listed):
            if covered(code) & held:
                continue
            field, what = f"listed-{code}", {"what": allergen_name(code)}
            label, sentence = list_asked(code, listed)
            known_free = self.named_only.get(field) == listed
            self.fields[field] = forms.BooleanField(required=False, label=label % what, initial=known_free)
            self.named_fields.append(field)
            if f"{self.prefix}-{field}" in self.data or known_free:
                self.named_only[field] = listed
                continue
            self.add_error(field, sentence % what)

    def _ask_facts(self, name: str) -> None:
        """Ask of what a name usually stands for, and is answered free, whether it is the kind without it."""
        for code, word in facts_asked(name):
            if self.cleaned_data.get(f"has-{code}") != FREE:
                continue
            what = {"word": word, "what": gettext(DIET_NAMES[code])}
            label = gettext("“%(word)s” mostly has %(what)s in it. I have read the label: this kind is free of it")
            field, known = f"named-{code}", self.named_only.get(code) == name
            self.fields[field] = forms.BooleanField(required=False, label=label % what, initial=known)
            self.named_fields.append(field)
            if known or f"{self.prefix}-{field}" in self.data:
                self.named_only[code] = name
                continue
            sentence = gettext(
                "“%(word)s” mostly has %(what)s in it. Is it the kind that is free of it? Check it, or change the"
                " answer."
            )
            self.add_error(field, sentence % what)

    def _ask_food(self, name: str) -> None:
        """Ask of what is said never to touch food and has a name of food whether it is not eaten."""
        if plainly_packing(name) or "off_food" in self.errors:
            return
        field, known = "named-off_food", self.named_only.get(OFF_FOOD) == name
        label = gettext("It is not eaten and touches no food, whatever its name is")
        self.fields[field] = forms.BooleanField(required=False, label=label, initial=known)
        self.named_fields.append(field)
        if known or f"{self.prefix}-{field}" in self.data:
            self.named_only[OFF_FOOD] = name
            return
        sentence = gettext("“%(name)s” may be food by its name. Clear “It never touches food”, or check this too.")
        self.add_error(field, sentence % {"name": name})

    def named_ticks(self) -> list[Any]:
        """Return the ticks about what the name says."""
        return [self[name] for name in self.named_fields]

    def label_data(self, by: str = "") -> dict[str, Any]:
        """Return the columns of an ingredient that these answers fill; call it when it is valid.

        ``by`` is who answers.
        """
        values = self.cleaned_data
        # The tick is about allergens: nobody reads on a label that there is no gelatin in it.
        found = self._answers() | {code: values.get(f"has-{code}") or "" for code in self.diet_codes}
        answers = {
            code: answer for code, answer in found.items() if answer and (answer != CONTAINS or code in DIET_FACTS)
        }
        if values["pasteurized"]:
            answers[RAW_EGG] = FREE
        unnamed = {code: NOT_ON_LABEL for code in self.worded if values[f"unnamed-{code}"] and found[code] == CONTAINS}
        names = unnamed | {code: name for code in self.worded if (name := values[f"name-{code}"])}
        return {
            "allergens": [code for code in self.codes if found[code] == CONTAINS],
            "allergen_answers": answers,
            "allergen_names": self._names_beyond() | names,
            "named_only": self._named_only(found, by),
            "touches_food": not values["off_food"],
        }

    def _named_only(self, found: Mapping[str, str], by: str) -> dict[str, str]:
        """Return what was answered about the name; that answers were taken back counts until all are given again."""
        named = dict(self.named_only)
        if named.get(FREE_BY) != self.before.get(FREE_BY):
            named[FREE_BY_WHO] = by
        if FREE_BY not in named:
            named.pop(FREE_BY_WHO, None)
        if all(found[code] for code in self.codes if code not in NOT_NAMED):
            named = {key: text for key, text in named.items() if key not in (RENAMED, ARTICLE, BOUGHT)}
        if all(found.get(code) or code == RAW_EGG for code in self.was_free):
            named.pop(WAS_FREE, None)
        return named

    def _names_beyond(self) -> dict[str, str]:
        """Return stored names this list does not ask for."""
        return {code: name for code, name in self.names.items() if code not in self.worded}


def _again(codes: Sequence[str]) -> str:
    """Write what somebody says who has read another good's label: a few by name, many as all of before."""
    if len(codes) > _NAMED:
        return gettext("I have read the label of what it is now: it is free of all that it was free of before")
    names = [gettext(DIET_FACTS[code]) if code in DIET_FACTS else allergen_name(code) for code in codes]
    words = gettext("I have read the label of what it is now: it is free of %(what)s, as it was before")
    return words % {"what": joined(names)}
