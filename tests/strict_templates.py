"""Templates may not ask our objects for what they do not have: Django would show nothing, and nobody would notice."""

from typing import Any, Final

from django.forms import BaseForm
from django.template.base import Variable, VariableDoesNotExist

_OURS: Final = ("catalog", "costing", "orders")
#: Attributes that some objects of a shared template lack, each with the reason.
ALLOWED: Final = {
    ("RecipeStep", "leaves_c"): "steps of recipes and products share a template; a recipe's step states no temperature",
}
_resolve = Variable._resolve_lookup  # type: ignore[attr-defined]  # where Django looks names up


def resolve_strictly(self: Variable, context: Any) -> Any:
    """Look a variable up as Django does; a missing attribute of one of our objects is an error, wherever it stands.

    A form's fields may be left out, so forms are looked up as before.
    """
    try:
        return _resolve(self, context)
    except VariableDoesNotExist as missing:
        name, thing = (*missing.params, None)[:2]
        kind = type(thing)
        if kind.__module__.partition(".")[0] not in _OURS or isinstance(thing, BaseForm):
            raise
        if (kind.__name__, name) in ALLOWED:
            raise
        raise AttributeError(f"a template asks {kind.__name__} for {name!r} in {self.var!r}") from missing
