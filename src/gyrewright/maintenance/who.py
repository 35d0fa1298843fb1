"""Who may carry out a cure, from the table of acts and people."""

from __future__ import annotations

from gyrewright.maintenance.defects import Entitled


def who_may(entitled: Entitled, act: str) -> str:
    """Return the ids of those entitled to an act, in the order of the alphabet; the act itself where nobody is."""
    return ", ".join(sorted(entitled.get(act, frozenset()))) or act
