"""What is due next, on which clock, with the working, as data and as plain lines of text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from textwrap import wrap

from gyrewright.maintenance.clocks import (
    FINISHED,
    IN_DATE,
    NOT_ASKED,
    OVER,
    STATES,
    Due,
    Step,
    Words,
    work_out_all,
)
from gyrewright.maintenance.defects import Entitled
from gyrewright.maintenance.forecast import hours_a_day
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import History, Records, until_day
from gyrewright.units import rounded


def due_list(
    program: Program,
    records: Records,
    *,
    on: date,
    purpose: str = "",
    entitled: Entitled | None = None,
    no_over: frozenset[str] = frozenset(),
) -> tuple[Due, ...]:
    """Return what is due next, most urgent first, one entry for each clock that can still bind.

    Over and unclear come first, then by the date on which each is reached: the date itself, or for hours the date
    expected from the hours flown lately; hours that nobody can date come before dates, least first.

    Args:
        program: What the manual asks for.
        records: What the books say.
        on: The day asked about.
        purpose: What flights are for, one of `limits.PURPOSES`; empty: every layer bears.
        entitled: Who may sign what, where that is known.
        no_over: Purposes for which the house lets nothing be flown over.
    """
    history = until_day(records.history, on)
    found = work_out_all(program, history, on=on, words=Words(purpose), entitled=entitled, no_over=no_over)

    def urgency(due: Due) -> tuple[int, date, float, str, str]:
        left = due.remaining if due.remaining is not None else 0.0
        expected = expected_on(due, history, on=on) or date.min
        return STATES.index(due.state), expected, left, due.task.id, due.clock.meter

    return tuple(sorted((due for due in found if due.state not in (FINISHED, NOT_ASKED)), key=urgency))


def expected_on(due: Due, history: History, *, on: date) -> date | None:
    """Return when a clock is reached: the date itself, or by the hours flown lately; None where neither says."""
    if due.binding is None or due.remaining is None:
        return None
    if isinstance(due.binding.due, date):
        return due.binding.due
    meter = history.meters.get(due.clock.meter)
    daily = hours_a_day(meter, on=on) if meter is not None and due.unit == "h" else None
    if daily is None or daily <= 0.0:
        return None
    days = due.remaining / daily
    return on + timedelta(days=int(max(days, 0.0))) if days < 100_000.0 else None


def hours_left(dues: tuple[Due, ...], *, before_h: float = 0.0, allowance_h: float = 0.0) -> tuple[float, Due] | None:
    """Return the longest flight that still fits every clock counted in hours, and the clock that binds. [h]

    Args:
        dues: What was worked out for this flight.
        before_h: Flying booked before this flight and not yet on the meters. [h]
        allowance_h: What a plan must leave over. [h]

    None where no clock counted in hours bears on the flight.
    """
    left = [
        (due.binding.latest - due.now - before_h - allowance_h, due)
        for due in dues
        if due.binding is not None
        and due.state in (IN_DATE, OVER)
        and isinstance(due.now, float)
        and isinstance(due.binding.latest, float)
        and due.unit == "h"
    ]
    return min(left, key=lambda one: one[0], default=None)


def is_clear(dues: Sequence[Due]) -> bool:
    """Return whether everything on a list is in date: nothing over, nothing without evidence, nothing unclear."""
    return all(due.state == IN_DATE for due in dues)


WIDTH = 80


def due_lines(dues: Sequence[Due], *, history: History | None = None, on: date | None = None) -> list[str]:
    """Return a due list as plain text of at most 80 columns: for each clock a line, then how it was worked out.

    With the books and the day, hours also say on which date they are reached at the rate flown lately.
    """
    lines = [_row("state", "task", "due", "left", "clock")]
    for due in dues:
        when = "" if due.binding is None else _amount(due.binding.due, due.unit, careful="down")
        left = "" if due.remaining is None else _amount(due.remaining, due.unit, careful="down")
        permitted = due.state == IN_DATE and due.remaining is not None and due.remaining < 0.0
        lines.append(
            _row("permitted" if permitted else due.state, due.task.name, when, left, due.clock.meter or "calendar")
        )
        expected = expected_on(due, history, on=on) if history is not None and on is not None else None
        lines.extend(f"    {line}" for line in wrap(_explained(due, expected), WIDTH - 4))
    return lines


def _row(state: str, task: str, when: str, left: str, clock: str) -> str:
    return f"{state:<12.12}{task:<28.28} {when:>13.13}{left:>12.12}  {clock:<12.12}".rstrip()


def _amount(value: float | date, unit: str, *, careful: str = "") -> str:
    if isinstance(value, date):
        return value.isoformat()
    if unit == "h":
        return f"{rounded(value, 1, careful=careful)} h"
    return f"{value:g} {unit}"


def _explained(due: Due, expected: date | None) -> str:
    parts = [_step(step) for step in due.working]
    if due.lacking:
        parts.append("needs " + ", ".join(due.lacking))
    if due.said_by:
        parts.append(f"said to be done by {due.said_by}, without a signed entry")
    if len(due.layers) > 1:
        parts.extend(
            f"{layer.variation.name}: until {_amount(layer.latest, due.unit)}"
            f"{' (binds)' if layer is due.binding else '' if layer.bears else ' (not for this purpose)'}"
            for layer in due.layers
        )
    if due.unit == "h" and expected is not None and due.state == IN_DATE:
        parts.append(f"at the hours flown lately: {expected.isoformat()}")
    if due.state == OVER and due.beyond > 0.0:
        parts.append(f"last done {_amount(due.beyond, due.unit)} beyond what was allowed")
    return "; ".join(parts)


def _step(step: Step) -> str:
    what, value, unit = step
    return f"{what} {_amount(value, unit)}"
