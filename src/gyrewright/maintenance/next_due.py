"""When an interval falls due again: by rule, by when the work was due, and by whether it was early or late."""

from __future__ import annotations

from datetime import date

from gyrewright.arrays import SAME_RATIO
from gyrewright.maintenance.program import Variation
from gyrewright.maintenance.spans import Span


def next_due_h(
    *, done_h: float, was_due_h: float | None, interval_h: float, late: str, early_keeps_h: float = 0.0
) -> float | None:
    """Return the meter reading at which an interval falls due again. [h, or the meter's own count]

    Args:
        done_h: The reading when it was last done.
        was_due_h: The reading at which it had been due; None where nobody knows.
        interval_h: The interval.
        late: "subtracts" takes time flown over off the next interval, "restarts" counts from the work.
        early_keeps_h: Done earlier by no more than this keeps the sequence; any earlier pulls it forward.

    None where the answer depends on `was_due_h` and it is not known.

    Source: 14 CFR 91.409(b) for "subtracts"; an engine maker's tolerance paragraph for keeping the sequence.
    """
    if late != "subtracts" and early_keeps_h <= 0.0:
        return done_h + interval_h
    if was_due_h is None:
        return None
    if done_h > was_due_h:
        return (was_due_h if late == "subtracts" else done_h) + interval_h
    keeps = was_due_h - done_h <= early_keeps_h * (1.0 + SAME_RATIO)
    return (was_due_h if keeps and early_keeps_h > 0.0 else done_h) + interval_h


def next_due_on(*, done_on: date, was_due_on: date | None, span: Span, variation: Variation) -> date | None:
    """Return the last day that counts before an interval by the calendar is over; None as `next_due_h`."""
    keeps = variation.early_keeps
    by_date = keeps is not None and not keeps.on_a_meter
    if variation.late != "subtracts" and not by_date:
        return span.after(done_on)
    if was_due_on is None:
        return None
    if done_on > was_due_on:
        return span.after(was_due_on if variation.late == "subtracts" else done_on)
    if by_date and keeps is not None and keeps.after(done_on) >= was_due_on:
        return span.after(was_due_on)
    return span.after(done_on)
