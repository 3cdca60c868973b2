"""The cautions that must accompany every estimate of cooling or warming."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "This is an estimate by heat conduction. Times are typically off by −25 to +40 %, by more in a full or warm"
    " refrigerator. Check with a calibrated probe at the warmest point; on wood or card that is the base.",
    "The local food code holds, not this estimate. Its clock starts when the probe shows 57 °C (135 °F). What is not"
    " cold in time needs to be smaller or shallower, or needs a blast chiller or an ice bath.",
    "The estimate does not hold for freezing air, for warm food stacked, boxed or covered before it is cold, or for"
    " water baths, unless the film coefficients are set for that.",
    "A rim warms within seconds of leaving the cold. How long food may be out is for the food code to say.",
    "Whether a dessert needs time and temperature control depends on its acidity and water activity. That is for a"
    " product assessment, not for this tool.",
)
"""Plain sentences, in the order they matter."""
