"""[RFC5545] Calendar data: the document's own examples of recurrence, escaping and folding."""

# Local times of the document carry no offset: what repeats is the clock of the place.
# ruff: noqa: DTZ001, DTZ007, ISC004, SIM905

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.calendar_text import read_calendar
from gyrewright.desk.services.recurrence import Budget, occurrences, rule_of

DOCUMENT = "RFC 5545, iCalendar, September 2009"
MONTHS = {
    name: number
    for number, name in enumerate(
        "January February March April May June July August September October November December".split(), start=1
    )
}


def days_of(printed):
    """Return the moments that a line such as "(1997 9:00 AM EDT) September 2,4;October 5-7" prints."""
    out = []
    for year, rest in re.findall(r"\((\d{4})[^)]*\)([^(]*)", printed):
        for month, days in re.findall(r"([A-Z][a-z]+)\s*([\d,\- ]+)", rest):
            for each in days.replace(" ", "").strip(",").split(","):
                first, _, last = each.partition("-")
                for day in range(int(first), int(last or first) + 1):
                    out.append(datetime(int(year), MONTHS[month], day, 9))
    return out


def parts_of(text):
    out = {}
    for part in text.split(";"):
        name, _, value = part.partition("=")
        out[name] = value.split(",")
    if "UNTIL" in out:
        # Section 3.3.10: UNTIL is in UTC; New York is four or five hours behind, five for every one printed here.
        until = datetime.strptime(out["UNTIL"][0], "%Y%m%dT%H%M%SZ")
        out["UNTIL"] = [until.replace(hour=(until.hour - 5) % 24, day=until.day - (until.hour < 5))]
    return out


EXAMPLES = [
    ("19970902", "FREQ=DAILY;COUNT=10", "(1997 9:00 AM EDT) September 2-11"),
    (
        "19970902",
        "FREQ=DAILY;UNTIL=19971224T000000Z",
        "(1997 9:00 AM EDT) September 2-30;October 1-25 (1997 9:00 AM EST) October 26-31;November 1-30;December 1-23",
    ),
    ("19970902", "FREQ=DAILY;INTERVAL=2", "(1997 9:00 AM EDT) September 2,4,6,8,10,12,14,16,18,20,22,24,26,28,30;..."),
    ("19970902", "FREQ=DAILY;INTERVAL=10;COUNT=5", "(1997 9:00 AM EDT) September 2,12,22;October 2,12"),
    (
        "19980101",
        "FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA",
        "(1998 9:00 AM EST)January 1-31 (1999 9:00 AM EST)January 1-31 (2000 9:00 AM EST)January 1-31",
    ),
    (
        "19980101",
        "FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1",
        "(1998 9:00 AM EST)January 1-31 (1999 9:00 AM EST)January 1-31 (2000 9:00 AM EST)January 1-31",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;COUNT=10",
        "(1997 9:00 AM EDT) September 2,9,16,23,30;October 7,14,21 (1997 9:00 AM EST) October 28;November 4",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;UNTIL=19971224T000000Z",
        "(1997 9:00 AM EDT) September 2,9,16,23,30; October 7,14,21"
        " (1997 9:00 AM EST) October 28; November 4,11,18,25; December 2,9,16,23",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;INTERVAL=2;WKST=SU",
        "(1997 9:00 AM EDT) September 2,16,30; October 14 (1997 9:00 AM EST) October 28; November 11,25;"
        " December 9,23 (1998 9:00 AM EST) January 6,20; February 3, 17 ...",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
        "(1997 9:00 AM EDT) September 2,4,9,11,16,18,23,25,30; October 2",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
        "(1997 9:00 AM EDT) September 2,4,9,11,16,18,23,25,30; October 2",
    ),
    (
        "19970901",
        "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
        "(1997 9:00 AM EDT) September 1,3,5,15,17,19,29; October 1,3,13,15,17"
        " (1997 9:00 AM EST) October 27,29,31; November 10,12,14,24,26,28; December 8,10,12,22",
    ),
    (
        "19970902",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        "(1997 9:00 AM EDT) September 2,4,16,18,30; October 2,14,16",
    ),
    (
        "19970905",
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        "(1997 9:00 AM EDT) September 5;October 3 (1997 9:00 AM EST) November 7;December 5"
        " (1998 9:00 AM EST) January 2;February 6;March 6;April 3 (1998 9:00 AM EDT) May 1;June 5",
    ),
    (
        "19970905",
        "FREQ=MONTHLY;UNTIL=19971224T000000Z;BYDAY=1FR",
        "(1997 9:00 AM EDT) September 5; October 3 (1997 9:00 AM EST) November 7; December 5",
    ),
    (
        "19970907",
        "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU",
        "(1997 9:00 AM EDT) September 7,28 (1997 9:00 AM EST) November 2,30"
        " (1998 9:00 AM EST) January 4,25;March 1,29 (1998 9:00 AM EDT) May 3,31",
    ),
    (
        "19970922",
        "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        "(1997 9:00 AM EDT) September 22;October 20 (1997 9:00 AM EST) November 17;December 22"
        " (1998 9:00 AM EST) January 19;February 16",
    ),
    (
        "19970928",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        "(1997 9:00 AM EDT) September 28 (1997 9:00 AM EST) October 29;November 28;December 29"
        " (1998 9:00 AM EST) January 29;February 26 ...",
    ),
    (
        "19970902",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15",
        "(1997 9:00 AM EDT) September 2,15;October 2,15 (1997 9:00 AM EST) November 2,15;December 2,15"
        " (1998 9:00 AM EST) January 2,15",
    ),
    (
        "19970930",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        "(1997 9:00 AM EDT) September 30;October 1 (1997 9:00 AM EST) October 31;November 1,30;December 1,31"
        " (1998 9:00 AM EST) January 1,31;February 1",
    ),
    (
        "19970910",
        "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
        "(1997 9:00 AM EDT) September 10,11,12,13,14,15 (1999 9:00 AM EST) March 10,11,12,13",
    ),
    (
        "19970902",
        "FREQ=MONTHLY;INTERVAL=2;BYDAY=TU",
        "(1997 9:00 AM EDT) September 2,9,16,23,30 (1997 9:00 AM EST) November 4,11,18,25"
        " (1998 9:00 AM EST) January 6,13,20,27;March 3,10,17,24,31 ...",
    ),
    (
        "19970610",
        "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
        "(1997 9:00 AM EDT) June 10;July 10 (1998 9:00 AM EDT) June 10;July 10 (1999 9:00 AM EDT) June 10;July 10"
        " (2000 9:00 AM EDT) June 10;July 10 (2001 9:00 AM EDT) June 10;July 10",
    ),
    (
        "19970310",
        "FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3",
        "(1997 9:00 AM EST) March 10 (1999 9:00 AM EST) January 10;February 10;March 10"
        " (2001 9:00 AM EST) January 10;February 10;March 10 (2003 9:00 AM EST) January 10;February 10;March 10",
    ),
    (
        "19970101",
        "FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200",
        "(1997 9:00 AM EST) January 1 (1997 9:00 AM EDT) April 10;July 19 (2000 9:00 AM EST) January 1"
        " (2000 9:00 AM EDT) April 9;July 18 (2003 9:00 AM EST) January 1 (2003 9:00 AM EDT) April 10;July 19"
        " (2006 9:00 AM EST) January 1",
    ),
    (
        "19970519",
        "FREQ=YEARLY;BYDAY=20MO",
        "(1997 9:00 AM EDT) May 19 (1998 9:00 AM EDT) May 18 (1999 9:00 AM EDT) May 17 ...",
    ),
    (
        "19970512",
        "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
        "(1997 9:00 AM EDT) May 12 (1998 9:00 AM EDT) May 11 (1999 9:00 AM EDT) May 17 ...",
    ),
    (
        "19970313",
        "FREQ=YEARLY;BYMONTH=3;BYDAY=TH",
        "(1997 9:00 AM EST) March 13,20,27 (1998 9:00 AM EST) March 5,12,19,26 (1999 9:00 AM EST) March 4,11,18,25 ...",
    ),
    (
        "19970605",
        "FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8",
        "(1997 9:00 AM EDT) June 5,12,19,26;July 3,10,17,24,31; August 7,14,21,28"
        " (1998 9:00 AM EDT) June 4,11,18,25;July 2,9,16,23,30; August 6,13,20,27"
        " (1999 9:00 AM EDT) June 3,10,17,24;July 1,8,15,22,29; August 5,12,19,26 ...",
    ),
    (
        "19970913",
        "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13",
        "(1997 9:00 AM EDT) September 13;October 11 (1997 9:00 AM EST) November 8;December 13"
        " (1998 9:00 AM EST) January 10;February 7;March 7 (1998 9:00 AM EDT) April 11;May 9;June 13...",
    ),
    (
        "19961105",
        "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8",
        "(1996 9:00 AM EST) November 5 (2000 9:00 AM EST) November 7 (2004 9:00 AM EST) November 2 ...",
    ),
    (
        "19970904",
        "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3",
        "(1997 9:00 AM EDT) September 4;October 7 (1997 9:00 AM EST) November 6",
    ),
    (
        "19970929",
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
        "(1997 9:00 AM EDT) September 29 (1997 9:00 AM EST) October 30;November 27;December 30"
        " (1998 9:00 AM EST) January 29;February 26;March 30 ...",
    ),
    ("19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "(1997 EDT) August 5,10,19,24"),
    ("19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "(1997 EDT) August 5,17,19,31"),
    (
        "20070115",
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        "(2007 EST) January 15,30 (2007 EST) February 15 (2007 EDT) March 15,30",
    ),
]


@pytest.mark.source(DOCUMENT, "section 3.8.5.3, examples of the recurrence rule")
@pytest.mark.parametrize(("start", "rule", "printed"), EXAMPLES, ids=[each[1] for each in EXAMPLES])
def test_a_rule_gives_the_printed_days(start, rule, printed):
    first = datetime.strptime(f"{start}T090000", "%Y%m%dT%H%M%S")
    found = list(occurrences(rule_of(parts_of(rule)), first, before=date(2010, 1, 1), budget=Budget()))
    expected = days_of(printed)
    assert len(expected) >= 2
    is_whole = "..." not in printed
    assert (found if is_whole else found[: len(expected)]) == expected
    if not is_whole:
        assert len(found) > len(expected)


@pytest.mark.source(DOCUMENT, "section 3.8.5.3, every Friday the 13th")
def test_every_friday_the_13th_leaves_its_first_day_out():
    rule = rule_of(parts_of("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13"))
    first = datetime(1997, 9, 2, 9)
    found = [each for each in occurrences(rule, first, before=date(2000, 12, 1), budget=Budget()) if each != first]
    printed = (
        "(1998 9:00 AM EST) February 13;March 13;November 13 (1999 9:00 AM EDT) August 13 (2000 9:00 AM EDT) October 13"
    )
    assert found == days_of(printed)


@pytest.mark.source(DOCUMENT, "section 3.8.5.3, every 20 minutes from 9:00 AM to 4:40 PM every day")
def test_hours_and_minutes_of_a_day():
    rule = rule_of(parts_of("FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40"))
    found = list(occurrences(rule, datetime(1997, 9, 2, 9), before=date(1997, 9, 4), budget=Budget()))
    assert [f"{each:%d %H:%M}" for each in found[:5]] == ["02 09:00", "02 09:20", "02 09:40", "02 10:00", "02 10:20"]
    assert f"{found[23]:%d %H:%M}" == "02 16:40"
    assert f"{found[24]:%d %H:%M}" == "03 09:00"
    assert len(found) == 48


@pytest.mark.source(DOCUMENT, "section 3.8.5.3, examples by the hour and minute; refused here on purpose")
@pytest.mark.parametrize("rule", ["FREQ=HOURLY;INTERVAL=3;COUNT=3", "FREQ=MINUTELY;INTERVAL=15;COUNT=6"])
def test_what_repeats_within_the_day_is_no_booking(rule):
    with pytest.raises(Refused, match="booked daily at the most often"):
        rule_of(parts_of(rule))


# --- a whole file ---

NEW_YORK = ZoneInfo("America/New_York")


def read(*lines, now, zone=NEW_YORK):
    """Read a file with one entry; what the document prints without a title or length gets one, so that it can count."""
    entry = ("BEGIN:VEVENT", "UID:guid-1.example.com", "SUMMARY:N0-101D", *lines, "END:VEVENT")
    text = "\r\n".join(("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//test//EN", *entry, "END:VCALENDAR", ""))
    return read_calendar(text.encode(), fleet=("N0-101D",), zone=zone, now=now)


def starts(*lines, now, zone=NEW_YORK):
    return [each.start_at for each in read(*lines, now=now, zone=zone).entries]


@pytest.mark.source(DOCUMENT, "section 3.3.5, form 3: a local time that is skipped or comes twice; from memory")
@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("20070311T023000", datetime(2007, 3, 11, 7, 30, tzinfo=UTC)),  # "3:30 A.M. EDT (UTC-04:00)"
        ("20071104T013000", datetime(2007, 11, 4, 5, 30, tzinfo=UTC)),  # "1:30 A.M. EDT (UTC-04:00)"
    ],
)
def test_a_time_within_a_change_of_the_clock(typed, meant):
    now = meant - timedelta(days=1)
    assert starts(f"DTSTART;TZID=America/New_York:{typed}", "DURATION:PT1H0M0S", now=now) == [meant]


@pytest.mark.source(DOCUMENT, "section 3.3.5, forms 1 and 2: local time, and UTC; 18 and 19 January 1998; from memory")
def test_a_floating_time_is_the_readers_and_one_in_utc_is_nobodys():
    now = datetime(1998, 1, 17, tzinfo=UTC)
    local = starts("DTSTART:19980118T230000", "DURATION:PT15M", now=now)
    assert local == [datetime(1998, 1, 18, 23, tzinfo=NEW_YORK)]
    assert starts("DTSTART:19980119T070000Z", "DURATION:PT15M", now=now) == [datetime(1998, 1, 19, 7, tzinfo=UTC)]


@pytest.mark.source(DOCUMENT, "section 3.8.2.5, examples of a duration: one hour, 15 minutes; from memory")
@pytest.mark.parametrize(("typed", "minutes"), [("PT1H0M0S", 60), ("PT15M", 15)])
def test_a_duration_gives_the_end(typed, minutes):
    (one,) = read("DTSTART:19980119T070000Z", f"DURATION:{typed}", now=datetime(1998, 1, 17, tzinfo=UTC)).entries
    assert one.end_at - one.start_at == timedelta(minutes=minutes)


@pytest.mark.source(DOCUMENT, "section 3.1, a long line split by a line break and one white space; from memory")
def test_a_folded_line_is_one_line():
    text = "\r\n".join(
        (
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//test//EN",
            "BEGIN:VEVENT",
            "UID:guid-1.example.com",
            "DTSTART:19980119T070000Z",
            "DURATION:PT15M",
            "LOCATION:N0-101D",
            "SUMMARY:This is a lo",
            " ng description",
            "  that exists on a long line.",
            "END:VEVENT",
            "END:VCALENDAR",
            "",
        )
    )
    now = datetime(1998, 1, 17, tzinfo=UTC)
    (one,) = read_calendar(text.encode(), fleet=("N0-101D",), zone=NEW_YORK, now=now).entries
    assert one.words == "This is a long description that exists on a long line."


@pytest.mark.source(DOCUMENT, "section 3.8.5.2, the same recurrence date in UTC and in New York's time; from memory")
@pytest.mark.parametrize("typed", ["RDATE:19970714T123000Z", "RDATE;TZID=America/New_York:19970714T083000"])
def test_a_date_added_to_a_series(typed):
    now = datetime(1997, 7, 1, tzinfo=UTC)
    found = starts("DTSTART:19970710T123000Z", "DURATION:PT1H", typed, now=now)
    assert found == [datetime(1997, 7, 10, 12, 30, tzinfo=UTC), datetime(1997, 7, 14, 12, 30, tzinfo=UTC)]


@pytest.mark.source(DOCUMENT, "section 3.8.5.1, three dates taken out of a series; from memory")
def test_dates_taken_out_of_a_series():
    found = starts(
        "DTSTART:19960401T010000Z",
        "DURATION:PT1H",
        "RRULE:FREQ=DAILY;COUNT=5",
        "EXDATE:19960402T010000Z,19960403T010000Z,19960404T010000Z",
        now=datetime(1996, 3, 31, tzinfo=UTC),
    )
    assert found == [datetime(1996, 4, 1, 1, tzinfo=UTC), datetime(1996, 4, 5, 1, tzinfo=UTC)]


@pytest.mark.source(DOCUMENT, "section 3.6.5, a fictitious zone whose daylight saving ends in 1998; from memory")
@pytest.mark.parametrize(("typed", "hours"), [("19970601T090000", 4), ("19971201T090000", 5), ("19980601T090000", 5)])
def test_a_zone_that_the_file_itself_describes(typed, hours):
    zone = (
        "BEGIN:VTIMEZONE",
        "TZID:Fictitious",
        "BEGIN:STANDARD",
        "DTSTART:19871025T020000",
        "RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10",
        "TZOFFSETFROM:-0400",
        "TZOFFSETTO:-0500",
        "TZNAME:EST",
        "END:STANDARD",
        "BEGIN:DAYLIGHT",
        "DTSTART:19870405T020000",
        "RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=4;UNTIL=19980404T070000Z",
        "TZOFFSETFROM:-0500",
        "TZOFFSETTO:-0400",
        "TZNAME:EDT",
        "END:DAYLIGHT",
        "END:VTIMEZONE",
    )
    entry = (
        "BEGIN:VEVENT",
        "UID:guid-1.example.com",
        "SUMMARY:N0-101D",
        f"DTSTART;TZID=Fictitious:{typed}",
        "DURATION:PT1H",
        "END:VEVENT",
    )
    text = "\r\n".join(("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//test//EN", *zone, *entry, "END:VCALENDAR", ""))
    meant = datetime.strptime(typed, "%Y%m%dT%H%M%S").replace(tzinfo=UTC) + timedelta(hours=hours)
    found = read_calendar(text.encode(), fleet=("N0-101D",), zone=ZoneInfo("UTC"), now=meant - timedelta(days=2))
    assert [each.start_at for each in found.entries] == [meant]
