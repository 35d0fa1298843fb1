"""A number over time: what reports and forecasts say of it, piece by piece, and its extremes over a whole flight.

A piece runs straight from its first to its last value; most are level. Pieces may overlap (a temporary wind beside the
prevailing one): everything that may hold counts. Time is minutes since 1970-01-01 UTC. Between two given times a caller
makes either one straight piece, where the data say so, or two level ones, one for each end, so that the worse counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from gyrewright.arrays import Num, is_plain
from gyrewright.sheet import Partial

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def minutes(moment: datetime) -> float:
    """Return an aware moment as minutes since 1970-01-01 UTC."""
    return (moment - _EPOCH).total_seconds() / 60.0


def moment_of(minute: float) -> datetime:
    """Return the UTC moment of minutes since 1970-01-01 UTC, to the second."""
    return _EPOCH + timedelta(seconds=round(minute * 60.0))


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of time with its values at both ends; None where `by` should have told and does not."""

    start_min: float
    end_min: float
    first: float | None
    last: float | None
    by: str

    def at(self, minute: Num) -> Num:
        """Return the value at a minute inside the piece."""
        assert self.first is not None
        assert self.last is not None
        if self.first == self.last or self.end_min == self.start_min:
            return self.first
        return self.first + (self.last - self.first) * ((minute - self.start_min) / (self.end_min - self.start_min))


@dataclass(frozen=True, slots=True)
class Course:
    """Pieces in the order in which they begin, and the name of what is lacking where there is none."""

    pieces: tuple[Piece, ...]
    lacking: str


def course(pieces: list[Piece], lacking: str) -> Course:
    """Return the course of pieces given in any order."""
    return Course(tuple(sorted(pieces, key=lambda piece: (piece.start_min, piece.end_min))), lacking)


def largest(course: Course, start_min: Num, end_min: Num) -> Num | Partial:
    """Return the largest value from start to end; known only where pieces cover the whole stretch."""
    return _extreme(course, start_min, end_min, 1.0)


def smallest(course: Course, start_min: Num, end_min: Num) -> Num | Partial:
    """Return the smallest value from start to end; known only where pieces cover the whole stretch."""
    return _extreme(course, start_min, end_min, -1.0)


def _extreme(course: Course, start_min: Num, end_min: Num, sign: float) -> Num | Partial:
    if is_plain(start_min, end_min):
        return _extreme_of_one(course, start_min, end_min, sign)  # type: ignore[arg-type]
    return _extreme_of_many(course, start_min, end_min, sign)


def _extreme_of_one(course: Course, start_min: float, end_min: float, sign: float) -> float | Partial:
    best: float | None = None
    covered = start_min
    for piece in course.pieces:
        if not _meets(piece, start_min, end_min):
            continue
        if piece.first is None or piece.start_min > covered:
            return Partial(None, False, course.lacking)
        covered = max(covered, piece.end_min)
        for minute in (max(piece.start_min, start_min), min(piece.end_min, end_min)):
            value = float(piece.at(minute))
            if best is None or sign * value > sign * best:
                best = value
    if best is None or covered < end_min:
        return Partial(None, False, course.lacking)
    return best


def _meets(piece: Piece, start_min: float, end_min: float) -> bool:
    """Return whether a piece and a flight share more than an edge; an instant is met by whatever touches it."""
    if piece.start_min == piece.end_min:
        return start_min <= piece.start_min <= end_min
    begun = piece.start_min < end_min or piece.start_min == start_min == end_min
    return begun and start_min < piece.end_min


def _extreme_of_many(course: Course, start_min: Num, end_min: Num, sign: float) -> Partial:
    import numpy as np

    start, end = np.broadcast_arrays(np.asarray(start_min, float), np.asarray(end_min, float))
    # Where nothing is known the value is a placeholder under a false mask; it is never compared.
    best: Any = np.full(start.shape, -1e308)
    known: Any = np.ones(start.shape, bool)
    covered: Any = start.copy()
    for piece in course.pieces:
        if piece.start_min == piece.end_min:
            meets = (piece.start_min <= end) & (start <= piece.end_min)
        else:
            begun = (piece.start_min < end) | ((start == end) & (piece.start_min == end))
            meets = begun & (start < piece.end_min)
        if piece.first is None:
            known &= ~meets
            continue
        known &= ~meets | (piece.start_min <= covered)
        covered = np.where(meets, np.maximum(covered, piece.end_min), covered)
        for minute in (np.maximum(piece.start_min, start), np.minimum(piece.end_min, end)):
            best = np.where(meets, np.maximum(best, sign * piece.at(minute)), best)
    known &= (covered >= end) & (best > -1e308)
    return Partial(np.where(known, sign * best, 0.0), known, course.lacking)


def first_beyond(course: Course, limit: float, start_min: float, *, upper: bool) -> tuple[float, str] | None:
    """Return the first minute from the start at which the value leaves its limit, and by which report; else None.

    Where the value runs straight through the limit that is the crossing itself; where it jumps, the jump.
    """
    sign = 1.0 if upper else -1.0
    found: tuple[float, str] | None = None
    for piece in course.pieces:
        if piece.first is None or piece.last is None or piece.end_min < start_min:
            continue
        at = max(piece.start_min, start_min)
        first, last = sign * (float(piece.at(at)) - limit), sign * (piece.last - limit)
        if first <= 0.0 < last:
            at += (piece.end_min - at) * (-first / (last - first))
        elif first <= 0.0:
            continue
        if found is None or at < found[0]:
            found = (at, piece.by)
    return found
