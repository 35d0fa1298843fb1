"""The aerodrome forecast, TAF: conditions over time, United States and international forms."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from gyrewright.air.reports import body, header
from gyrewright.air.reports.clock import latest_moment, nearest
from gyrewright.air.reports.draft import NEEDED_IN_FORECAST, Draft
from gyrewright.air.reports.facts import Group, Period, Unread, WindShear
from gyrewright.air.reports.tokens import ANYTHING, CHANGE, Reading, Row, Table, one_line, shown, walk, word_at
from gyrewright.errors import ReportError
from gyrewright.units import ZERO_C_K

# The longest forecast issued. Source: [AWH28] ch. 27.
LONGEST_VALIDITY = timedelta(hours=30)

# Kinds of period that state the whole weather, and last until the next of them.
AFRESH = ("prevailing", "from")


@dataclass(frozen=True, slots=True)
class ExtremeTemperature:
    """The highest or lowest temperature expected, and when. `kind` is highest or lowest."""

    kind: str
    air_temperature_k: float
    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Taf:
    """A forecast as issued: its periods, every group of its text, and what could not be read.

    Times are UTC, None where lost. `is_from_future` tells that it was issued after the moment at which it was
    received. An empty (NIL) or canceled (CNL) forecast has no periods. `periods` hold what each group itself states;
    `conditions_over` completes them.
    """

    text: str
    station: str
    issued_at: datetime | None
    is_from_future: bool
    valid_from: datetime | None
    valid_to: datetime | None
    is_amended: bool
    is_correction: bool
    is_nil: bool
    is_canceled: bool
    periods: tuple[Period, ...]
    extreme_temperatures: tuple[ExtremeTemperature, ...]
    groups: tuple[Group, ...]
    unread: tuple[Unread, ...]
    lost: frozenset[str]


@dataclass(slots=True, eq=False)
class _Reading(Reading):
    anchor: datetime = field(kw_only=True)
    valid_from: datetime | None = None
    valid_to: datetime | None = None
    from_start: datetime | None = None
    is_nil: bool = False
    is_canceled: bool = False
    extremes: list[ExtremeTemperature] = field(default_factory=list)

    def moment(self, day: str, hour: str, minute: str = "00") -> datetime | None:
        """Return a moment of the forecast, None if it lies outside its validity."""
        found = nearest(day=int(day), hour=int(hour), minute=int(minute), to=self.valid_from or self.anchor)
        if found is None or self.valid_from is None or self.valid_to is None:
            return found
        return found if self.valid_from <= found <= self.valid_to else None


def _nil(reading: _Reading, text: str) -> bool:
    reading.is_nil = True
    return True


def _canceled(reading: _Reading, text: str) -> bool:
    reading.is_canceled = True
    return True


def _from(reading: _Reading, text: str, day: str, hour: str, minute: str) -> bool:
    start = reading.moment(day, hour, minute)
    # The groups stand in the order of time; one that steps back is damaged.
    if start is None or start == reading.valid_to or (reading.from_start and start <= reading.from_start):
        return False
    reading.open("from").start = reading.from_start = start
    return True


def _change(
    reading: _Reading, text: str, word: str | None, probability: str | None, temporary: str | None, *times: str
) -> bool:
    start, end = reading.moment(*times[:2]), reading.moment(*times[2:])
    if start is None or end is None or start >= end:
        return False
    kind = "becoming" if word == "BECMG" else "probable" if probability and not temporary else "temporary"
    # A lasting change belongs to the hours after the FM group that it follows; printed in whole hours.
    if kind == "becoming" and reading.from_start and start < reading.from_start.replace(minute=0):
        return False
    stretch = reading.open(kind, probability_percent=int(probability) if probability else None)
    stretch.start, stretch.end = start, end
    return True


def _wind_shear(reading: _Reading, text: str, hundreds: str, direction: str, speed: str, unit: str) -> bool:
    from_deg = body.direction_deg(direction)
    if not from_deg:
        return False
    reading.draft.wind_shear.append(
        WindShear(int(hundreds) * body.M_PER_HUNDRED_FT, from_deg, int(speed) * body.M_S_PER[unit], "", text)
    )
    return True


def _extreme(reading: _Reading, text: str, kind: str, minus: str | None, degrees: str, day: str, hour: str) -> bool:
    at = reading.moment(day, hour)
    celsius = int(degrees) * (-1 if minus else 1)
    if at is None or not body.LEAST_C <= celsius <= body.MOST_C:
        return False
    word = "highest" if kind == "X" else "lowest"
    reading.extremes.append(ExtremeTemperature(word, celsius + ZERO_C_K, at, text))
    return True


def _remarks(reading: _Reading, text: str) -> bool:
    reading.end_stretch()
    reading.table, reading.draft = _REMARKS, Draft()
    return True


_TIMES = r"([0-9]{2})([0-9]{2})/([0-9]{2})([0-9]{2})"
_PLAIN_TIMES = r"[0-9]{4}/[0-9]{4}"
# Words and times of a change apart from each other, and what looks like one: no change may go unnoticed, be it in the
# remarks, where a misplaced RMK would hide it.
_LOOSE_CHANGE = rf"BECMG|TEMPO|PROB[34]0|{_PLAIN_TIMES}"
_CHANGE_SHAPES = ((r"FM.*|BEC.*|TEM.*|PROB.*", (CHANGE,)),)
_AMENDMENTS = Row(
    "amendments",
    rf"AMD NOT SKED(?: (?:(?:AFT|TIL) [0-9]{{4,6}}Z?|{_PLAIN_TIMES}))?"
    rf"|AMD LTD TO(?: (?:CLD|VIS|WIND|WX|AND))+(?: (?:(?:AFT|TIL) [0-9]{{4,6}}Z?|{_PLAIN_TIMES}))?"
    r"|LAST NO AMDS AFT [0-9]{4}(?: NEXT [0-9]{4,6})?",
    body.ignore,
)

_BODY = Table(
    Row("from", r"FM([0-9]{2})([0-9]{2})([0-9]{2})", _from, (CHANGE,)),
    Row("change", rf"(?:(BECMG|TEMPO)|PROB([34]0)(?: (TEMPO))?) {_TIMES}", _change, (CHANGE,)),
    Row("change", _LOOSE_CHANGE, body.refuse, (CHANGE,)),
    *body.SHARED,
    Row("wind shear", r"WS([0-9]{3})/([0-9]{3})([0-9]{2,3})(KT|MPS|KMH)", _wind_shear, ("wind_shear",)),
    Row("altimeter", r"(QNH)([0-9]{4})INS", body.altimeter, ("altimeter",)),
    Row("extreme temperature", r"T([XN])(M)?([0-9]{2})/([0-9]{2})([0-9]{2})Z", _extreme, ("extreme_temperature",)),
    Row("icing", r"6[0-9]{5}", body.ignore, ("icing",)),
    Row("turbulence", r"5[0-9]{5}", body.ignore, ("turbulence",)),
    Row("empty forecast", r"NIL", _nil),
    Row("canceled", r"CNL", _canceled),
    _AMENDMENTS,
    Row("remarks", r"RMK", _remarks, tuple(ANYTHING)),
    shapes=(*body.SHAPES, *_CHANGE_SHAPES),
)

_REMARKS = Table(
    _AMENDMENTS,
    Row("next forecast", r"NXT FCST BY [0-9]{2,6}Z?", body.ignore),
    Row("change", rf"FM[0-9]{{6}}|{_LOOSE_CHANGE}", body.refuse, (CHANGE,)),
    shapes=_CHANGE_SHAPES,
    otherwise=frozenset({"remark"}),
)

# Bulletins print the first word twice.
_OPENING = re.compile(r"(?:(TAF) )?(?:(TAF) )?(?:(AMD|COR) )?")
_VALIDITY = re.compile(_TIMES + " ", re.ASCII)


def _validity(reading: _Reading, line: str, at: int) -> int:
    """Read the validity; return the place after it."""
    found = _VALIDITY.match(line, at)
    if found:
        start = nearest(day=int(found[1]), hour=int(found[2]), minute=0, to=reading.anchor)
        end = start and nearest(day=int(found[3]), hour=int(found[4]), minute=0, to=start)
        if start and end and timedelta(0) < end - start <= LONGEST_VALIDITY:
            reading.valid_from, reading.valid_to = start, end
            reading.groups.append(Group(found[0].rstrip(), "validity", True))
            return found.end()
    text = word_at(line, at)
    if not text or (not found and reading.table.find(line, at)):
        reading.draft.missing.add("validity")
        return at
    reading.could_not_read(text, (reading.table.resembled(line, at) | {"validity"}) - {CHANGE})
    return at + len(text) + 1


def _periods(reading: _Reading) -> tuple[Period, ...]:
    """Return the periods; each that starts afresh ends where the next begins."""
    end = reading.valid_to
    for stretch in reversed(reading.stretches):
        if stretch.kind in AFRESH:
            stretch.end, end = end, stretch.start
    is_empty = reading.is_nil or reading.is_canceled
    periods = tuple(
        stretch.close(
            reading.groups,
            needed=NEEDED_IN_FORECAST if stretch.kind in AFRESH else frozenset(),
            is_empty=is_empty,
        )
        for stretch in reading.stretches
    )
    if is_empty and len(periods) == 1 and not periods[0].conditions.lost and not periods[0].conditions.contradictory:
        return ()
    return periods


def decode_taf(text: str, *, received_on: date | datetime) -> Taf:
    """Return a TAF decoded, every group of it accounted for.

    A group that cannot be read takes the facts with it that it may have carried, within its period; if it may have
    opened a period, what follows belongs to one of kind unknown. The month and year are those that bring the forecast
    nearest to the moment it was received.

    Args:
        text: One forecast as issued, in capitals, from TAF on; it may end with "=".
        received_on: When it was received: a moment with its time zone, or the date, UTC.

    Raises:
        ReportError: The text is no forecast, or more than one; or `received_on` has no time zone.

    Source: [AIM2023] 7-1-29; [AWH28] ch. 27; international forms: [WMO306] FM 51, from memory.
    """
    line = one_line(text)
    received_at = latest_moment(received_on)
    reading = _Reading(_BODY, anchor=received_at)
    first = reading.open("prevailing", with_last_group=False)
    (word, _, revision), at = header.words(reading, line, _OPENING, ("report", "report", "revision"))
    station, at = header.station(reading, line, at)
    issued_at, at = header.time(reading, line, at, received_at=received_at)
    reading.anchor = issued_at or received_at
    at = _validity(reading, line, at)
    is_valid = reading.valid_from is not None
    if not ((station or issued_at or is_valid) if word else (station and is_valid)):
        raise ReportError(f"{shown(text)} is no TAF; give one forecast, in capitals, from TAF and the station on")
    first.first_group, first.start = len(reading.groups), reading.valid_from
    walk(reading, line, at)
    periods = _periods(reading)
    return Taf(
        text=text,
        station=station,
        issued_at=issued_at,
        is_from_future=issued_at is not None and issued_at > received_at,
        valid_from=reading.valid_from,
        valid_to=reading.valid_to,
        is_amended=revision == "AMD",
        is_correction=revision == "COR",
        is_nil=reading.is_nil,
        is_canceled=reading.is_canceled,
        periods=periods,
        extreme_temperatures=tuple(reading.extremes),
        groups=tuple(reading.groups),
        unread=tuple(reading.unread),
        lost=frozenset().union(*(group.may_have_carried for group in reading.unread)),
    )
