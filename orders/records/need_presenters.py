"""Refusals about what guests cannot eat, in sentences."""

from collections.abc import Mapping
from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.pantry.presenters import counted_need_words, need_words
from catalog.records.presenters import Sentences, Writers

NEED_SENTENCES: Final[Sentences] = {
    "text_unread": marked("“{text}” may speak of what a guest cannot eat. Read it, and check the box that you have."),
    "own_text_unread": marked(
        "Guests have allergies or diets, or may have. Read your text again, and check the box that what it says "
        "about food is true for them."
    ),
    "messages_unread": marked(
        "The customer wrote and nobody has read it: “{text}”. Read it, and check the box that you have."
    ),
    "kitchen_note_unread": marked(
        "The kitchen note may name what a guest cannot eat: “{text}”. Add the need, or check the box that you have "
        "read it."
    ),
    "sheets_old": marked(
        "The kitchen sheets that were opened are of revision {revision}; the order is at revision "
        "{in_force}. Open them again, or check the box that the old ones are gone."
    ),
    "not_asked": marked(
        "The customer was not asked about allergies. Ask, and record the answer on the inquiry; or check the box "
        "that you have "
        "seen it."
    ),
    "order_unsettled": marked(
        "What guests cannot eat is not settled with the customer. Settle it first, or check that the order goes on all "
        "the same."
    ),
    "needs_taken_off": marked(
        "The order counts on {codes:needs}. Check that no guest has it any more, or leave it under allergies and diets."
    ),
    "message_unanswered": marked(
        "A message of the customer may name what a guest cannot eat: “{text}”. Record it as a need, or record that "
        "there is none in it."
    ),
    "need_in_reason": marked(
        "What you entered names what a guest cannot eat, and the list of allergies and diets lacks it or has another "
        "number of guests: {needs:needs}. Correct the list first, or write how the approval was given without it."
    ),
    "call_names_need": marked(
        "What you entered may name what a guest cannot eat: “{text}”. Add the need to the list, or check the box that "
        "none is missing."
    ),
    "needs_not_in_list": marked(
        "Not in the list of allergies and diets, or for fewer guests: {needs:counted_needs}. Add it to the list."
    ),
    "list_empty": marked(
        "No allergy or diet is in the list yet. Add what the message names, or write it in the allergy notes."
    ),
    "not_compared": marked(
        "Compare the message with the list of allergies and diets, and check the box that you have. Then choose "
        "“Already in the list”."
    ),
    "list_changed": marked(
        "The list of allergies and diets changed after you opened the page. Compare the message with the list as it is "
        "now."
    ),
    "names_needs": marked(
        "The message names what is not in the list of allergies and diets: {needs:counted_needs}. Add it to the list, "
        "or check the box that it is not about a guest of this event."
    ),
    "names_known": marked(
        "The message may be about allergies or diets: “{text}”. Add to the list whom it lacks, or check the box that "
        "nobody is to be added."
    ),
    "names_reaction": marked(
        "The message speaks of a reaction: “{text}”. Ask the customer what causes it and add it to the list or the "
        "allergy notes, or check the box that it is not about a guest of this event."
    ),
}


def _counted(needs: Mapping[str, int | None]) -> str:
    counts = {code: count for code, count in needs.items() if count}
    return counted_need_words(needs, counts)


NEED_WRITERS: Final[Writers] = {"needs": need_words, "counted_needs": _counted}
