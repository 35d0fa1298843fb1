"""A flight whose end is left open: how long it may last is part of the answer.

It is first asked for the shortest flight that the house finds useful. If that passes, the flight may go on until the
first check that would stop it; then it must be down, and that is the condition.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.finding import Condition, Finding, Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.axes import Axis
from gyrewright.release.choices import with_block
from gyrewright.release.decide import answer_of, arranged
from gyrewright.release.question import Question
from gyrewright.release.situation import situation_of
from gyrewright.release.stretches import Choice, stretches

LONGEST_MIN = 24 * 60
LOOKED_AHEAD_MIN = 2 * 60
LOOKED_AT_MIN = 20


def block_axis(points: NDArray[np.float64]) -> Axis:
    """Return the axis of the length of the flight, in hours."""

    def facts(point: float) -> Mapping[str, Any]:
        return {"block_h": point}

    return Axis("block", points, lambda at: {"block_h": at}, facts, stride=LOOKED_AT_MIN)


def decide_open(question: Question) -> Answer:
    """Return the answer for a flight whose end is left open."""
    least = next(fact for fact in question.operation.counting if fact.name == "least_useful_h")
    if not least.is_known:
        nobody_says = replace(least, name="block_h")
        return answer_of(situation_of(replace(question, flight=replace(question.flight, block=nobody_says))))
    shortest = situation_of(with_block(question, least.value))
    answer = answer_of(shortest)
    depart_at = question.flight.depart_at
    if answer.verdict >= Verdict.UNKNOWN or depart_at is None:
        return answer
    length_min, binds = longest(question, least.value)
    length = timedelta(minutes=length_min)
    down_by = (depart_at + length).astimezone(question.field.zone)
    commander = shortest.sheet.value("commander") or ""
    condition = Condition("time.down_by", commander, down_by, {"down_by": down_by, "binds": binds})
    finding = Finding(
        "time.open_end",
        Verdict.GO_IF,
        "go_if",
        value=length_min / 60.0,
        dimension="time",
        conditions=(condition,),
        inputs=("block_h", "depart_at"),
        params={"down_by": down_by, "length_min": length_min, "binds": binds},
    )
    return arranged(answer, (*answer.findings, finding))


def longest(question: Question, least_h: float) -> tuple[float, str]:
    """Return up to how many minutes the flight may last, the shortest one passing, and what binds after that.

    Whole minutes beyond the shortest, so that the end is rounded to the careful side.
    """
    choice = Choice(lambda hours: with_block(question, hours), block_axis, frozenset({"block_h"}), LOOKED_AT_MIN)
    lengths_min = np.concatenate(
        [[least_h * 60.0], np.arange(np.floor(least_h * 60.0 + 1e-9) + 1.0, LONGEST_MIN + 1.0)]
    )
    last_min = float(lengths_min[0])
    for first in range(0, len(lengths_min), LOOKED_AHEAD_MIN):
        points_h = lengths_min[first : first + LOOKED_AHEAD_MIN] / 60.0
        for stretch in stretches(choice, points_h):
            found = stretch.survey.grid()
            codes = np.broadcast_to(found.codes, stretch.points.shape)
            failing = np.flatnonzero(~np.broadcast_to(found.passes, codes.shape))
            if len(failing):
                place = int(failing[0])
                last_min = float(stretch.points[place - 1] * 60.0) if place else last_min
                return round(last_min, 6), found.binding(int(codes[place]))
            last_min = float(stretch.points[-1] * 60.0)
    return round(last_min, 6), ""
