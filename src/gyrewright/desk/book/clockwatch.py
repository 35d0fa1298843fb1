"""Whether this machine's clock may be believed: held against the last record and against the machine's uptime."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gyrewright.desk import clock
from gyrewright.desk.book.models import Record
from gyrewright.desk.moments import moment_of, moment_text

SLACK = timedelta(seconds=5)
"""A clock that steps back by less than this was only set right: the last record's time is taken instead."""

ENOUGH = 2
"""How many different people have to find a doubted clock right."""

_TRAIL = 20


@dataclass(frozen=True, slots=True)
class Watch:
    """What the book says of a clock.

    Attributes:
        doubt: What speaks against the clock, as a clause after "this machine's clock"; empty where nothing does.
        last_at: When the last record was entered that counts for this; None in an empty book.
        confirmed_by: Who has found the clock right since anything else was entered, the last one first.
    """

    doubt: str
    last_at: datetime | None
    confirmed_by: tuple[str, ...]


def watch(now: datetime) -> Watch:
    """Hold a moment that the clock shows against the book."""
    trail = list(Record.objects.order_by("-seq").values("kind", "by", "entered_at")[:_TRAIL])
    if not trail:
        return Watch("", None, ())
    confirmed: list[str] = []
    for row in trail:
        if row["kind"] != "clock-confirmed":
            break
        confirmed.append(row["by"])
    people = tuple(dict.fromkeys(confirmed))
    # A confirmation is entered by the very clock that is in doubt: until there are enough, it proves nothing.
    is_confirmed = len(people) >= ENOUGH
    last = trail[0] if is_confirmed or len(confirmed) == len(trail) else trail[len(confirmed)]
    last_at = moment_of(last["entered_at"])
    doubt = ""
    if now < last_at - SLACK:
        doubt = f"shows {moment_text(now)}, earlier than the last record of {last['entered_at']}"
    elif abs(jump := clock.clock().jump()) > clock.JUMP and not is_confirmed:
        doubt = f"has jumped by {round(jump.total_seconds() / 60)} min while the desk was running"
    return Watch(doubt, last_at, people)
