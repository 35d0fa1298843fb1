"""The day's windows as text for a terminal of 80 columns: the same rows, a letter for each quarter of an hour or so."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from gyrewright.pictures.day import Day, Row, day_of, gaps_of, rows_of
from gyrewright.pictures.figures import clock
from gyrewright.pictures.frame import USUAL, View, about, date_words
from gyrewright.pictures.svg import clean
from gyrewright.release.answer import Answer

COLUMNS = 80
_LABEL = 18
_EVERY_MIN = (5, 10, 15, 20, 30)
_MINUTE = timedelta(minutes=1)


def windows_text(answer: Answer, rows: Sequence[Row] | None = None, view: View = USUAL) -> str:
    """Return the day's windows as lines of at most 80 columns."""
    found = rows_of(answer, view) if rows is None else rows
    speech = view.speech
    day = day_of(answer, found)
    every = _every(day)
    count = -(-int((day.end_at - day.start_at) / _MINUTE) // every)
    starts = [day.start_at + number * every * _MINUTE for number in range(count)]
    lines = [speech.say("title windows"), *textwrap.wrap(clean(about(answer, speech)), COLUMNS)]
    lines += ["", *_axis(day, starts, every)]
    for row in found:
        lines += _row(row, day, starts, every, view)
    for key, moment in (("sunrise", day.sunrise_at), ("sunset", day.sunset_at)):
        if moment is not None:
            lines.append(speech.say(key, clock=clock(moment, day.zone)))
    lines += textwrap.wrap(speech.say("text key", every=str(every)), COLUMNS)
    wanted = answer.situation.question.flight.depart_at
    if wanted is not None and day.asked_for is None:
        lines.append(
            speech.say(
                "asked for another day", date=date_words(speech, wanted, day.zone), clock=clock(wanted, day.zone)
            )
        )
    return "\n".join(each.rstrip() for each in lines) + "\n"


def _every(day: Day) -> int:
    """Return how many minutes a letter stands for, so that the day fits into a line."""
    whole = (day.end_at - day.start_at) / _MINUTE
    return next((each for each in _EVERY_MIN if whole / each <= COLUMNS - _LABEL), 60)


def _axis(day: Day, starts: Sequence[datetime], every: int) -> list[str]:
    """Return the hours above the rows, each over the letter that begins with it."""
    letters = [" "] * (COLUMNS - _LABEL)
    free_from = 0
    for hour in day.hours:
        place = int((hour - day.start_at) / _MINUTE) // every
        words = f"{hour.astimezone(day.zone):%H:%M}"
        if place >= free_from and place + len(words) <= len(letters):
            letters[place : place + len(words)] = words
            free_from = place + len(words) + 1
    return [f"{day.zone_name[: _LABEL - 1]:<{_LABEL}}{''.join(letters)}"]


def _row(row: Row, day: Day, starts: Sequence[datetime], every: int, view: View) -> list[str]:
    """Return one row: its letters, and below them its windows in words with what binds around them."""
    speech = view.speech
    letters = "".join(_letter(row, day, start, start + every * _MINUTE) for start in starts)
    names = textwrap.wrap(clean(row.label), _LABEL - 2) or [""]
    lines = [f"{names[0]:<{_LABEL}}{letters}", *names[1:]]
    said = []
    for gap in gaps_of(row, day, speech):
        if not gap.first:
            continue
        key = "check binds" if row.windows else "nothing passes"
        words = speech.say(key, check=gap.first)
        said.append((gap.start_at, words if gap.first == gap.last else f"{words}, {speech.say(key, check=gap.last)}"))
    for window in row.windows:
        times = speech.say("span", start=clock(window.start_at, day.zone), end=clock(window.end_at, day.zone))
        said.append((window.start_at.astimezone(UTC), times.replace("–", "-")))
    told = "; ".join(words for _, words in sorted(said, key=lambda each: each[0]))
    return [*lines, *textwrap.wrap(clean(told), COLUMNS, initial_indent="  ", subsequent_indent="  ")]


def _letter(row: Row, day: Day, start: datetime, end: datetime) -> str:
    """Return how the starts of one stretch do: every minute of it passes, some do, or none."""
    if day.asked_for is not None and start <= day.asked_for < end:
        return ">"
    if end <= day.looked_from:
        return " "
    minutes = [start + number * _MINUTE for number in range(int((end - start) / _MINUTE))]
    looked = [minute for minute in minutes if minute >= day.looked_from]
    passing = [
        any(each.start_at.astimezone(UTC) <= minute <= each.end_at.astimezone(UTC) for each in row.windows)
        for minute in looked
    ]
    return "#" if all(passing) else "+" if any(passing) else "."
