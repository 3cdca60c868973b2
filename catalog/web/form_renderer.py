"""Lists of choices written as Django's templates write them, without a template for each choice.

A page has hundreds of them: time zones, currencies, the ingredients that each row of a recipe may name.
"""

from collections.abc import Mapping
from typing import Any, Final

from django.forms.renderers import DjangoTemplates
from django.utils.functional import Promise
from django.utils.html import conditional_escape
from django.utils.safestring import SafeData, SafeString

_SELECT: Final = "django/forms/widgets/select.html"
_OPTION: Final = "django/forms/widgets/select_option.html"


class FormRenderer(DjangoTemplates):
    """Django's renderer of widgets; a list of choices that is nothing special is written here."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        """Return the HTML of a form's part."""
        if template_name == _SELECT and (plain := select_html(context["widget"])) is not None:
            return plain
        return super().render(template_name, context, request)


def select_html(widget: Mapping[str, Any]) -> SafeString | None:
    """Return a list of choices as its template writes it; None where a choice has a template or a label of its own."""
    parts = [f'<select name="{_text(widget["name"])}"{_attributes(widget["attrs"])}>']
    for group, options, _ in widget["optgroups"]:
        if group:
            parts.append(f'\n  <optgroup label="{_text(group)}">')
        for option in options:
            label = option["label"]
            if option["template_name"] != _OPTION or not isinstance(label, str | Promise):
                return None
            value, own = _text(option["value"]), _attributes(option["attrs"])
            parts.append(f'\n  <option value="{value}"{own}>{_text(label)}</option>\n')
        if group:
            parts.append("\n  </optgroup>")
    return SafeString("".join(parts) + "\n</select>")


def _attributes(attrs: Mapping[str, Any]) -> str:
    shown = ((name, value) for name, value in attrs.items() if value is not False)
    return "".join(f" {_text(name)}" + ("" if value is True else f'="{_text(value)}"') for name, value in shown)


def _text(value: Any) -> str:
    return conditional_escape(value if isinstance(value, SafeData) else str(value))
