"""When a flight could start today: the stretches of starts that pass, to the minute, and what binds at each end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.air.course import minutes, moment_of
from gyrewright.release import choices
from gyrewright.release.axes import Axis
from gyrewright.release.flight import OPEN
from gyrewright.release.grid import Codes, Grid, passing
from gyrewright.release.question import Question
from gyrewright.release.stretches import Choice, Stretch, stretches

LOOKED_AT_MIN = 60


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of starts that pass, and what binds before and after it; "" where the day looked at ends."""

    start_at: datetime
    end_at: datetime
    binds_before: str
    binds_after: str


def start_axis(question: Question, points: NDArray[np.float64]) -> Axis:
    """Return the axis of the start, in minutes."""
    zone = question.field.zone

    def facts(point: float) -> Mapping[str, Any]:
        local = moment_of(point).astimezone(zone)
        return {"depart_at": local, "flight_on": local.date()}

    return Axis("start", points, lambda at: {"depart_min": at}, facts, stride=LOOKED_AT_MIN)


def start_choice(question: Question) -> Choice:
    """Return the choice of the start."""
    return Choice(
        lambda minute: choices.with_start(question, minute),
        lambda points: start_axis(question, points),
        frozenset({"depart_at"}),
        LOOKED_AT_MIN,
    )


def day_minutes(question: Question) -> NDArray[np.float64]:
    """Return every minute from when the question is asked until the end of that local day."""
    asked_at = question.asked_at
    if asked_at is None:
        return np.array([], float)
    local = asked_at.astimezone(question.field.zone)
    end = datetime.combine(local.date() + timedelta(days=1), time(), tzinfo=question.field.zone).astimezone(UTC)
    return np.arange(np.ceil(minutes(asked_at)), minutes(end))


class Starts:
    """The starts of one day for a flight; a neighboring flight begins from what is known of this one."""

    def __init__(self, question: Question, known: Sequence[Stretch] = ()) -> None:
        self.question = question
        points = day_minutes(question)
        asks = len(points) and question.flight.depart_at is not None and question.flight.block.value != OPEN
        self.stretches = stretches(start_choice(question), points, known) if asks else ()

    def moved(self, question: Question) -> Starts:
        """Return the starts of a flight with other fuel or loads, from another runway or in another aircraft."""
        return Starts(question, self.stretches)

    def windows(self) -> tuple[Window, ...]:
        """Return the windows of the day, none before what is planned can be ready."""
        if not self.stretches:
            return ()
        ready = choices.ready_at(self.question)
        grids = [each.survey.grid() for each in self.stretches]
        points = [each.points for each in self.stretches]
        found = _windows(grids, points, -np.inf if ready is None else minutes(ready))
        zone = self.question.field.zone
        return tuple(
            Window(moment_of(first).astimezone(zone), moment_of(last).astimezone(zone), before, after)
            for first, last, before, after in found
        )


def windows(question: Question) -> tuple[Window, ...]:
    """Return when the flight could start today, to the minute, and what binds at each edge."""
    return Starts(question).windows()


def _windows(
    grids: list[Grid], points: list[NDArray[np.float64]], ready_min: float
) -> list[tuple[float, float, str, str]]:
    """Return first and last minute of each window, and the checks that bind just before and after it."""
    codes: list[Codes] = [np.broadcast_to(each.codes, at.shape) for each, at in zip(grids, points, strict=True)]
    passes = np.concatenate([passing(each) & (at >= ready_min) for each, at in zip(codes, points, strict=True)])
    minute = np.concatenate(points)
    names = [each.binding(int(code)) for each, some in zip(grids, codes, strict=True) for code in some]
    edges = np.flatnonzero(np.diff(np.concatenate([[False], passes, [False]]).astype(np.int8)))
    return [
        (
            float(minute[first]),
            float(minute[end - 1]),
            names[first - 1] if first and minute[first - 1] >= ready_min else "",
            names[end] if end < len(minute) else "",
        )
        for first, end in zip(edges[::2], edges[1::2], strict=True)
    ]
