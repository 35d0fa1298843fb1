"""Letters that nobody can see stand in no field and no record: what is read would not be what is kept."""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    "["
    "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # controls, except tab and the ends of lines
    "\u202a-\u202e\u2066-\u2069"  # what turns the direction of the letters that follow
    "\ud800-\udfff"  # halves of letters, which no file can hold
    "]"
)


def unseen(text: str) -> str:
    """Return the first letter of a text that cannot be seen, as its code point; empty where there is none."""
    found = _UNSEEN.search(text)
    return f"U+{ord(found.group()):04X}" if found else ""
