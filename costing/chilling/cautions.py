"""The cautions that must accompany every estimate of cooling or warming."""

from __future__ import annotations

from typing import Final

SOONER, LATER = (15, 35), (35, 95)
"""How much sooner than likely food is cold (5 °C) at the fast end of its range, and how much later at the slow end [%].

From the least to the most in the cases computed apart from this project, rounded outwards to five: a test computes them
again. The closer the refrigerator's air is to 5 °C, the wider the range."""

BAND: Final = (
    f"food is cold {SOONER[0]} to {SOONER[1]}% sooner than the likely time at the fast end of the range, and"
    f" {LATER[0]} to {LATER[1]}% later at the slow end"
)
"""The words for it; wherever such a band is printed, these are printed."""

THICK_MOST: Final = 2
"""The longest that thick fillings left standing were measured to take, as a multiple of the estimate."""

THICK: Final = f"0.4 to {THICK_MOST} times"
"""How long thick fillings left standing were measured to take, of the estimate: pots and buckets from 195 mm on (see
`costing.chilling.plans.Doubt`); a test computes it again."""

CAUTIONS: tuple[str, ...] = (
    f"This is an estimate by heat conduction. It has a range: typically {BAND}, later still in a full or warm"
    " refrigerator. Check with a calibrated probe at the warmest point; on wood or card that is the base.",
    "The local food code holds, not this estimate. Its clock starts when the probe shows 57 °C (135 °F). What is not"
    " cold in time needs to be smaller or shallower, or needs a blast chiller or an ice bath.",
    f"The estimate does not hold for freezing air, or for warm food stacked or boxed before it is cold. Thick fillings"
    f" left standing in pots and buckets were measured at {THICK} the estimate: divide them over shallow pans,"
    " or stir them in an ice bath.",
    "A rim warms within seconds of leaving the cold. How long food may be out is for the food code to say.",
    "Whether a dessert needs time and temperature control depends on its acidity and water activity. That is for a"
    " product assessment, not for this tool.",
)
"""Plain sentences, in the order they matter."""
