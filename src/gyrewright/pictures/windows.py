"""The windows of the day: for every row the stretches in which a start passes, and what binds in between.

A solid bar is a stretch of starts that pass, with its times; dots are starts that do not, with what binds. The start
asked for is a line through all rows. Words that have no room beside their stretch hang below it on a leader.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from gyrewright.pictures.day import Day, Gap, Row, day_of, gaps_of, rows_of
from gyrewright.pictures.figures import clock
from gyrewright.pictures.frame import USUAL, View, date_words, finished, heading, paragraph
from gyrewright.pictures.lettering import FALL, LABEL, LEAD, RISE, SMALL, shortest, widest, width_of
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.stack import Label, drawn, stacked
from gyrewright.pictures.svg import (
    BLUE,
    HAIRLINE,
    INK,
    PAPER,
    SOFT,
    WASH,
    Elements,
    line,
    rect,
    text,
)
from gyrewright.release.answer import Answer

_BAR = 22.0
_PAD = 6.0
_BESIDE_PX = 600.0
_LABEL_SHARE = 0.26
_EVERY_H = (1, 2, 3, 4, 6, 12)

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """Where the times of the day are on the paper."""

    day: Day
    left: float
    right: float

    def at(self, moment: datetime) -> float:
        """Return the place of a moment. [px]"""
        return self.left + self.day.share(moment) * (self.right - self.left)


def windows(answer: Answer, view: View = USUAL) -> str:
    """Return the day's windows for every runway, in the aircraft asked for and in those of the fleet."""
    return windows_of(answer, rows_of(answer, view), view)


def windows_of(answer: Answer, rows: Sequence[Row], view: View = USUAL) -> str:
    """Return the day's windows of rows that are known already."""
    speech = view.speech
    title = speech.say("title windows")
    _, y = heading(answer, view, title)
    day = day_of(answer, rows)
    is_beside = view.width >= _BESIDE_PX
    names = [shortest(row.label, LABEL, view.room * (_LABEL_SHARE if is_beside else 1.0), bold=True) for row in rows]
    left = view.left
    if is_beside:
        left += max((widest(each, LABEL, bold=True) for each in names), default=0.0) + 16.0
    half = width_of("00:00", SMALL) / 2.0
    axis = Axis(day, left + half, view.right - half)
    above, y = _above(axis, view, y)
    back: Elements = []
    front: Elements = []
    top = y
    for row, name in zip(rows, names, strict=True):
        bars, words, y = _row(row, name, axis, view, y + 10.0, is_beside)
        back += bars
        front += words
        y += 6.0
        front.append(line(view.left, y, view.right, y, ink=HAIRLINE))
    asked, words, bottom = _asked(answer, axis, view, top, y)
    parts = [*_ground(axis, top, y), *above, *back, *asked, *front, *words]
    return finished(answer, view, title=title, desc=_desc(rows, day, view), parts=parts, bottom=bottom)


def _ground(axis: Axis, top: float, bottom: float) -> Elements:
    """Return the night as a wash, and a hairline at every hour that has its number."""
    day = axis.day
    out: Elements = []
    for start, end in ((day.start_at, day.sunrise_at), (day.sunset_at, day.end_at)):
        if start is not None and end is not None and end > start and (day.has(start) or day.has(end)):
            out.append(
                rect(axis.at(start), top, axis.at(end) - axis.at(start), bottom - top, fill=WASH, class_="night")
            )
    out += [line(axis.at(hour), top, axis.at(hour), bottom, ink=HAIRLINE) for hour in _numbered(axis)]
    for moment in (day.sunrise_at, day.sunset_at):
        if day.has(moment):
            assert moment is not None
            x = axis.at(moment)
            out.append(line(x, top, x, bottom, dash="2 3", class_="sun"))
    return out


def _numbered(axis: Axis) -> list[datetime]:
    """Return the hours that have room for their number."""
    hours = axis.day.hours
    room = (axis.right - axis.left) / max(len(hours) - 1, 1)
    wanted = width_of("00:00", SMALL) + 14.0
    every = next((each for each in _EVERY_H if each * room >= wanted), _EVERY_H[-1])
    return [hour for hour in hours if hour.astimezone(axis.day.zone).hour % every == 0]


def _above(axis: Axis, view: View, top: float) -> tuple[Elements, float]:
    """Return the words above the rows: the clock, the hours, the sun. And where the rows begin. [px]"""
    day, speech = axis.day, view.speech
    name = f"{speech.say('local time', zone=day.zone_name)}, {date_words(speech, day.start_at, day.zone)}"
    out, high = paragraph(name, x=view.left, top=top, room=view.room, size=SMALL, ink=SOFT)
    y = top + high + 2.0
    for hour in _numbered(axis):
        words = f"{hour.astimezone(day.zone):%H:%M}"
        out.append(text(axis.at(hour), y + SMALL * RISE, words, size=SMALL, anchor="middle", class_="hour"))
    y += SMALL * LEAD
    marks = [
        Label(axis.at(moment), speech.say(key, clock=clock(moment, day.zone)), ink=SOFT)
        for key, moment in (("sunrise", day.sunrise_at), ("sunset", day.sunset_at))
        if moment is not None and day.has(moment)
    ]
    placed = stacked(marks, left=axis.left, right=view.right, top=y, size=SMALL)
    bottom = max((each.bottom for each in placed), default=y)
    out += drawn(placed, from_y=y, size=SMALL)
    out += [line(each.label.x, each.top, each.label.x, bottom, class_="sun") for each in placed]
    return out, bottom + 2.0


def _row(
    row: Row, name: tuple[str, ...], axis: Axis, view: View, top: float, is_beside: bool
) -> tuple[Elements, Elements, float]:
    """Return what lies behind the line of the asked time, what lies before it, and where the row ends. [px]"""
    speech, day = view.speech, axis.day
    zone_top = top if is_beside else top + len(name) * LABEL * LEAD
    middle = zone_top + SMALL * LEAD + _BAR / 2.0
    first = middle + LABEL * (RISE - FALL) / 2.0 if is_beside else top + LABEL * RISE
    words: Elements = [
        text(view.left, first + number * LABEL * LEAD, each, size=LABEL, bold=True, class_="row")
        for number, each in enumerate(name)
    ]
    if not is_beside:
        words.insert(0, rect(view.left, top, view.room, len(name) * LABEL * LEAD, fill=PAPER))
    name_bottom = first + (len(name) - 1) * LABEL * LEAD + LABEL * FALL
    bars: Elements = []
    hung: list[Label] = []
    is_unsaid = False
    for gap in gaps_of(row, day, speech):
        start, end = axis.at(gap.start_at), axis.at(gap.end_at)
        bars.append(line(start, middle, end, middle, width=2.0, dash="2 4", class_="gap"))
        said, waiting = _gap_words(gap, row, (start, end), axis, middle - _BAR / 2.0 - 4.0, speech)
        words += said
        if row.windows:
            hung += waiting
        else:
            is_unsaid = bool(waiting)
    for window in row.windows:
        start, end = axis.at(window.start_at), axis.at(window.end_at)
        bars.append(rect(start, middle - _BAR / 2.0, max(end - start, 3.0), _BAR, fill=INK, class_="window"))
        times = speech.say("span", start=clock(window.start_at, day.zone), end=clock(window.end_at, day.zone))
        place = _free(axis, (start, end), width_of(times, SMALL, bold=True))
        if place is None:
            hung.append(Label((start + max(end, start + 3.0)) / 2.0, times, bold=True))
        else:
            baseline = middle + SMALL * (RISE - FALL) / 2.0
            words.append(
                text(place, baseline, times, size=SMALL, bold=True, anchor="middle", fill=PAPER, class_="times")
            )
    placed = stacked(hung, left=axis.left, right=view.right, top=middle + _BAR / 2.0 + 4.0, size=SMALL)
    words += _backing([(each.low, each.top, each.high, each.bottom) for each in placed], axis)
    words += drawn(placed, from_y=middle + _BAR / 2.0 if placed else middle, size=SMALL)
    bottom = max([middle + _BAR / 2.0, name_bottom, *(each.bottom for each in placed)])
    if is_unsaid:
        nothing = speech.say("nothing passes", check=row.binds)
        more, high = paragraph(
            nothing, x=axis.left, top=bottom, room=view.right - axis.left, size=SMALL, class_="binds"
        )
        words += [*_backing([(axis.left, bottom, view.right, bottom + high)], axis), *more]
        bottom += high
    return bars, words, bottom


def _gap_words(
    gap: Gap, row: Row, span: Span, axis: Axis, baseline: float, speech: Speech
) -> tuple[Elements, list[Label]]:
    """Return what binds in a gap: above its dots where there is room, else to be hung below."""
    start, end = span
    if not gap.first:
        return [], []
    key = "check binds" if row.windows else "nothing passes"
    first, last = (speech.say(key, check=each) for each in (gap.first, gap.last))
    if first == last:
        place = _free(axis, span, width_of(first, SMALL))
        if place is None:
            return [], [Label((start + end) / 2.0, first)]
        return [text(place, baseline, first, size=SMALL, anchor="middle", class_="binds")], []
    begins, ends = width_of(first, SMALL), width_of(last, SMALL)
    is_free = all(
        low > x + _PAD or high < x - _PAD
        for x in _kept_free(axis)
        for low, high in ((start + _PAD, start + _PAD + begins), (end - _PAD - ends, end - _PAD))
    )
    if is_free and begins + ends + 4.0 * _PAD <= end - start:
        return [
            text(start + _PAD, baseline, first, size=SMALL, class_="binds"),
            text(end - _PAD, baseline, last, size=SMALL, anchor="end", class_="binds"),
        ], []
    return [], [Label(start + (end - start) * share, each) for share, each in ((0.25, first), (0.75, last))]


def _kept_free(axis: Axis) -> list[float]:
    """Return where lines run through all rows, which no words should cross."""
    day = axis.day
    return [axis.at(each) for each in (day.asked_for, day.sunrise_at, day.sunset_at) if each is not None]


def _free(axis: Axis, span: Span, width: float) -> float | None:
    """Return the middle of the widest part of a stretch that no line crosses; None where the words do not fit in."""
    start, end = span
    inner = sorted(x for x in _kept_free(axis) if start < x < end)
    parts = list(pairwise([start, *inner, end]))
    low, high = max(parts, key=lambda part: part[1] - part[0])
    return (low + high) / 2.0 if width + 2.0 * _PAD <= high - low else None


def _backing(boxes: Sequence[tuple[float, float, float, float]], axis: Axis) -> Elements:
    """Return paper behind words that a line through all rows would cross."""
    return [
        rect(left, top, right - left, bottom - top, fill=PAPER)
        for left, top, right, bottom in boxes
        if any(left - _PAD < x < right + _PAD for x in _kept_free(axis))
    ]


def _asked(answer: Answer, axis: Axis, view: View, top: float, bottom: float) -> tuple[Elements, Elements, float]:
    """Return the line of the asked time, the words below all rows, and where they end. [px]"""
    day, speech = axis.day, view.speech
    wanted = answer.situation.question.flight.depart_at
    lines: Elements = []
    labels: list[Label] = []
    if day.asked_for is not None:
        x = axis.at(day.asked_for)
        lines.append(line(x, top, x, bottom + 6.0, width=3.0, ink=BLUE, class_="asked"))
        said = speech.say("asked for", clock=clock(day.asked_for, day.zone))
        labels.append(Label(x, said, bold=True, ink=BLUE))
    if answer.computed_at is not None and day.has(day.looked_from):
        x = axis.at(day.looked_from)
        lines.append(line(x, bottom, x, bottom + 6.0))
        labels.append(Label(x, speech.say("now", clock=clock(day.looked_from, day.zone))))
    placed = stacked(labels, left=view.left, right=axis.right, top=bottom + 4.0, size=SMALL)
    words = drawn(placed, from_y=bottom, size=SMALL)
    end = max((each.bottom for each in placed), default=bottom)
    if day.asked_for is None and wanted is not None:
        date = date_words(speech, wanted, day.zone)
        said = speech.say("asked for another day", date=date, clock=clock(wanted, day.zone))
        more, high = paragraph(said, x=view.left, top=end + 4.0, room=view.room, size=SMALL, bold=True, ink=BLUE)
        words += more
        end += high + 4.0
    return lines, words, end


def _desc(rows: Sequence[Row], day: Day, view: View) -> str:
    """Return what the rows say, in sentences."""
    speech = view.speech
    said = []
    for row in rows:
        spans = [
            speech.say("span", start=clock(each.start_at, day.zone), end=clock(each.end_at, day.zone))
            for each in row.windows
        ]
        if not spans:
            spans = [speech.say("nothing passes", check=row.binds)]
        said.append(f"{row.label}: {'; '.join(spans)}.")
    return " ".join(said)
