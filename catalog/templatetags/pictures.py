"""Photographs, line drawings and the kitchen's logo as HTML, for pages and for printed documents."""

from collections.abc import Mapping
from typing import Any, Final

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from catalog.kitchen.models import KitchenLogo
from catalog.pictures.refs import PictureRef
from catalog.pictures.selectors import ref_of
from catalog.products.looks import ProductLook, drawing_kind
from catalog.web.drawings import drawing

register = template.Library()

#: How wide a picture stands on a page, in the words of the attribute ``sizes``.
_SIZES: Final = {"thumb": "5rem", "wide": "(max-width: 48rem) 100vw, 44rem"}
#: The width that a browser without ``srcset`` loads.
_USUAL: Final = {"thumb": 320, "wide": 640}
#: Height of a logo at the head of a page, px, and the widest it gets there.
_LOGO_HEIGHT: Final = 56
_SOFT: Final = "#6a5f59"


def picture_address(ref: PictureRef, width: int) -> str:
    """Return the address of a picture's file of a width."""
    return reverse("picture-file", args=[ref.sha256, width, ref.suffix])


@register.simple_tag
def product_picture(look: Any, size: str = "thumb", *, lazy: bool | None = None, silent: bool = False) -> SafeString:
    """Show how a dessert looks: its photograph, or else the drawing of its kind.

    ``look`` has a ``picture`` or a ``drawing``: a product's look, or a line of a sent quote. ``size`` is "thumb" or
    "wide"; a thumb is loaded when it comes near, unless ``lazy`` says otherwise. ``silent`` where the name beside it
    says all.
    """
    ref: PictureRef | None = getattr(look, "picture", None)
    if ref is None:
        return drawing(getattr(look, "drawing", "") or drawing_kind(getattr(look, "name", "")), size)
    width, _ = ref.at_least(_USUAL[size])
    full = ref.largest
    return format_html(
        '<img class="photo as-{}" src="{}" srcset="{}" sizes="{}" width="{}" height="{}" alt="{}"{} decoding="async">',
        size,
        picture_address(ref, width),
        format_html_join(", ", "{} {}w", ((picture_address(ref, wide), wide) for wide, _ in ref.sizes)),
        _SIZES[size],
        full[0],
        full[1],
        "" if silent else ref.alt,
        SafeString(' loading="lazy"') if (size == "thumb" if lazy is None else lazy) else "",
    )


@register.filter
def of_key(looks: Mapping[int, ProductLook], key: int) -> ProductLook:
    """Return the look of a product of a list."""
    return looks[key]


@register.simple_tag
def one_picture(ref: PictureRef | None, size: str) -> SafeString:
    """Show a picture by itself, small or as a logo, where a form speaks of it."""
    if ref is None:
        return SafeString("")
    return logo_image(ref) if size == "logo" else product_picture(ProductLook(ref, ""), size)


@register.simple_tag
def printed_picture(look: Any) -> SafeString:
    """Show how a dessert looks in a document, whose renderer reads files by their names alone."""
    ref: PictureRef | None = getattr(look, "picture", None)
    if ref is None:
        kind = getattr(look, "drawing", "") or drawing_kind(getattr(look, "name", ""))
        return drawing(kind, "printed", ink=_SOFT, title=getattr(look, "name", ""))
    return format_html('<img class="as-printed" src="pictures/{}" alt="{}">', ref.printed, ref.alt)


@register.simple_tag
def printed_logo(ref: PictureRef | None) -> SafeString:
    """Show the kitchen's logo in a document."""
    if ref is None:
        return SafeString("")
    return format_html('<img class="logo" src="pictures/{}" alt="{}">', ref.printed, ref.alt)


@register.inclusion_tag("catalog/kitchen/name.html")
def kitchen_name(name: str) -> dict[str, Any]:
    """Write the kitchen's name at the head of a page, with its logo if it has one: one query."""
    shown = KitchenLogo.objects.select_related("picture").exclude(picture=None).first()
    if shown is None:
        return {"name": name}
    return {"name": name, "logo": logo_image(ref_of(shown.picture, shown.alt)), "has_name": shown.has_name}


def logo_image(ref: PictureRef | None) -> SafeString:
    """Show a logo at the head of a page."""
    if ref is None:
        return SafeString("")
    width, height = ref.largest
    return format_html(
        '<img class="logo" src="{}" width="{}" height="{}" alt="{}" decoding="async">',
        picture_address(ref, ref.at_least(0, 2 * _LOGO_HEIGHT)[0]),
        width,
        height,
        ref.alt,
    )
