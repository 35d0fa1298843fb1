"""The keys under which an aircraft's own figures are found, by which a reading is judged.

No figure of a type stands in a list. A reading names a key, and the aircraft's definition (or the limits written on
it) holds the figure and its page.
"""

from __future__ import annotations

from gyrewright.card import COUNTS, READ_ON_A_WALK
from gyrewright.limits import QUANTITIES

SHEET: dict[str, str] = {"ballast_on_sheet": "mass", "weighed_on": "date", "manual_revision": "text"}
"""What the loading sheet and the papers of the day say."""


def dimension_of(key: str) -> str:
    """Return the kind of figure that a key holds ("count", "date" and "text" among them); empty for no key at all."""
    if key in COUNTS:
        return "count"
    limited = QUANTITIES.get(key)
    return READ_ON_A_WALK.get(key) or SHEET.get(key) or (limited.dimension if limited else "")
