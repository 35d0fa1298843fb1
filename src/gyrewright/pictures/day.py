"""The day that the windows are drawn on: which hours, the sun, the asked time; and each row with its windows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from gyrewright.air.daylight import earlier_minute, later_minute, sun_times
from gyrewright.errors import OutOfRange
from gyrewright.pictures.frame import View
from gyrewright.pictures.speech import Speech
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.question import Question
from gyrewright.release.situation import situation_of
from gyrewright.release.ways import Window, windows

_HOUR = timedelta(hours=1)
_LEAST = timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class Row:
    """One way to go on this day: in which aircraft and from where, when, and what binds where there is no time.

    `binds` is in words already, for it comes from an answer of its own; windows name checks by id.
    """

    label: str
    windows: tuple[Window, ...]
    binds: str = ""


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch in which no start passes, and what binds where it begins and where it ends, in words."""

    start_at: datetime
    end_at: datetime
    first: str
    last: str


@dataclass(frozen=True, slots=True)
class Day:
    """A stretch of one local day, all in UTC. The sun's times and the asked one are None where the day has none."""

    zone: ZoneInfo
    on: date
    start_at: datetime
    end_at: datetime
    looked_from: datetime
    sunrise_at: datetime | None
    sunset_at: datetime | None
    asked_for: datetime | None

    @property
    def hours(self) -> tuple[datetime, ...]:
        """The full hours of the local clock; one that the clock skips is not there, one that it repeats is twice."""
        out = []
        at = self.start_at
        while at <= self.end_at:
            if at.astimezone(self.zone).minute == 0:
                out.append(at)
            at += _HOUR / 2
        return tuple(out)

    def has(self, moment: datetime | None) -> bool:
        """Return whether there is such a moment, and it is on this stretch."""
        return moment is not None and self.start_at <= moment <= self.end_at

    def share(self, moment: datetime) -> float:
        """Return how far along the stretch a moment is, held to its ends."""
        # In UTC: two times of one zone would be told apart by the clock on the wall, which may jump.
        share = (moment.astimezone(UTC) - self.start_at) / (self.end_at - self.start_at)
        return min(max(share, 0.0), 1.0)

    @property
    def zone_name(self) -> str:
        """The short name of the local time."""
        return self.start_at.astimezone(self.zone).tzname() or ""


def day_of(answer: Answer, rows: Sequence[Row]) -> Day:
    """Return the stretch of the day asked about on which all windows, the sun and the start asked for have room."""
    question = answer.situation.question
    zone = question.field.zone
    now, asked_for = _utc(answer.computed_at), _utc(question.flight.depart_at)
    spans = [(window.start_at.astimezone(UTC), window.end_at.astimezone(UTC)) for row in rows for window in row.windows]
    seen = now or asked_for or next((first for first, _ in spans), None)
    if seen is None:
        raise OutOfRange("neither a time asked nor a start nor a window says which day to draw; give one of them")
    on = seen.astimezone(zone).date()
    midnight, next_midnight = (
        datetime.combine(day, time(), tzinfo=zone).astimezone(UTC) for day in (on, on + timedelta(days=1))
    )
    if asked_for is not None and not midnight <= asked_for < next_midnight:
        asked_for = None
    sunrise, sunset = _sun(question, on)
    looked_from = max(now or midnight, midnight)
    begins = max(looked_from, sunrise) if sunrise is not None else looked_from
    firsts = [begins, *(first for first, _ in spans), *([asked_for] if asked_for else [])]
    lasts = [sunset or next_midnight, *(last for _, last in spans), *([asked_for] if asked_for else [])]
    start = max(_full_hour(min(firsts), zone), midnight)
    end = min(_full_hour(max(lasts) + _HOUR - timedelta(minutes=1), zone), next_midnight)
    end = min(max(end, start + _LEAST), next_midnight)
    start = max(min(start, end - _LEAST), midnight)
    return Day(zone, on, start, end, looked_from, sunrise, sunset, asked_for)


def _utc(moment: datetime | None) -> datetime | None:
    return moment.astimezone(UTC) if moment is not None else None


def _full_hour(moment: datetime, zone: ZoneInfo) -> datetime:
    return moment.astimezone(zone).replace(minute=0, second=0, microsecond=0).astimezone(UTC)


def _sun(question: Question, on: date) -> tuple[datetime | None, datetime | None]:
    """Return sunrise and sunset of a day in whole minutes, as the checks count them; None where there is none."""
    field = question.field
    if not (field.latitude.is_known and field.longitude.is_known):
        return None, None
    sun = sun_times(
        latitude_deg=field.latitude.value, longitude_deg=field.longitude.value, on=on, zone=field.zone.key
    ).sun
    return (
        _utc(later_minute(sun.rises)) if sun.rises is not None else None,
        _utc(earlier_minute(sun.sets)) if sun.sets is not None else None,
    )


def gaps_of(row: Row, day: Day, speech: Speech) -> tuple[Gap, ...]:
    """Return the stretches of a row in which no start passes, from when the day was looked at until its end."""
    begins = max(day.looked_from, day.start_at)
    if not row.windows:
        return (Gap(begins, day.end_at, row.binds, row.binds),)
    out = []
    at, bound = begins, ""
    for window in row.windows:
        first, last = window.start_at.astimezone(UTC), window.end_at.astimezone(UTC)
        if first > at:
            out.append((at, first, bound or window.binds_before, window.binds_before or bound))
        at, bound = last, window.binds_after
    if at < day.end_at:
        out.append((at, day.end_at, bound, bound))
    return tuple(Gap(start, end, *(speech.check(id) if id else "" for id in ids)) for start, end, *ids in out)


def rows_of(answer: Answer, view: View) -> tuple[Row, ...]:
    """Return a row for every runway of the field, in the aircraft asked for and in those of the fleet.

    Another aircraft carries as much fuel as this one, or as much as its tank holds; it is still to be put in.
    """
    question = answer.situation.question
    readings = [fact.value for fact in question.flight.fuel if fact.is_known]
    questions = [question]
    for aircraft in view.fleet:
        if aircraft.definition.id != question.definition.id:
            empty = choices.with_aircraft(question, aircraft, 0.0)
            tank = situation_of(empty).sheet.value("limits:fuel capacity") or ()
            most_l = [float(limit.value) for limit in tank if limit.value is not None]
            questions.append(choices.with_aircraft(question, aircraft, min([*readings, *most_l], default=0.0)))
    out = []
    for asked in questions:
        for runway in question.field.runways:
            there = choices.with_runway(asked, runway.name)
            label = view.speech.say("row", aircraft=asked.definition.name, runway=runway.name)
            found = windows(there)
            out.append(Row(label, found, "" if found else _binding(there, view.speech)))
    return tuple(out)


def _binding(question: Question, speech: Speech) -> str:
    """Return in words what binds the flight at the time it is asked for."""
    found = decide(question).binding
    return speech.name(found) if found is not None else ""
