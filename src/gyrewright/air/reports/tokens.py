"""Tables of groups, and the walk along a text that leaves no group unaccounted for.

A table is an ordered list of rows: a kind, a pattern, a reader, and the facts that such a group carries. All patterns
of a table are one alternation, so a group is recognized in a single match. A reader returns False where the group has
the right shape and an impossible content; it is then unread, like a group that fits no row at all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any, NamedTuple, TypeAlias

from gyrewright.air.reports.draft import Draft
from gyrewright.air.reports.facts import WEATHER_FACTS, Group, Period, Unread
from gyrewright.errors import ReportError

# No report comes near it: a bulletin of reports does, and so does text that is something else.
LONGEST_REPORT = 4000
_SHOWN = 60

# A group that opens a change of the forecast carries no weather; without it the groups that follow belong nowhere.
CHANGE = "change"
ANYTHING = frozenset((*WEATHER_FACTS, CHANGE))

# Mistyped letters are sought among these: all letters, a digit of each kind that a pattern tells apart, the signs.
_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ013/+-"
_LONGEST_COMPARED = 20
_MOST_COMPARED = 64


class Row(NamedTuple):
    """A kind of group. `read(reading, text, *parts)` takes the groups of the pattern; a blank ends every pattern."""

    kind: str
    pattern: str
    read: Callable[..., bool]
    carries: tuple[str, ...] = ()


# A pattern's match at a place; and by the number of its outer group each row, and its last group.
_Alternation: TypeAlias = tuple[Callable[[str, int], re.Match[str] | None], dict[int, tuple[Row, int]]]


class Table:
    """Rows compiled into one alternation; the first row that fits a whole group has it.

    Args:
        rows: The rows, in the order in which the groups are usually printed.
        shapes: Looser patterns, with the facts that a group of this shape may have carried if it is unread.
        otherwise: The facts that an unread group may have carried if it resembles nothing.
    """

    def __init__(
        self,
        *rows: Row,
        shapes: tuple[tuple[str, tuple[str, ...]], ...] = (),
        otherwise: frozenset[str] = ANYTHING,
    ) -> None:
        self._match, self._fitting = _alternation(rows)
        self._rows = rows
        self._shapes = shapes
        self._otherwise = otherwise

    @cached_property
    def _near(self) -> _Alternation:
        """The rows that carry something, to which alone a resemblance matters; seldom needed, and costly to compile."""
        return _alternation(tuple(row for row in self._rows if row.carries))

    def find(self, line: str, at: int) -> tuple[Row, str, tuple[Any, ...]] | None:
        """Return the row that fits at a place of the line, the text of the group and its parts."""
        found = self._match(line, at)
        if found is None or found.lastindex is None:
            return None
        row, last = self._fitting[found.lastindex]
        groups = found.groups()
        return row, groups[found.lastindex - 1], groups[found.lastindex : last]

    def resembled(self, line: str, at: int) -> frozenset[str]:
        """Return the facts of the kinds of group that the word at a place of the line resembles.

        It resembles every row that it fits itself (with an impossible content), or would fit with one character
        changed, left out or put in, a blank beside it included; and every shape it has.
        """
        word = word_at(line, at)
        carried: set[str] = set()
        if len(word) > _LONGEST_COMPARED:
            return frozenset()
        before = "".join(line[:at].split()[-1:])
        after = word_at(line, at + len(word) + 1)
        match, rows = self._near
        for near in (*_joined(before, word), *_joined(word, after), *_one_edit_away(word)):
            # With the word after it, for the groups that consist of two.
            found = match(f"{near} {after} ", 0)
            if found is not None and found.lastindex is not None and found.end() > len(near):
                carried.update(rows[found.lastindex][0].carries)
        for shape, facts in self._shapes:
            if re.fullmatch(shape, word, re.ASCII):
                carried.update(facts)
        return frozenset(carried)

    def may_have_carried(self, line: str, at: int) -> frozenset[str]:
        """Return the facts that an unread group may have carried: what it resembles, or if nothing, anything."""
        return self.resembled(line, at) or self._otherwise


def _alternation(rows: tuple[Row, ...]) -> _Alternation:
    """Return one pattern for all rows, and by the number of each row's outer group the row and its last group."""
    # No row fits nothing at all, whatever parts of its pattern may be left out.
    alternatives = "|".join(f"(?P<row{number}>{row.pattern})" for number, row in enumerate(rows))
    pattern = re.compile(f"(?! )(?:{alternatives}) ", re.ASCII)
    outer = [pattern.groupindex[f"row{number}"] for number in range(len(rows))]
    last = [*(following - 1 for following in outer[1:]), pattern.groups]
    return pattern.match, dict(zip(outer, zip(rows, last, strict=True), strict=True))


def _joined(first: str, second: str) -> Iterator[str]:
    """Yield two words as one, should the blank between them be too many or stand for something else."""
    yield first + second
    for sign in _ALPHABET:
        yield first + sign + second


def _one_edit_away(text: str) -> Iterator[str]:
    """Yield a word, and what it may have been before one character was changed, lost or added."""
    yield text
    for at, replaced in enumerate((*text, "")):
        before, after = text[:at], text[at + len(replaced) :]
        if replaced:
            yield before + after
        for sign in _ALPHABET:
            yield before + sign + after
            yield before + sign + text[at:]


@dataclass(slots=True, eq=False)
class Stretch:
    """A stretch of the report with one validity, while it is read: the body, a trend, a period of a forecast."""

    kind: str
    first_group: int
    draft: Draft
    probability_percent: int | None = None
    start: datetime | None = None
    end: datetime | None = None
    last_group: int | None = None

    def close(self, groups: list[Group], *, needed: frozenset[str] = frozenset(), is_empty: bool = False) -> Period:
        """Return the period that this stretch describes; arguments as for `Draft.close`."""
        text = " ".join(group.text for group in groups[self.first_group : self.last_group])
        conditions = self.draft.close(needed=needed, is_empty=is_empty)
        return Period(self.kind, self.probability_percent, self.start, self.end, conditions, text)


@dataclass(slots=True, eq=False)
class Reading:
    """A report while it is read. `draft` takes the facts: that of the last stretch, unless a remark is being read."""

    table: Table
    draft: Draft = field(default_factory=Draft)
    groups: list[Group] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)

    def open(self, kind: str, *, probability_percent: int | None = None, with_last_group: bool = True) -> Stretch:
        """Begin a stretch, with the group that was read last or after it."""
        self.end_stretch(with_last_group=with_last_group)
        self.draft = Draft()
        stretch = Stretch(kind, len(self.groups) - with_last_group, self.draft, probability_percent)
        self.stretches.append(stretch)
        return stretch

    def end_stretch(self, *, with_last_group: bool = True) -> None:
        """End the last stretch where another begins with the group that was read last, or after it."""
        if self.stretches and self.stretches[-1].last_group is None:
            self.stretches[-1].last_group = len(self.groups) - with_last_group

    def could_not_read(self, text: str, carried: frozenset[str]) -> None:
        """Record a group that could not be read, and give up the facts that it may have carried.

        If it may have opened a change, what follows belongs to a stretch of which nothing is known.
        """
        self.groups.append(Group(text, "unread", False))
        self.unread.append(Unread(text, carried))
        self.draft.lost |= carried - {CHANGE}
        if CHANGE in carried:
            self.open("unknown").draft.lost |= ANYTHING - {CHANGE}


def walk(reading: Reading, line: str, at: int) -> None:
    """Read every group of a line from a place on; a blank ends every group."""
    groups, end = reading.groups, len(line)
    while at < end:
        found = reading.table.find(line, at)
        if found is not None:
            row, text, parts = found
            # The group is listed before it is read, so that a stretch which it opens begins with it.
            groups.append(Group(text, row.kind, True))
            if row.read(reading, text, *parts):
                at += len(text) + 1
                continue
            groups.pop()
        text = word_at(line, at)
        few = len(reading.unread) < _MOST_COMPARED
        reading.could_not_read(text, reading.table.may_have_carried(line, at) if few else ANYTHING)
        at += len(text) + 1


def word_at(line: str, at: int) -> str:
    """Return the word that begins at a place of the line, empty at its end."""
    return line[at : max(line.find(" ", at), at)]


def one_line(text: str) -> str:
    """Return the groups of one report, each ended by one blank.

    Raises:
        ReportError: Nothing there, too much there, or text after the sign that ends a report.
    """
    report, _, rest = text.partition("=")
    if rest.replace("=", "").strip():
        raise ReportError(f"{shown(text)} goes on after '=', which ends a report; give one report at a time")
    words = report.split()
    if not words:
        raise ReportError("the text is empty; give the report as it was issued, such as METAR or TAF and a station")
    if len(text) > LONGEST_REPORT:
        raise ReportError(f"{shown(text)} has {len(text)} characters; one report has at most {LONGEST_REPORT}")
    return " ".join(words) + " "


def shown(text: str) -> str:
    """Return a text as an error may quote it: on one line, and not too long."""
    flat = " ".join(text.split())
    return repr(flat if len(flat) <= _SHOWN else flat[:_SHOWN] + "...")
