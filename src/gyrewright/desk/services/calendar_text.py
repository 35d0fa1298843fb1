"""A calendar file (RFC 5545) read: which aircraft is booked from when to when. Pure; nothing is recorded here.

The text is looked through before the calendar library sees it: size, nesting and every rule are bounded, and only what
a booking needs is handed on. What cannot be taken as a booking is passed over, each with its reason.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.recurrence import Budget, Rule, TooMuch, occurrences, rule_of

MOST_BYTES = 1_000_000
MOST_LINES = 40_000
MOST_EVENTS = 2_000
MOST_BOOKINGS = 2_000
DEEPEST = 3
HORIZON = timedelta(days=92)
"""How far ahead repeated entries are taken in; read the file again later for what follows."""

LONGEST = timedelta(hours=24)
_KEPT = {
    "VCALENDAR": {"VERSION", "PRODID", "METHOD", "CALSCALE"},
    "VTIMEZONE": {"TZID"},
    "STANDARD": {"DTSTART", "TZOFFSETFROM", "TZOFFSETTO", "TZNAME", "RRULE", "RDATE"},
    "DAYLIGHT": {"DTSTART", "TZOFFSETFROM", "TZOFFSETTO", "TZNAME", "RRULE", "RDATE"},
    "VEVENT": {
        "UID", "DTSTAMP", "DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID", "SUMMARY",
        "LOCATION", "CATEGORIES", "RESOURCES", "STATUS", "SEQUENCE",
    },
}  # fmt: skip
"""What is handed on, by component; everything else in a file is left where it is."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One booking that a file speaks of: an entry, or one occurrence of a repeated one."""

    uid: str
    occurrence: datetime | None
    start_at: datetime
    end_at: datetime
    aircraft: str
    words: str
    revision: int
    is_cancelled: bool


@dataclass(slots=True)
class Read:
    """What a file holds.

    Attributes:
        entries: Bookings of the operation's aircraft from now until the horizon, cancelled ones included.
        whole: The uids of which the file holds all there is: what it names no longer is cancelled.
        passed_over: What was left, as a reason for each.
        endless: How many repeated entries have no end and are taken in until the horizon.
        past: How many lie in the past.
    """

    entries: list[Entry] = field(default_factory=list)
    whole: set[str] = field(default_factory=set)
    passed_over: list[str] = field(default_factory=list)
    endless: int = 0
    past: int = 0


def read_calendar(data: bytes, *, fleet: Collection[str], zone: ZoneInfo, now: datetime) -> Read:
    """Return the bookings that a calendar file holds for aircraft of a fleet.

    Args:
        data: The file.
        fleet: Ids of the aircraft, as entries name them in their title, place, categories or resources.
        zone: The field's clock, by which times without a zone are read.
        now: What has ended before is past.

    Raises:
        Refused: The file is no calendar, is too large, or asks for more than can be worked out; nothing of it counts.
    """
    events, is_cancelling = _events(_looked_through(data))
    read, budget = Read(), Budget()
    masters, changed = _sorted_out(events, read)
    for uid in dict.fromkeys((*masters, *(uid for uid, _ in changed))):
        mine = {moment: event for (of, moment), event in changed.items() if of == uid}
        _take(masters.get(uid), mine, uid, read, budget, _Around(fleet, zone, now, is_cancelling))
        if len(read.entries) > MOST_BOOKINGS:
            raise Refused(f"this calendar holds more than {MOST_BOOKINGS} bookings; hand in a shorter one")
    return read


@dataclass(frozen=True, slots=True)
class _Around:
    fleet: Collection[str]
    zone: ZoneInfo
    now: datetime
    is_cancelling: bool


# --- the text, before the library sees it ---


def _looked_through(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise Refused(f"this file has {len(data):,} bytes; at most {MOST_BYTES:,} are read: hand in a shorter stretch")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(
            f"this file is no text in UTF-8 (byte {error.start + 1}); save the calendar as .ics again"
        ) from None
    unfolded = re.sub(r"\r?\n[ \t]", "", text)
    lines = unfolded.splitlines()
    if len(lines) > MOST_LINES:
        raise Refused(f"this file has {len(lines):,} lines; at most {MOST_LINES:,} are read")
    return "\r\n".join((*_kept_lines(lines), ""))


def _kept_lines(lines: Sequence[str]) -> Iterator[str]:
    open_ones: list[str] = []
    ended, events = False, 0
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        name = re.split(r"[;:]", line, maxsplit=1)[0].strip().upper()
        value = line.partition(":")[2].strip().upper()
        if ended or (not open_ones and (name, value) != ("BEGIN", "VCALENDAR")):
            raise Refused(f"line {number} lies outside a calendar; a file begins with BEGIN:VCALENDAR and holds one")
        if name == "BEGIN":
            if len(open_ones) >= DEEPEST or value in open_ones:
                raise Refused(f"line {number} begins {value[:40]} inside {open_ones[-1]}: that is no calendar")
            open_ones.append(value)
            events += value == "VEVENT"
            if events > MOST_EVENTS:
                raise Refused(f"this calendar holds more than {MOST_EVENTS:,} entries; hand in a shorter stretch")
        elif name == "END" and (not open_ones or open_ones[-1] != value):
            raise Refused(f"line {number} ends {value[:40]}, which was not begun; the file is damaged")
        keeps = all(each in _KEPT for each in open_ones)
        if keeps and (name in ("BEGIN", "END") or name in _KEPT[open_ones[-1]]):
            if name == "RRULE" and open_ones[-1] != "VEVENT" and "FREQ=YEARLY" not in value:
                raise Refused(f"line {number}: a time zone changes once or twice a year, and not by {value[:60]}")
            if len(line) > 20_000:
                raise Refused(f"line {number} has {len(line):,} characters; that is no booking")
            yield line
        if name == "END":
            ended = open_ones.pop() == "VCALENDAR"
    if open_ones or not ended:
        raise Refused("this file ends in the middle of a calendar; it is damaged, or was not copied whole")


def _events(text: str) -> tuple[list[Any], bool]:
    from icalendar import Calendar

    try:
        calendar: Any = Calendar.from_ical(text)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, OverflowError) as error:
        raise Refused(f"this calendar does not read: {str(error)[:200]}") from None
    return list(calendar.walk("VEVENT")), str(calendar.get("METHOD", "")).upper() == "CANCEL"


# --- entries, repeated ones and their changed occurrences ---


def _sorted_out(events: Sequence[Any], read: Read) -> tuple[dict[str, Any], dict[tuple[str, datetime | date], Any]]:
    """Return the entries by uid and their changed occurrences by uid and moment, of each the newest revision."""
    masters: dict[str, Any] = {}
    changed: dict[tuple[str, datetime | date], Any] = {}
    for event in events:
        uid = str(event.get("UID", ""))[:300]
        if not uid:
            read.passed_over.append(f"{_title(event)}: it has no UID, so nobody could tell it again")
            continue
        moment = event.get("RECURRENCE-ID")
        if moment is None:
            if uid not in masters or _revision(event) >= _revision(masters[uid]):
                masters[uid] = event
            continue
        if "RANGE" in moment.params:
            raise Refused(f"{_title(event)}: it changes one occurrence and all that follow; hand in the whole series")
        key = (uid, moment.dt)
        if key not in changed or _revision(event) >= _revision(changed[key]):
            changed[key] = event
    return masters, changed


def _title(event: Any) -> str:
    return f"“{' '.join(str(event.get('SUMMARY', 'an entry without a title')).split())[:60]}”"


def _revision(event: Any) -> int:
    try:
        return max(0, int(event.get("SEQUENCE", 0)))
    except (TypeError, ValueError):
        return 0


def _take(
    master: Any, changed: Mapping[datetime | date, Any], uid: str, read: Read, budget: Budget, around: _Around
) -> None:
    from icalendar import BrokenCalendarProperty

    try:
        if master is not None:
            _take_master(master, changed, uid, read, budget, around)
        for moment, event in changed.items():
            span = _span(event, around)
            occurrence = _at(moment, event, "RECURRENCE-ID", around)
            _add(event, uid, occurrence, span, read, around)
    except TooMuch:
        raise
    except (Refused, BrokenCalendarProperty, TypeError, ValueError, OverflowError) as error:
        why = str(error) if isinstance(error, Refused) else f"it does not read ({str(error)[:120]})"
        read.passed_over.append(f"{_title(master if master is not None else next(iter(changed.values())))}: {why}")


def _take_master(
    master: Any, changed: Mapping[datetime | date, Any], uid: str, read: Read, budget: Budget, around: _Around
) -> None:
    start, length = _span(master, around)
    if "RRULE" not in master and "RDATE" not in master:
        _add(master, uid, None, (start, length), read, around)
        read.whole.add(uid)
        return
    skipped = {_at(each, master, "EXDATE", around) for each in _moments(master, "EXDATE")}
    skipped |= {_at(moment, event, "RECURRENCE-ID", around) for moment, event in changed.items()}
    for moment in _repeats(master, start, read, budget, around):
        if moment not in skipped:
            _add(master, uid, moment, (moment, length), read, around)
    read.whole.add(uid)


def _repeats(master: Any, start: datetime, read: Read, budget: Budget, around: _Around) -> list[datetime]:
    before = (around.now + HORIZON).astimezone(around.zone).date()
    zone = start.tzinfo
    found: set[datetime] = {start}
    rules = master.get("RRULE")
    if isinstance(rules, list):
        raise Refused("it repeats by more than one rule, which is not read here")
    if rules is not None:
        rule = rule_of(dict(rules))
        read.endless += rule.is_endless
        local = _local_until(rule, zone)
        for moment in occurrences(local, start.replace(tzinfo=None), before=before, budget=budget):
            found.add(moment.replace(tzinfo=zone))
    for each in _moments(master, "RDATE"):
        found.add(_at(each[0] if isinstance(each, tuple) else each, master, "RDATE", around))
    return sorted(each for each in found if each.date() < before)


def _local_until(rule: Rule, zone: Any) -> Rule:
    """Return the rule with its end on the clock that it repeats by."""
    until = rule.until
    if isinstance(until, datetime) and until.tzinfo is not None:
        return replace(rule, until=until.astimezone(zone).replace(tzinfo=None))
    return rule


def _moments(event: Any, name: str) -> list[Any]:
    found = event.get(name)
    if found is None:
        return []
    several = found if isinstance(found, list) else [found]
    return [each.dt for one in several for each in one.dts]


# --- when, and which aircraft ---


def _span(event: Any, around: _Around) -> tuple[datetime, timedelta]:
    """Return begin, on the clock that it was written in, and elapsed length."""
    if "DTSTART" not in event:
        raise Refused("it does not say when it begins")
    first = event["DTSTART"].dt
    if not isinstance(first, datetime):
        raise Refused("it is for whole days, which books no flight")
    start = _at(first, event, "DTSTART", around)
    if "DTEND" in event:
        last = event["DTEND"].dt
        if not isinstance(last, datetime):
            raise Refused("it begins at a time and ends on a day; write when it ends")
        end = _at(last, event, "DTEND", around)
    elif "DURATION" in event:
        end = (start.astimezone(UTC) + event["DURATION"].dt).astimezone(start.tzinfo)
    elif _is_cancelled(event, around):
        end = start + timedelta(minutes=1)
    else:
        raise Refused("it does not say how long it lasts")
    # Two times of one zone would be compared as clock faces, and the hour that comes twice would have no length.
    length = end.astimezone(UTC) - start.astimezone(UTC)
    if length <= timedelta(0):
        raise Refused("it ends before it begins, or when it begins")
    if length > LONGEST:
        raise Refused("it lasts longer than a day, which books no flight")
    return start, length


def _at(moment: Any, event: Any, name: str, around: _Around) -> datetime:
    """Return a moment with its zone: the one that it names, else the field's."""
    if not isinstance(moment, datetime):
        # RFC 5545 3.8.5.1: an exception may be given by its day alone; it means the entry's own time on it.
        start = event["DTSTART"].dt
        if not isinstance(start, datetime):
            raise Refused("it mixes days and times")
        moment = start.replace(year=moment.year, month=moment.month, day=moment.day)
        name = "DTSTART"
    if moment.tzinfo is not None:
        return moment if 1990 <= moment.year <= 2100 else _no_year(moment)
    prop = event.get(name)
    params = getattr(prop[0] if isinstance(prop, list) else prop, "params", {})
    if params.get("TZID"):
        raise Refused(f"it names the time zone {params['TZID']!r}, which neither the file nor this machine knows")
    return moment.replace(tzinfo=around.zone) if 1990 <= moment.year <= 2100 else _no_year(moment)


def _no_year(moment: datetime) -> datetime:
    raise Refused(f"it lies in the year {moment.year}")


def _add(
    event: Any, uid: str, occurrence: datetime | None, span: tuple[datetime, timedelta], read: Read, around: _Around
) -> None:
    start = span[0].astimezone(UTC)
    end = start + span[1]
    if end <= around.now or start >= around.now + HORIZON:
        read.past += end <= around.now
        return
    words = " ".join(str(event.get("SUMMARY", "")).split())[:200]
    named = _aircraft(event, around.fleet)
    cancelled = _is_cancelled(event, around)
    if len(named) != 1 and not cancelled:
        which = "names no aircraft of this operation" if not named else f"names {' and '.join(named)}"
        reason = f"{_title(event)}: it {which}"
        if reason not in read.passed_over:
            read.passed_over.append(reason)
        return
    at = occurrence.astimezone(UTC) if occurrence is not None else None
    revision = _revision(event)
    read.entries.append(Entry(uid, at, start, end, named[0] if named else "", words, revision, cancelled))


def _is_cancelled(event: Any, around: _Around) -> bool:
    return around.is_cancelling or str(event.get("STATUS", "")).upper() == "CANCELLED"


def _aircraft(event: Any, fleet: Collection[str]) -> list[str]:
    texts = [str(event.get(name, "")) for name in ("SUMMARY", "LOCATION")]
    for name in ("CATEGORIES", "RESOURCES"):
        found = event.get(name)
        several = found if isinstance(found, list) else [found] if found is not None else []
        for each in several:
            texts += [str(one) for one in getattr(each, "cats", [each])]
    words = {each.upper() for text in texts for each in re.split(r"[^\w-]+", text)}
    return [each for each in fleet if each.upper() in words]
