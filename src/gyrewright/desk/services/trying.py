"""Trying an act before it is recorded: what the aircraft's books or the people would read as with it in them.

Nothing enters the book after which no answer could be built: a meter that runs backwards, a part on two aircraft at
once, a person who is not there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import kind_of
from gyrewright.desk.book.record import Entry, Recorded
from gyrewright.desk.fold.aircraft import fold_aircraft
from gyrewright.desk.fold.people import PEOPLE_KINDS, fold_people
from gyrewright.desk.fold.question import aircraft_of, people_of
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.errors import DefinitionError
from gyrewright.release.question import Aircraft


def done_on(day: date) -> datetime:
    """Return when something was done of which only the day is known: at noon there, and never later than now."""
    return min(clock.now(), datetime.combine(day, time(12), state.zone()).astimezone(UTC))


def as_if_recorded(entries: Sequence[Entry], *, after: int) -> list[Recorded]:
    """Return entries as records that follow the last one, without writing them."""
    now = clock.now()
    return [
        Recorded(
            seq=after + number,
            id=entry.id,
            kind=kind_of(entry.act).name,
            done_at=entry.done_at,
            entered_at=now,
            by=entry.by,
            about=entry.about,
            corrects=entry.corrects,
            act=entry.act,
            personal=entry.personal,
            is_erased=False,
            hash="",
        )
        for number, entry in enumerate(entries, start=1)
    ]


def aircraft_with(entries: Sequence[Entry], *, aircraft: str) -> Aircraft:
    """Return an aircraft as it would read with some entries more.

    Raises:
        Refused: It would not read; says what and why.
    """
    known = state.records_about(aircraft)
    at = _latest(entries)
    records = [*known, *as_if_recorded(entries, after=state.head_seq())]
    try:
        return aircraft_of(fold_aircraft(records, aircraft=aircraft, at=at, might=state.entitled_then(aircraft)))
    except DefinitionError as error:
        raise Refused(_in_words(error)) from None


def people_with(entries: Sequence[Entry]) -> None:
    """Read everybody as they would read with some entries more.

    Raises:
        Refused: They would not read; says what and why.
    """
    known = state.records_of("people", Q(kind__in=PEOPLE_KINDS))
    at = _latest(entries)
    records = [*known, *as_if_recorded(entries, after=state.head_seq())]
    try:
        people_of(fold_people(records, at=at, on=at.astimezone(state.zone()).date()).people)
    except DefinitionError as error:
        raise Refused(_in_words(error)) from None


def _latest(entries: Sequence[Entry]) -> datetime:
    return max(clock.now(), *(entry.done_at for entry in entries))


def _in_words(error: DefinitionError) -> str:
    """Return the first thing that is wrong, without the place in a file that nobody at the desk has written."""
    first = error.problems[0]
    key = first.key.rpartition(".")[2].partition("[")[0].replace("_", " ")
    return replace(first, file="", key="").text if not key else f"{key}: {first.text}"
