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

from gyrewright.fact import Fact
from gyrewright.finding import Condition, Finding, Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.choices import with_block
from gyrewright.release.decide import answer_of, arranged
from gyrewright.release.edges import spans
from gyrewright.release.grid import Axis
from gyrewright.release.question import Question
from gyrewright.release.situation import situation_of

LONGEST_H = 24.0


def block_axis(points: NDArray[np.float64]) -> Axis:
    """Return the axis of the length of the flight, in hours."""

    def facts(point: float) -> Mapping[str, Any]:
        return {"block_h": point}

    return Axis("block", points, lambda at: {"block_h": at}, facts, stride=16)


def decide_open(question: Question) -> Answer:
    """Return the answer for a flight whose end is left open."""
    counting = {fact.name: fact for fact in question.operation.counting}
    least: Fact = counting["least_useful_h"]
    if not least.is_known:
        nobody_says = replace(least, name="block_h")
        flight = replace(question.flight, block=nobody_says)
        return answer_of(situation_of(replace(question, flight=flight)))
    shortest = situation_of(with_block(question, least.value))
    answer = answer_of(shortest)
    depart_at = question.flight.depart_at
    if answer.verdict >= Verdict.UNKNOWN or depart_at is None:
        return answer
    found = spans(shortest, block_axis, low=least.value, high=LONGEST_H)
    end = next(span for span in found if span.low <= least.value)
    # Whole minutes, to the careful side; the slack is what closing in on an edge leaves open.
    length = timedelta(minutes=int(end.high * 60.0 + 1e-4))
    down_by = (depart_at + length).astimezone(question.field.zone)
    commander = shortest.sheet.value("commander") or ""
    condition = Condition("time.down_by", commander, down_by, {"down_by": down_by, "binds": end.binds_high})
    finding = Finding(
        "time.open_end",
        Verdict.GO_IF,
        "go_if",
        value=length.total_seconds() / 3600.0,
        dimension="time",
        conditions=(condition,),
        inputs=("block_h", "depart_at"),
        params={"down_by": down_by, "length_min": length.total_seconds() / 60.0, "binds": end.binds_high},
    )
    return arranged(answer, (*answer.findings, finding))
