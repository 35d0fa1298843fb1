"""A calendar file taken in as bookings, and the day given out as one."""

from __future__ import annotations

import html
import re
from datetime import UTC, date, datetime, timedelta

import pytest
from dateutil.rrule import rrulestr
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import bookings, flights, state
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.recurrence import Budget, occurrences, rule_of

SINGLE = ("UID:one@calendar", "DTSTART:20270613T160000Z", "DTEND:20270613T170000Z", "SUMMARY:N0-101D trial")
WEEKLY = (
    "UID:weekly@calendar",
    "DTSTART;TZID=America/Los_Angeles:20270614T090000",
    "DURATION:PT1H30M",
    "RRULE:FREQ=WEEKLY;COUNT=4",
    "SUMMARY:Circuits",
    "RESOURCES:N0-202W",
)


def file_of(*events, head=()):
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//test//EN", *head]
    for each in events:
        lines += ["BEGIN:VEVENT", "DTSTAMP:20270601T000000Z", *each, "END:VEVENT"]
    return "\r\n".join([*lines, "END:VCALENDAR", ""]).encode()


def take(*events, **more):
    return bookings.take_in(file_of(*events, **more), by="sunde")


def standing():
    """Return every booking that stands, as aircraft, local start, minutes."""
    zone = state.zone()
    return [
        (
            each.aircraft,
            f"{each.act.start_at.astimezone(zone):%d %b %H:%M}",
            round((each.act.end_at - each.act.start_at) / timedelta(minutes=1)),
        )
        for each in bookings.bookings(clock.now()).values()
        if each.is_open
    ]


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def hand_in(client, data):
    return client.post(reverse("calendar-take"), {"file": SimpleUploadedFile("day.ics", data, "text/calendar")})


# --- taking in ---


def test_a_file_is_taken_in_through_the_page_and_says_what_became_of_it(demo_day):
    client = client_of("sunde")
    page = words(hand_in(client, file_of(SINGLE, WEEKLY)))
    assert "Taken in: 5 new, 0 changed, 0 cancelled." in page
    assert "13 Jun 2027 09:00 PDT 16:00 UTC to 10:00, N0-101D: N0-101D trial" in page
    assert standing() == [
        ("N0-101D", "13 Jun 09:00", 60),
        ("N0-202W", "14 Jun 09:00", 90),
        ("N0-202W", "21 Jun 09:00", 90),
        ("N0-202W", "28 Jun 09:00", 90),
        ("N0-202W", "05 Jul 09:00", 90),
    ]


def test_the_same_file_again_changes_nothing_whoever_hands_it_in(demo_day):
    take(SINGLE, WEEKLY)
    before = head()
    assert bookings.take_in(file_of(SINGLE, WEEKLY), by="okafor-lind").same == 5
    assert head() == before


def test_booked_hours_count_until_the_flight_is_asked_for(demo_day):
    def booked():
        records = state.machine("N0-101D", clock.now()).aircraft.records
        return [round(each.block_h, 2) for each in records.bookings if each.at.date() == date(2027, 6, 13)]

    take(SINGLE)
    assert booked() == [1.0]
    (one,) = bookings.bookings(clock.now()).values()
    client = client_of("sunde")
    form = client.get(reverse("flight-ask"), {"booking": one.id}).content.decode()
    for each in ('value="2027-06-13"', 'value="09:00"', 'value="1 h"', f'name="booking" value="{one.id}"'):
        assert each in form
    given = {
        "id": new_id(), "booking": one.id, "aircraft": "N0-101D", "purpose": "instruction", "lesson": "crosswind",
        "commander": "sunde", "instructor": "sunde", "student": "halloran", "seat.front": "halloran",
        "seat.rear": "sunde", "load.baggage": "0 kg", "fuel": "40 L", "on": "2027-06-13", "start": "09:00",
        "block": "1.0 h", "take_offs": "throughout", "runway": "25", "runway_state": "dry",
    }  # fmt: skip
    wrong = client.post(reverse("flight-ask"), {**given, "seat.front": "nobody-known"})
    assert wrong.status_code == 400
    assert '<option value="halloran" selected>' in wrong.content.decode()
    assert client.post(reverse("flight-ask"), given).status_code == 302
    assert booked() == [1.0]
    assert standing() == []
    assert client.post(reverse("flight-ask"), given).status_code == 302  # the same form sent twice
    assert [each.kind for each in find_records(kinds=("clash",))] == []
    again = client.post(reverse("flight-ask"), {**given, "id": new_id()})
    assert "asked for by it already" in words(again, 400)
    moved = take((*SINGLE[:1], "SEQUENCE:1", "DTSTART:20270613T180000Z", "DTEND:20270613T190000Z", SINGLE[3]))
    assert "a flight was asked for by it already; change the flight" in moved.passed_over[0]


def test_a_changed_entry_corrects_its_booking(demo_day):
    take(SINGLE)
    taken = take((SINGLE[0], "SEQUENCE:1", "DTSTART:20270613T173000Z", "DTEND:20270613T183000Z", SINGLE[3]))
    assert (taken.new, taken.changed) == (0, 1)
    assert standing() == [("N0-101D", "13 Jun 10:30", 60)]
    old, new = find_records(kinds=("booked",))
    assert new.corrects == old.id
    older = take(SINGLE)
    assert older.changed == 0
    assert "older than what is kept" in older.passed_over[0]
    assert standing() == [("N0-101D", "13 Jun 10:30", 60)]


@pytest.mark.parametrize(
    ("event", "head"),
    [
        ((*SINGLE, "STATUS:CANCELLED", "SEQUENCE:1"), ()),
        (("UID:one@calendar", "SEQUENCE:1", "DTSTART:20270613T160000Z"), ("METHOD:CANCEL",)),
    ],
)
def test_a_cancelled_entry_cancels_its_booking_and_may_come_back(demo_day, event, head):
    take(SINGLE)
    assert take(event, head=head).cancelled == 1
    assert standing() == []
    assert take(event, head=head).cancelled == 0
    assert take((*SINGLE, "SEQUENCE:2")).changed == 1
    assert len(standing()) == 1


def test_one_changed_occurrence_moves_alone_and_one_taken_out_is_cancelled(demo_day):
    take(WEEKLY)
    moved = (
        "UID:weekly@calendar",
        "RECURRENCE-ID;TZID=America/Los_Angeles:20270621T090000",
        "DTSTART;TZID=America/Los_Angeles:20270621T140000",
        "DURATION:PT1H",
        "SUMMARY:Circuits",
        "RESOURCES:N0-202W",
    )
    taken = take((*WEEKLY, "EXDATE;TZID=America/Los_Angeles:20270628T090000"), moved)
    assert (taken.new, taken.changed, taken.cancelled, taken.same) == (0, 1, 1, 2)
    assert [each[1:] for each in standing()] == [("14 Jun 09:00", 90), ("21 Jun 14:00", 60), ("05 Jul 09:00", 90)]


def test_an_entry_that_moves_to_another_aircraft_leaves_the_first(demo_day):
    take(SINGLE)
    taken = take((*SINGLE[:3], "SUMMARY:N0-303S trial", "SEQUENCE:1"))
    assert (taken.new, taken.cancelled) == (1, 1)
    assert [each[0] for each in standing()] == ["N0-303S"]


def test_a_series_without_end_is_taken_in_as_far_as_it_says(demo_day):
    endless = (*WEEKLY[:3], "RRULE:FREQ=WEEKLY", *WEEKLY[4:])
    page = words(hand_in(client_of("sunde"), file_of(endless)))
    assert "1 repeat without end: taken in for the next 92 days" in page
    assert len(standing()) == 13


def test_a_weekly_booking_keeps_its_hour_when_the_clocks_change(demo_day):
    autumn = ("UID:a", "DTSTART;TZID=America/New_York:20270826T090000", "DURATION:PT1H", "SUMMARY:N0-101D")
    take((*autumn, "RRULE:FREQ=WEEKLY;COUNT=2"))
    assert [each.act.start_at.hour for each in bookings.bookings(clock.now()).values()] == [13, 13]
    clock.start(demo_at=datetime(2027, 10, 25, 12, tzinfo=UTC))
    late = ("UID:b", "DTSTART;TZID=America/New_York:20271101T090000", "DURATION:PT1H", "SUMMARY:N0-101D")
    take((*late, "RRULE:FREQ=WEEKLY;COUNT=2"))
    found = [each.act.start_at.hour for each in bookings.bookings(clock.now()).values() if each.act.uid == "b"]
    assert found == [13, 14]  # 09:00 in New York is 13:00 UTC until 7 November 2027, and 14:00 afterwards


@pytest.mark.parametrize(
    ("event", "why"),
    [
        ((*SINGLE[:3], "SUMMARY:lunch"), "names no aircraft"),
        ((*SINGLE[:3], "SUMMARY:N0-101D and N0-202W"), "names N0-101D and N0-202W"),
        (("UID:x", "DTSTART;VALUE=DATE:20270613", "SUMMARY:N0-101D"), "whole days"),
        (("UID:x", "DTSTART:20270613T160000Z", "SUMMARY:N0-101D"), "how long it lasts"),
        (("UID:x", "DTSTART:20270613T160000Z", "DTEND:20270613T150000Z", "SUMMARY:N0-101D"), "ends before it begins"),
        (("UID:x", "DTSTART:20270613T160000Z", "DTEND:20270615T150000Z", "SUMMARY:N0-101D"), "longer than a day"),
        (("UID:x", "DTSTART;TZID=Nowhere:20270613T160000", "DURATION:PT1H", "SUMMARY:N0-101D"), "time zone 'Nowhere'"),
        ((*SINGLE, "RRULE:FREQ=HOURLY"), "booked daily at the most often"),
        ((*SINGLE, "RRULE:FREQ=DAILY;BYMONTHDAY=99"), "does not exist"),
        (SINGLE[1:], "no UID"),
        (("UID:x", "DTSTART:notatime", "SUMMARY:N0-101D"), "does not read"),
    ],
)
def test_what_is_no_booking_is_passed_over_by_name_and_the_rest_is_taken_in(demo_day, event, why):
    taken = take(event, WEEKLY)
    assert taken.new == 4
    assert why in " ".join(taken.passed_over)


def test_the_desks_own_entries_are_known_again(demo_day):
    own = client_of("sunde").get(reverse("calendar-day")).content
    taken = bookings.take_in(own.replace(b"20270612T", b"20270613T"), by="sunde")
    assert (taken.new, taken.own) == (0, 5)


# --- hostile and damaged files: one message, nothing written ---

LOOP = (*SINGLE[:3], "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "SUMMARY:N0-101D")
OLD = ("DTSTART:19900101T160000Z", "DURATION:PT1H", "SUMMARY:N0-101D", LOOP[3])


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "ends in the middle"),
        (b"GIF89a;nothing", "line 1 lies outside a calendar"),
        (b"\xff\xfe\x00B", "no text in UTF-8"),
        (file_of(SINGLE)[:-20], "damaged"),
        (file_of(SINGLE) + file_of(SINGLE), "lies outside a calendar"),
        (file_of((*SINGLE, "BEGIN:VEVENT", "END:VEVENT")), "begins VEVENT inside VEVENT"),
        (file_of((*SINGLE, "END:VTODO")), "ends VTODO, which was not begun"),
        (file_of(*[("UID:x",)] * 2001), "more than 2,000 entries"),
        (b"BEGIN:VCALENDAR\r\n" + b"X-A:b\r\n" * 50_000, "50,001 lines"),
        (b"BEGIN:VCALENDAR\r\n" + b"X" * 1_000_001, "at most 1,000,000 are read"),
        (file_of((*SINGLE, "SUMMARY:" + "x" * 30_000)), "characters; that is no booking"),
        (file_of(*[(f"UID:{number}", *OLD) for number in range(60)]), "take too long to work out"),
        (file_of(*[(f"UID:{n}", *SINGLE[1:3], "RRULE:FREQ=DAILY", SINGLE[3]) for n in range(30)]), "more than 2000"),
        (
            file_of(SINGLE, head=("BEGIN:VTIMEZONE", "TZID:Loop", "BEGIN:STANDARD", "DTSTART:19700101T000000",
                "TZOFFSETFROM:+0000", "TZOFFSETTO:+0100", "RRULE:FREQ=SECONDLY", "END:STANDARD", "END:VTIMEZONE")),
            "a time zone changes once or twice a year",
        ),
        (
            file_of(SINGLE, ("UID:one@calendar", "RECURRENCE-ID;RANGE=THISANDFUTURE:20270613T160000Z", *SINGLE[1:])),
            "hand in the whole series",
        ),
    ],
)  # fmt: skip
def test_a_damaged_or_hostile_file_gets_one_message_and_nothing_is_written(demo_day, data, said):
    before = head()
    page = words(hand_in(client_of("sunde"), data), 400)
    assert "Nothing was taken in:" in page
    assert said in page
    assert head() == before


def test_a_rule_whose_day_never_comes_ends(demo_day):
    began = datetime.now(UTC)
    assert take(*[(f"UID:{number}", *LOOP[1:]) for number in range(200)]).new == 200
    assert datetime.now(UTC) - began < timedelta(seconds=8)


def test_hostile_words_stay_words(demo_day):
    page = hand_in(client_of("sunde"), file_of((*SINGLE[:3], 'SUMMARY:N0-101D <script>alert("x")</script>')))
    assert "<script>alert" not in page.content.decode()
    assert len(standing()) == 1


def test_who_may_not_take_calendars_in_does_not(demo_day):
    for person in ("halloran", "arrowood"):
        assert hand_in(client_of(person), file_of(SINGLE)).status_code == 403
    assert standing() == []


def test_no_file_is_one_message(demo_day):
    assert "no file was chosen" in words(client_of("sunde").post(reverse("calendar-take")), 400)


# --- against the library that others use, as far as it comes to an end ---


@st.composite
def rules(draw):
    parts = {"FREQ": draw(st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]))}
    parts["INTERVAL"] = draw(st.integers(1, 4))
    for name, values in (
        ("BYMONTH", st.integers(1, 12)),
        ("BYMONTHDAY", st.integers(-28, 28).filter(bool)),
        ("BYHOUR", st.integers(0, 23)),
    ):
        if draw(st.booleans()):
            parts[name] = draw(st.lists(values, min_size=1, max_size=3, unique=True))
    if draw(st.booleans()):
        numbered = parts["FREQ"] in ("MONTHLY", "YEARLY") and "BYMONTHDAY" not in parts
        days = ["MO", "TH", "SU", "1FR", "-1TU"] if numbered else ["MO", "TH", "SU"]
        parts["BYDAY"] = draw(st.lists(st.sampled_from(days), min_size=1, max_size=3, unique=True))
    if draw(st.booleans()):
        parts["WKST"] = draw(st.sampled_from(["MO", "SU", "WE"]))
    if draw(st.booleans()):
        parts["COUNT"] = draw(st.integers(1, 12))
    return parts


@settings(max_examples=60, deadline=None)
@given(rules(), st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)))  # noqa: DTZ001 - local time repeats
def test_rules_come_out_as_in_the_library_that_others_use(parts, start):
    start = start.replace(second=0, microsecond=0)
    text = ";".join(
        f"{name}={','.join(map(str, value)) if isinstance(value, list) else value}" for name, value in parts.items()
    )
    before = start.date() + timedelta(days=500)
    mine = list(occurrences(rule_of(parts), start, before=before, budget=Budget()))
    end = datetime.combine(before, datetime.min.time())
    theirs = [each for each in rrulestr(text, dtstart=start).between(start, end, inc=True) if each < end]
    assert mine == theirs, text


def test_a_spent_budget_is_said():
    with pytest.raises(Refused, match="too long to work out"):
        list(occurrences(rule_of({"FREQ": "DAILY"}), datetime(1990, 1, 1), before=date(2030, 1, 1), budget=Budget(999)))  # noqa: DTZ001


# --- giving out ---


def test_the_day_is_given_out_without_names_or_masses(demo_day):
    answer = client_of("okafor-lind").get(reverse("calendar-day"))
    assert answer["Content-Type"] == "text/calendar"
    assert 'filename="flights-2027-06-12.ics"' in answer["Content-Disposition"]
    text = answer.content.decode()
    for hidden in ("Sunde", "sunde", "Halloran", "halloran", "kg", "STOP", "UNKNOWN"):
        assert hidden not in text
    events = Calendar.from_ical(answer.content).walk("VEVENT")
    assert len(events) == 5
    first = events[0]
    assert str(first["SUMMARY"]) == "Dunlin N0-101D: instruction, crosswind"
    assert first["DTSTART"].dt == datetime(2027, 6, 12, 13, 30, tzinfo=UTC)
    assert first["DTEND"].dt - first["DTSTART"].dt == timedelta(hours=1.1)
    assert str(first["STATUS"]) == "TENTATIVE"
    # RFC 5545: lines end in CRLF and have at most 75 octets (3.1); what an entry must have (3.6, 3.6.1).
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "\n" not in text.replace("\r\n", "")
    assert {"PRODID", "VERSION"} <= set(Calendar.from_ical(answer.content))
    assert all({"UID", "DTSTAMP", "DTSTART"} <= set(each) for each in events)


def test_a_student_is_given_their_own_flights(demo_day):
    events = Calendar.from_ical(client_of("castellane").get(reverse("calendar-day")).content).walk("VEVENT")
    assert [str(each["SUMMARY"]) for each in events] == ["Dunlin N0-101D: instruction, upper work"]


def test_a_change_raises_the_number_and_a_dropped_flight_is_cancelled(demo_day):
    def first():
        return Calendar.from_ical(client_of("sunde").get(reverse("calendar-day")).content).walk("VEVENT")[0]

    before = first()
    flight = str(before["UID"]).partition("@")[0]
    act = flights.as_asked(state.flight(flight, clock.now()), runway="07")
    flights.change_flight(id=new_id(), flight=flight, aircraft="N0-101D", act=act, by="sunde")
    changed = first()
    assert int(changed["SEQUENCE"]) > int(before["SEQUENCE"])
    flights.drop_flight(id=new_id(), flight=flight, by="sunde")
    dropped = first()
    assert str(dropped["STATUS"]) == "CANCELLED"
    assert int(dropped["SEQUENCE"]) > int(changed["SEQUENCE"])
    assert dropped["UID"] == before["UID"]
