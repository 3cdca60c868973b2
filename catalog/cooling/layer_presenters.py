"""Two layers in words: what was there, and what lies on it; each is judged by itself."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.words import fast_time, legs_outcome, likely_time, slow_time
from catalog.web import display
from costing.chilling import LayerReport

_NAMES: Final = {"lower": marked("Bottom layer"), "upper": marked("Top layer")}


@dataclass(frozen=True, slots=True)
class LayerShown:
    """A layer: how warm it starts, the warmest its middle gets and when, how long some of it is not cold."""

    name: str
    starts: str
    warmest: str
    fast: str
    likely: str
    slow: str
    met: str
    broken: bool


def layers_shown(layers: Iterable[LayerReport]) -> tuple[LayerShown, ...]:
    """Write how each layer does."""
    return tuple(map(_layer_shown, layers))


def _layer_shown(layer: LayerReport) -> LayerShown:
    warmest = display.temperature(layer.peak_c, 1)
    if layer.peak_minute >= 1:
        after = display.duration(round(layer.peak_minute))
        warmest = gettext("%(warmest)s after %(time)s") % {"warmest": warmest, "time": after}
    return LayerShown(
        name=gettext(_NAMES[layer.name]),
        starts=display.temperature(layer.initial_c, 1),
        warmest=warmest,
        fast=fast_time(layer.above_cold.fast),
        likely=likely_time(layer.above_cold.likely),
        slow=slow_time(layer.above_cold.slow),
        met=legs_outcome(layer.legs) if layer.legs else gettext("the rule states no times"),
        broken=not all(leg.likely.met for leg in layer.legs),
    )
