"""What is to be read before a quote goes, in words: what it says, what is asked of it, and where it is changed."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.pantry.presenters import allergen_words, need_words
from catalog.records.reasons import Reason
from catalog.web.display import joined
from orders.documents.need_words import need_for
from orders.inquiries.models import Inquiry
from orders.quotes.draft.allergy_presenters import own_words
from orders.quotes.draft.names_denied import OFF_FOOD, SAYS_NOTHING
from orders.quotes.presenters import change_sentences
from orders.quotes.send.to_read import ToRead

#: So many desserts are named.
_NAMED: Final = 4


@dataclass(frozen=True, slots=True)
class ToReadShown:
    """A tick: what stands above it, its label, the refusal without it; ``link`` leads to where a need is added."""

    mark: str
    about: str
    words: str
    label: str
    missing: str
    link: str = ""
    link_words: str = ""


def to_read_shown(found: Iterable[ToRead], inquiry: Inquiry) -> list[ToReadShown]:
    """Write what is to be read."""
    edit = reverse("inquiry-edit", args=[inquiry.pk])
    return [_SHOWN[one.kind](one, edit) for one in found]


def _needs(codes: Mapping[str, int | None]) -> str:
    named = [need_name(code) if count is None else need_for(code, count) for code, count in codes.items()]
    return joined(named)


def _note(one: ToRead, edit: str) -> ToReadShown:
    needs = _needs(one.codes)
    if needs:
        label = gettext("There is no need in the note: no guest has this as an allergy or diet (%(needs)s)")
        words = gettext("“%(note)s” Not among the needs: %(needs)s.")
    elif one.recorded:
        label = gettext("Every allergy and diet in the note “%(note)s” is in the list")
        words = gettext("“%(note)s” Not every word of it may have been recognized: read it again.")
    else:
        label = gettext("There is no need of the list in the note; the quote repeats it as it is")
        words = gettext("“%(note)s” No allergy or diet is checked for it.")
    facts = {"note": one.text, "needs": needs}
    return ToReadShown(
        one.mark,
        gettext("Allergy note."),
        words % facts,
        label % facts,
        gettext("Not sent. Add the needs, or check the box that there is none in “%(note)s”.") % facts
        if needs or not one.recorded
        else gettext("Not sent. Read “%(note)s”, and check the box that every need in it is in the list.") % facts,
        link=f"{edit}?needs=note#id_allergies" if needs else f"{edit}#id_allergies",
        link_words=gettext("Add these as needs") if needs else gettext("Edit allergies and diets"),
    )


def _words(one: ToRead, edit: str) -> ToReadShown:
    facts = {"text": one.text, "needs": _needs(one.codes)}
    label = gettext("No guest has an allergy or a diet by the words “%(text)s” that is not in the list")
    words = (
        gettext("“%(text)s” names %(needs)s.") if one.codes else gettext("“%(text)s” may name what a guest cannot eat.")
    )
    return ToReadShown(
        one.mark,
        gettext(_WHERE[one.kind]),
        words % facts,
        label % facts,
        gettext("Not sent. Add the need, or check the box that there is none in “%(text)s”.") % facts,
        link=f"{edit}?needs=note#id_allergies",
        link_words=gettext("Add as a need"),
    )


_WHERE: Final = {
    "title": marked("Event name."),
    "inner": marked("Your note."),
    "place": marked("Place."),
    "customer": marked("Customer’s name."),
    "customer_note": marked("Note about the customer."),
    "address": marked("Customer’s address."),
    "extra": marked("Name of an extra."),
}


def _message(one: ToRead, edit: str) -> ToReadShown:
    facts = {"text": one.text, "needs": _needs(one.codes)}
    if one.kind == "message":
        about, words = gettext("Message not read yet."), gettext("“%(text)s”")
    else:
        about = gettext("Message about another quote.")
        words = gettext("“%(text)s” names %(needs)s.") if one.codes else gettext("“%(text)s”")
    return ToReadShown(
        one.mark,
        about,
        words % facts,
        gettext("I have read “%(text)s”: no allergy or diet in it is missing from the list") % facts,
        gettext("Not sent. Read “%(text)s”, and check the box that you have.") % facts,
        link=f"{edit}?needs=note#id_allergies",
        link_words=gettext("Add as a need"),
    )


def _before(one: ToRead, edit: str) -> ToReadShown:
    needs = _needs(one.codes)
    facts = {"text": one.text, "title": one.what, "needs": needs}
    words = gettext("%(needs)s, at “%(title)s”: not among the needs now.")
    label = gettext("Not among the guests this time, as the customer says: %(needs)s")
    if not needs:
        words = gettext("“%(text)s”, at “%(title)s”: no need is recorded now.")
        label = gettext("Does not hold this time, as the customer says: “%(text)s”")
    return ToReadShown(
        one.mark,
        gettext("Last time."),
        words % facts,
        label % facts,
        gettext("Not sent. Ask the customer whether what was needed last time still holds: add it, or check this box."),
        link=f"{edit}?needs=before#id_allergies",
        link_words=gettext("Add these as needs"),
    )


def _other(one: ToRead, edit: str) -> ToReadShown:
    facts = {"what": _needs(one.codes), "plain": one.text, "dishes": _dishes(one)}
    return ToReadShown(
        one.mark,
        gettext("Not on our list."),
        gettext("%(what)s. Nobody checked for it: %(dishes)s. The quote says “ask us”.") % facts,
        gettext("The customer knows that nobody checked these for %(plain)s: %(dishes)s") % facts,
        gettext("Not sent. Talk it over with the customer, and check the box for %(plain)s.") % facts,
        link=f"{edit}#id_allergies",
        link_words=gettext("Edit allergies and diets"),
    )


def _name(one: ToRead, _: str) -> ToReadShown:
    facts = {"name": one.text, "allergens": allergen_words(one.codes), "dishes": _dishes(one)}
    label = gettext("%(name)s only has the name: there is no %(allergens)s in it")
    if one.what == OFF_FOOD:
        label = gettext("%(name)s is not eaten and touches no food, whatever its name is")
    if one.what == SAYS_NOTHING:
        label = gettext("I know what is in %(name)s, from its label, its recipe or its maker")
    return ToReadShown(
        one.mark,
        gettext("A name."),
        gettext(_NAMES[one.what]) % facts,
        label % facts,
        gettext("Not sent. Change the answers for %(name)s, or check the box that it only has the name.") % facts,
    )


_NAMES: Final = {
    "product": marked("The product “%(name)s” names %(allergens)s, and by the labels it is free of that."),
    "recipe": marked("The recipe “%(name)s” in %(dishes)s names %(allergens)s, and by the labels it is free of that."),
    "ingredient": marked(
        "The ingredient “%(name)s” in %(dishes)s names %(allergens)s, and its answer is that it is free of that."
    ),
    SAYS_NOTHING: marked(
        "The ingredient “%(name)s” in %(dishes)s is answered “free” of allergens. Its name does not say all that is in"
        " it, and nobody recorded how that is known."
    ),
    OFF_FOOD: marked(
        "“%(name)s” on %(dishes)s may be food by its name. It is marked “It never touches food”, so nobody was asked "
        "for its allergens."
    ),
}


def _spoken(one: ToRead, _: str) -> ToReadShown:
    what = need_words(one.codes) if one.codes else gettext("allergies")
    words = ngettext(
        "“%(text)s” speaks of %(what)s. %(count)s dessert or extra holds that, or may: %(dishes)s.",
        "“%(text)s” speaks of %(what)s. %(count)s desserts or extras hold that, or may: %(dishes)s.",
        len(one.dishes),
    )
    facts = {"text": one.text, "what": what, "count": len(one.dishes), "dishes": _dishes(one)}
    return ToReadShown(
        one.mark,
        gettext("Words about allergens."),
        words % facts,
        gettext("“%(text)s” promises nobody that it is free of what is in it") % facts,
        gettext("Not sent. Change the words “%(text)s”, or check the box that they promise nothing that is not so.")
        % facts,
    )


def _own(one: ToRead, _: str) -> ToReadShown:
    name = gettext("Our note") if one.what == "note" else gettext("Our cancellation terms")
    return ToReadShown(
        one.mark,
        gettext("What you wrote to the customer."),
        gettext("Guests have allergies or diets: read it once more beside them."),
        own_words(name, one.own) if one.own else "",
        gettext("Not sent. Read “%(text)s”, and check the box that what it says about food is true for these guests.")
        % {"text": one.text},
    )


#: By what a step or recipe counts as cold -> what is said of it.
_COLD_BY: Final = {
    "tick": marked("Never hot, by your word."),
    "silence": marked("Nothing says whether this is hot."),
    "beside": marked("Is this step cold?"),
    "product": marked("Is this step cold?"),
}


def _never_hot(one: ToRead, _: str) -> ToReadShown:
    reason, key, counts_by = one.recorded
    edit = "product-edit" if counts_by == "product" else "recipe-edit"
    facts = {"name": one.text, "step": one.dishes[0], "reason": reason.rstrip(".")}
    words = gettext("%(name)s: “%(step)s”.")
    return ToReadShown(
        one.mark,
        gettext(_COLD_BY[counts_by]),
        (f"{words} {gettext('Reason: %(reason)s.')}" if reason else words) % facts,
        gettext("Yes, this is cold: “%(step)s”") % facts,
        gettext("Not sent. Check the box that “%(step)s” of %(name)s is cold, or enter how warm it leaves.") % facts,
        reverse(edit, args=[key]) if key else "",
        gettext("No, it is warm: enter how warm it leaves"),
    )


def _holding(one: ToRead, _: str) -> ToReadShown:
    beside, product = one.recorded
    facts = {"name": one.text, "own": one.dishes[0].rstrip("."), "beside": beside}
    return ToReadShown(
        one.mark,
        gettext("How it is kept, in two texts."),
        gettext("%(name)s: the customer reads your “%(own)s” and, after it, “%(beside)s”") % facts,
        gettext("Yes, both can be followed: “%(own)s”") % facts,
        gettext("Not sent. Change the text on keeping %(name)s, or check the box that both can be followed.") % facts,
        reverse("product-edit", args=[product]) if product else "",
        gettext("Change the text"),
    )


def _less(one: ToRead, _: str) -> ToReadShown:
    (words,) = change_sentences([Reason(one.what, {"name": one.text, "codes": tuple(one.codes)})])
    facts = {"name": one.text, "codes": allergen_words(one.codes)}
    return ToReadShown(
        one.mark,
        gettext("Said before, and not any more."),
        words,
        gettext("I know why the quote says less of %(name)s now: %(codes)s") % facts,
        gettext("Not sent. Check whether %(name)s still contains %(codes)s, and check the box.") % facts,
    )


def _fall(one: ToRead, _: str) -> ToReadShown:
    facts = {"term": one.text}
    return ToReadShown(
        one.mark,
        gettext("Below the terms."),
        one.text,
        gettext("We lower the count all the same, against this term: “%(term)s”") % facts,
        gettext("Not sent. Raise the count, or check the box that you lower it against this term: “%(term)s”") % facts,
    )


def _dishes(one: ToRead) -> str:
    names = list(one.dishes[:_NAMED])
    if len(one.dishes) > _NAMED:
        names.append(gettext("%(n)s more") % {"n": len(one.dishes) - _NAMED})
    return "; ".join(names)


_SHOWN: Final[Mapping[str, Callable[[ToRead, str], ToReadShown]]] = {
    "note": _note,
    **dict.fromkeys(_WHERE, _words),
    "named": _name,
    "spoken": _spoken,
    "own": _own,
    "message": _message,
    "elsewhere": _message,
    "before": _before,
    "other": _other,
    "never_hot": _never_hot,
    "holding": _holding,
    "less": _less,
    "fall": _fall,
}
