"""What figures that cooling reads can be: the same on a page as in a Book that is imported; own choice."""

from typing import Final

#: Temperatures, coldest and hottest [°C].
LEAVES_C: Final = (-5, 150)
STATION_C: Final = (-80, 500)
ROOM_C: Final = (0, 50)
AWAY_C: Final = (-20, 60)
#: What the six parts of a composition may add up to [%]: figures of labels are rounded, and alcohol has no place among
#: them. Beyond this something was mistyped.
COMPOSITION_SUM: Final = (90, 110)
