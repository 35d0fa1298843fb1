"""The groups that open a report: the station and the time, told by their place."""

from __future__ import annotations

import re
from datetime import datetime

from gyrewright.air.reports.clock import nearest
from gyrewright.air.reports.facts import Group
from gyrewright.air.reports.tokens import CHANGE, Reading, word_at

_STATION = re.compile(r"([A-Z][A-Z0-9]{3}) ", re.ASCII)
_TIME = re.compile(r"([0-9]{2})([01][0-9]|2[0-3])([0-9]{2})Z ", re.ASCII)


def words(reading: Reading, line: str, pattern: re.Pattern[str], kinds: tuple[str, ...]) -> tuple[tuple[str, ...], int]:
    """Read the words before the station; return each, empty where it is not there, and the place after them."""
    found = pattern.match(line)
    assert found is not None, "every part of the pattern may be missing"
    texts = tuple(text or "" for text in found.groups())
    reading.groups.extend(Group(text, kind, True) for text, kind in zip(texts, kinds, strict=True) if text)
    return texts, found.end()


def station(reading: Reading, line: str, at: int) -> tuple[str, int]:
    """Read the station; return it, empty where it is lost or not there, and the place after it."""
    if found := _STATION.match(line, at):
        reading.groups.append(Group(found[1], "station", True))
        return found[1], found.end()
    if _TIME.match(line, at) or at == len(line):
        reading.draft.missing.add("station")
        return "", at
    text = word_at(line, at)
    reading.could_not_read(text, frozenset({"station"}))
    return "", at + len(text) + 1


def time(reading: Reading, line: str, at: int, *, received_at: datetime) -> tuple[datetime | None, int]:
    """Read the time of issue; return it, None where it is lost or not there, and the place after it."""
    found = _TIME.match(line, at)
    if found and (moment := nearest(day=int(found[1]), hour=int(found[2]), minute=int(found[3]), to=received_at)):
        reading.groups.append(Group(found[0].rstrip(), "time", True))
        return moment, found.end()
    if at == len(line) or (not found and reading.table.find(line, at)):
        reading.draft.missing.add("time")
        return None, at
    text = word_at(line, at)
    reading.could_not_read(text, (reading.table.resembled(line, at) | {"time"}) - {CHANGE})
    return None, at + len(text) + 1
