"""The catalog of British English, beside the US English of the sources: a text to edit, and what Django reads."""

import io
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from config.wording.extraction import Found
from config.wording.spelling import british

LANGUAGE: Final = "en_GB"
_HEADER: Final = """\
# Coldset in British English. The sources are in US English.
# "make words" adds what is new and proposes its spelling; wording that differs is edited here."""


def path_of(root: Path) -> Path:
    """Return where the British catalog is edited."""
    return root / "config" / "locale" / LANGUAGE / "LC_MESSAGES" / "django.po"


def read(root: Path) -> Catalog:
    """Return the British catalog; empty where there is none."""
    path = path_of(root)
    if not path.exists():
        return Catalog(locale=LANGUAGE)
    with path.open("rb") as file:
        return read_po(file, locale=LANGUAGE)


def updated(old: Catalog, found: Iterable[Found]) -> Catalog:
    """Return the catalog of what is marked now: earlier wording is taken over, what is new is spelled by its words."""
    catalog = Catalog(locale=LANGUAGE, project="Coldset", header_comment=_HEADER, charset="utf-8")
    for one in found:
        before = old.get(one.text, one.context or None)
        proposal = (british(one.text), british(one.plural)) if one.plural else british(one.text)
        string = before.string if before is not None and _is_whole(before.string, one) else proposal
        catalog.add(one.key, string, locations=[(one.place, 0)], context=one.context or None)
    return catalog


def _is_whole(string: str | Iterable[str] | None, one: Found) -> bool:
    parts = [string] if isinstance(string, str) else list(string or ())
    return len(parts) == (2 if one.plural else 1) and all(parts)


def po_bytes(catalog: Catalog) -> bytes:
    """Write a catalog as a text, without what changes when lines are moved."""
    out = io.BytesIO()
    write_po(out, catalog, width=0, omit_header=False, sort_output=True, include_lineno=False, ignore_obsolete=True)
    return b"\n".join(
        line
        for line in out.getvalue().split(b"\n")
        if not line.startswith((b'"POT-Creation', b'"PO-Revision', b'"Generated'))
    )


def mo_bytes(catalog: Catalog) -> bytes:
    """Write a catalog as gettext reads it."""
    out = io.BytesIO()
    write_mo(out, catalog)
    return out.getvalue()


def write(root: Path, catalog: Catalog) -> None:
    """Store a catalog, as a text and as Django reads it."""
    path = path_of(root)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(po_bytes(catalog))
    path.with_suffix(".mo").write_bytes(mo_bytes(read(root)))
