"""What is asked where words name an allergen that the answers lack, and where it may only be made with one."""

from django.utils.translation import gettext

from catalog.pantry.kind_words import maybe_made_with


def name_asked(code: str, name: str) -> tuple[str, str]:
    """Return what is checked, and the question, where an ingredient's name has an allergen that is answered free."""
    if code in maybe_made_with(name):
        return (
            gettext("“%(named)s” may be made with %(what)s. I have read the label: there is none in it"),
            gettext("“%(named)s” may be made with %(what)s: read the label, or ask. Check it, or change the answer."),
        )
    return (
        gettext("Its name says %(what)s. I have read the label: there is none in it"),
        gettext("Its name says %(what)s. Is it free of %(what)s? Check it, or change the answer."),
    )


def list_asked(code: str, listed: str) -> tuple[str, str]:
    """Return the same of the list of ingredients on a label."""
    if code in maybe_made_with(listed):
        return (
            gettext("What is listed may be made with %(what)s. I have read the label: there is none in it"),
            gettext("What is listed may be made with %(what)s: read the label, or ask. Answer it, or check this."),
        )
    return (
        gettext("The ingredients say %(what)s. I have read the label: there is none in it"),
        gettext("The ingredients say %(what)s. Choose “contains” for it, or check this."),
    )


def beside_asked(code: str, named: str) -> str:
    """Return the refusal of own words that name another allergen, or may be made with one."""
    if code in maybe_made_with(named):
        return gettext(
            "“%(named)s” may be made with %(what)s: read the label, or ask. Answer “contains” or “may contain”, or "
            "change the words."
        )
    return gettext("“%(named)s” means %(what)s too: answer “contains” or “may contain”, or change the words.")
