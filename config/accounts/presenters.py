"""Accounts in words: refusals, limits of a session, browsers."""

import re
from typing import Final

import segno
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.errors import Refusal, TooManyTries
from catalog.web.display import clock
from config.accounts.session_store import ABSOLUTE, IDLE

SENTENCES: Final = {
    "account": marked("That cannot be done."),
    "wrong_password": marked("This is not your password. Check it and try again."),
    "wrong_code": marked("This code is wrong or was used before. Wait for the next code in your app and enter that."),
    "nothing_to_confirm": marked("The QR code has expired. Start again."),
    "link_used_up": marked("This link was used before, or it is more than an hour old."),
    "name_taken": marked("Somebody has this user name already. Choose another one."),
    "last_owner": marked("Nobody else is an owner, and a kitchen needs one. Make somebody else an owner first."),
    "owner_exists": marked("This kitchen has an owner already. Sign in, or ask the owner to add you."),
    "no_second_factor": marked("There is no two-step sign-in to change."),
    "role_needs_second_factor": marked("The owner requires two-step sign-in for your role, so it stays on."),
    "own_second_factor_first": marked(
        "You have this role yourself and no two-step sign-in yet. Set it up on your own account first, then require it."
    ),
}

#: What a browser says about itself -> its family; the first that fits. Many name others they resemble.
_FAMILIES: Final = (
    (r"Edg(e|A|iOS)?/", "Edge"),
    (r"OPR/", "Opera"),
    (r"SamsungBrowser/", "Samsung Internet"),
    (r"Firefox/|FxiOS/", "Firefox"),
    (r"Chrome/|CriOS/|Chromium/", "Chrome"),
    (r"Safari/", "Safari"),
)
_SYSTEMS: Final = (
    (r"iPhone", "iPhone"),
    (r"iPad", "iPad"),
    (r"Android", "Android"),
    (r"Windows", "Windows"),
    (r"Mac OS X|Macintosh", "Mac"),
    (r"CrOS", "ChromeOS"),
    (r"Linux", "Linux"),
)


def account_sentence(error: Refusal) -> str:
    """Write a refusal."""
    if isinstance(error, TooManyTries):
        return gettext("Too many tries. Wait until %(time)s, then try again.") % {"time": clock(error.until)}
    return gettext(SENTENCES[error.code])


def browser_words(user_agent: str) -> str:
    """Write a browser's family and system, such as Firefox on Android."""
    family = next((name for pattern, name in _FAMILIES if re.search(pattern, user_agent)), gettext("A browser"))
    system = next((name for pattern, name in _SYSTEMS if re.search(pattern, user_agent)), "")
    return gettext("%(browser)s on %(system)s") % {"browser": family, "system": system} if system else family


def in_groups(secret: str) -> str:
    """Write a secret in groups of four, as it is typed."""
    return " ".join(secret[start : start + 4] for start in range(0, len(secret), 4))


def qr_picture(text: str) -> SafeString:
    """Draw a QR code as SVG; the text beside it says the same."""
    picture = segno.make(text, micro=False).svg_inline(
        scale=5,
        border=4,
        dark="#000000",
        light="#ffffff",
        title=gettext("QR code to scan"),
        svgclass=None,
        lineclass=None,
    )
    return mark_safe(picture)  # noqa: S308 - shapes and numbers made by the library


def limits_of_session() -> str:
    """Write when a session ends by itself."""
    hours = IDLE.days * 24 + IDLE.seconds // 3600
    return gettext("A browser is signed out after %(hours)s hours without use, and %(days)s days after signing in.") % {
        "hours": hours,
        "days": ABSOLUTE.days,
    }
