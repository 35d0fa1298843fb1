"""After flight, the numbers: entering them, what follows at once, correcting them, and what is refused."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import FlightDone, Landed
from gyrewright.desk.book.kinds.upkeep import EventReported, MeterRead
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.verify import verify
from gyrewright.desk.fold.people import add_flight
from gyrewright.desk.services import releases, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.people.roles import entitled

GIVEN = {
    "off": "06:20",
    "on": "07:14",
    "day.halloran.take_offs": "5",
    "day.halloran.full_stops": "1",
    "day.halloran.touch_and_goes": "4",
    "day.sunde.take_offs": "1",
    "day.sunde.full_stops": "1",
    "meter.airframe": "488.2",
    "meter.engine": "488.3",
    "meter.rotor": "488.2",
    "stick": "24",
    "gauge": "26 L",
    "rotor": "402",
    "event": "none",
}
"""What a crew writes after the demonstration's first flight."""
LANDED_AT = datetime(2027, 6, 12, 14, 20, tzinfo=UTC)


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def flight_at(start):
    for id, asked in state.flights(clock.now()).items():
        if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == start:
            return id
    raise AssertionError(start)


@pytest.fixture
def landed(demo_day):
    """The demonstration's first flight, just landed; its id."""
    clock.start(demo_at=LANDED_AT)
    return flight_at("06:30")


def enter(id, person="sunde", **changes):
    given = {key: value for key, value in {**GIVEN, **changes}.items() if value is not None}
    return client_of(person).post(reverse("flight-after-enter", args=[id]), given)


def kinds_now(*names):
    return [each.act for each in find_records(kinds=names)]


# --- it works ---


def test_the_numbers_are_entered_once_and_the_flight_is_flown(landed):
    assert "have not been entered yet" not in words(client_of("sunde").get(reverse("flight-after", args=[landed])))
    answer = enter(landed)
    assert (answer.status_code, answer.url) == (302, reverse("flight-after", args=[landed]))
    asked = state.flight(landed, clock.now())
    assert not asked.is_open
    act = asked.done.act
    assert (act.take_offs, act.landings, act.no_event, act.rotor_noted) == (6, 6, True, "402 rpm")
    assert act.aboard == ("halloran", "sunde")
    page = words(client_of("sunde").get(answer.url))
    assert "Airframe 488.2 h , 0.9 h more than 487.3 h" in page
    assert "24 L by stick, 26 L by gauge; 16 L used" in page
    assert verify_whole()


def verify_whole():
    from django.conf import settings

    return verify(settings.DATA_DIR).is_whole


def test_the_form_holds_nothing_that_should_be_read_off_the_machine(landed):
    text = client_of("sunde").get(reverse("flight-after", args=[landed])).content.decode()
    inputs = re.findall(r"<input[^>]*>", text.split('class="numbers"')[1])
    given = [each for each in inputs if 'type="hidden"' not in each and 'type="checkbox"' not in each]
    assert len(given) > 12
    assert all('value=""' in each for each in given)
    assert " checked" not in text
    # Earlier readings are shown only after the new one is given.
    assert "487.3" not in text


# --- what follows ---


def left_of(task, id):
    at = state.asking_at()
    found = answered(state.flight(id, at), at).answer.situation.sheet.value("binding_dues")
    return next(each.remaining for each in found if task in each.task.name and each.unit == "h")


def test_meters_count_and_the_intervals_that_were_used_are_said(landed):
    later = flight_at("13:30")
    before = left_of("hub-bar look", later)
    page = words(client_of("sunde").get(enter(landed).url))
    assert before == pytest.approx(2.8)
    assert left_of("hub-bar look", later) == pytest.approx(1.9)
    assert "hub-bar look 2.8 h before, 1.9 h left" in page
    assert "Due first now:" in page


def test_flown_hours_are_off_the_bookings_once_every_meter_was_read(landed):
    def booked():
        records = state.machine("N0-101D", clock.now()).aircraft.records
        return [(each.for_, each.block_h) for each in records.bookings if each.at < LANDED_AT]

    assert booked() == [("sunde and halloran", 1.1)]
    enter(landed)
    assert booked() == []


def test_a_flight_that_is_not_on_every_meter_stays_booked_for_as_long_as_it_took(landed):
    enter(landed, **{"meter.rotor": None})
    records = state.machine("N0-101D", clock.now()).aircraft.records
    (kept,) = [each for each in records.bookings if each.at < LANDED_AT]
    assert kept.block_h == pytest.approx(0.9)
    page = words(client_of("sunde").get(reverse("flight-after", args=[landed])))
    assert "Rotor Not read after this flight" in page


def test_the_walk_round_of_before_holds_no_longer(landed):
    later = state.flight(flight_at("08:20"), clock.now())

    def touched():
        return [each.what for each in state.machine("N0-101D", clock.now()).aircraft.walks.touches]

    assert "flown" not in touched()[-1:]
    page = words(client_of("sunde").get(enter(landed).url))
    assert touched()[-1] == "flown"
    assert "Walk-rounds made before it hold no longer (each flight)" in page
    assert later.is_open


def test_fuel_left_is_what_the_next_flight_starts_from(landed):
    enter(landed)
    asked = state.flight(flight_at("08:20"), clock.now())
    assert state.fuel_read(asked, clock.now()) == {"stick": "24 L", "gauge": "26 L"}


def test_without_a_reading_the_fuel_of_before_counts_no_longer(landed):
    page = words(client_of("sunde").get(enter(landed, stick=None, gauge=None).url))
    assert "Not read: the next flight asks for it" in page
    assert state.fuel_read(state.flight(flight_at("08:20"), clock.now()), clock.now()) == {}


def test_landings_count_for_whoever_had_the_controls_and_hours_for_whoever_taught(landed):
    before = state.folk(clock.now()).people
    enter(landed)
    after = state.folk(clock.now()).people
    new = [each for each in after["halloran"].landings if each not in before["halloran"].landings]
    counted = [(each.take_offs, each.landings, each.full_stop, each.sole, each.night) for each in new]
    assert counted == [(5, 1, True, True, False), (0, 4, False, True, False)]
    assert new[0].on.isoformat() == "2027-06-12"
    assert len(after["sunde"].landings) == len(before["sunde"].landings) + 1
    (span,) = [each for each in after["sunde"].taught if each not in before["sunde"].taught]
    assert (span[1] - span[0]) == timedelta(minutes=54)
    assert after["halloran"].taught == before["halloran"].taught
    assert after["halloran"].studies.last_lesson_on.isoformat() == "2027-06-12"


def test_two_pairs_of_hands_count_for_nobodys_own(landed):
    before = len(state.folk(clock.now()).people["halloran"].landings)
    moved = {"day.halloran.take_offs": None, "day.halloran.full_stops": None, "day.halloran.touch_and_goes": None}
    both = {"day.both.take_offs": "5", "day.both.full_stops": "5"}
    enter(landed, **moved, **both)
    assert state.flight(landed, clock.now()).done.act.landings == 6
    assert len(state.folk(clock.now()).people["halloran"].landings) == before


def test_a_list_that_nobody_has_called_complete_stays_unknown():
    rows = {"sam": {"id": "sam"}, "ivo": {"id": "ivo", "taught": []}}
    act = FlightDone(
        off_at=LANDED_AT,
        on_at=LANDED_AT + timedelta(hours=1),
        commander="ivo",
        instructor="ivo",
        student="sam",
        aboard=("ivo", "sam"),
        purpose="instruction",
        landed=(Landed(by="sam", take_offs=1, full_stops=1), Landed(by="ivo", take_offs=1, full_stops=1)),
    )
    flown = SimpleNamespace(act=act, about="N0-101D")
    add_flight(rows, flown, UTC)
    assert "landings" not in rows["sam"]
    assert "landings" not in rows["ivo"]
    assert rows["ivo"]["taught"] == [{"start": act.off_at, "end": act.on_at}]
    assert rows["sam"]["studies"]["last_lesson_on"] == LANDED_AT.date()


# --- events ---


@pytest.mark.parametrize("kind", ["hard landing", "rotor contact", "lightning"])
def test_an_event_locks_the_aircraft_until_its_inspection_is_signed(landed, kind):
    page = words(client_of("sunde").get(enter(landed, event=kind, event_words="a bit firm").url))
    assert f"N0-101D is locked: {kind}" in page
    assert "by Pell Arrowood" in page
    (event,) = [each for each in kinds_now("event-reported") if each.words == "a bit firm"]
    assert event == EventReported(kind=kind, words="a bit firm")
    at = state.asking_at()
    later = answered(state.flight(flight_at("08:20"), at), at)
    locked = [each for each in later.answer.findings if each.id == "maintenance.event"]
    assert [each.verdict.name for each in locked] == ["STOP"]


def test_silence_about_events_is_no_answer(landed):
    before = head()
    page = words(enter(landed, event=None), 400)
    assert "say whether one of the events happened" in page
    assert head() == before


def test_a_contradiction_about_events_is_no_answer(landed):
    both = {**GIVEN, "event": ["none", "bird strike"]}
    answer = client_of("sunde").post(reverse("flight-after-enter", args=[landed]), both)
    assert "take one of the two away" in words(answer, 400)


def test_a_rotor_over_its_red_line_is_an_event(landed):
    page = words(enter(landed, rotor="560 rpm"), 400)
    assert "over the 550 rpm of the manual: that is a rotor overspeed" in page
    assert enter(landed, rotor="560 rpm", event="rotor overspeed").status_code == 302


def test_what_was_felt_and_needs_a_look_grounds_the_aircraft(landed):
    page = words(enter(landed, needs_look="yes"), 400)
    assert "say in words what has to be looked at" in page
    page = words(client_of("sunde").get(enter(landed, felt="a new buzz at 5000 rpm", needs_look="yes").url))
    assert "N0-101D is grounded until somebody entitled has looked" in page
    at = state.asking_at()
    later = answered(state.flight(flight_at("08:20"), at), at)
    assert "STOP" in [each.verdict.name for each in later.answer.findings if each.id.startswith("maintenance.defect")]


# --- the same flight twice, and corrections ---


def test_the_same_numbers_by_another_are_kept_once(landed):
    enter(landed)
    before = head()
    assert enter(landed, person="halloran").status_code == 302
    assert head() == before


def test_other_numbers_for_the_same_flight_are_kept_and_neither_counts(landed):
    enter(landed)
    enter(landed, person="halloran", **{"meter.airframe": "488.4", "on": "07:20"})
    asked = state.flight(landed, clock.now())
    assert not asked.is_open
    assert asked.in_question
    made = state.machine("N0-101D", clock.now()).aircraft
    assert made.records.history.meters["airframe"].latest is None
    assert state.folk(clock.now()).people["sunde"].taught is None
    assert "flown" in [each.what for each in made.walks.touches][-2:]
    page = words(client_of("sunde").get(reverse("flight-after", args=[landed])))
    assert "Which of these is true?" in page


def settle(id, answer):
    return client_of("okafor-lind").post(reverse("flight-after-settle", args=[id]), {"true": answer})


def test_one_answer_settles_all_that_two_people_entered_differently(landed):
    enter(landed)
    enter(landed, person="halloran", **{"meter.airframe": "488.4", "meter.engine": "488.4", "on": "07:20"})
    page = words(client_of("okafor-lind").get(reverse("flight-after", args=[landed])))
    assert page.index("As Tobiah Sunde entered it") < page.index("As Wren Halloran entered it")
    for each in ("488.2 h", "488.4 h"):
        assert each in page
    assert page.count("This is true") == 1
    assert settle(landed, "").status_code == 400
    assert settle(landed, "1").status_code == 302
    asked = state.flight(landed, clock.now())
    assert (asked.in_question, asked.done.act.on_at.minute) == (False, 20)
    meters = state.machine("N0-101D", clock.now()).aircraft.records.history.meters
    assert (meters["airframe"].latest.shows, meters["rotor"].latest.shows) == pytest.approx((488.4, 488.2))
    assert "answered already" in words(settle(landed, "0"), 400)


def test_only_what_differs_is_in_question(landed):
    enter(landed)
    enter(landed, person="halloran", **{"meter.airframe": "488.4"})
    asked = state.flight(landed, clock.now())
    assert not asked.in_question
    meters = state.machine("N0-101D", clock.now()).aircraft.records.history.meters
    assert (meters["airframe"].latest, meters["rotor"].latest.shows) == (None, pytest.approx(488.2))
    settle(landed, "0")
    assert state.machine("N0-101D", clock.now()).aircraft.records.history.meters["airframe"].latest.shows == 488.2


def test_numbers_that_nobody_calls_true_may_be_entered_anew(landed):
    enter(landed)
    enter(landed, person="halloran", **{"meter.airframe": "488.4", "on": "07:20"})
    settle(landed, "neither")
    assert state.flight(landed, clock.now()).is_open
    assert enter(landed, on="07:18", **{"meter.airframe": "488.3"}).status_code == 302
    asked = state.flight(landed, clock.now())
    assert (asked.in_question, asked.done.act.on_at.minute) == (False, 18)
    meters = state.machine("N0-101D", clock.now()).aircraft.records.history.meters
    assert meters["airframe"].latest.shows == pytest.approx(488.3)
    page = words(client_of("sunde").get(reverse("flight-after", args=[landed])))
    assert "Airframe 488.3 h , 1.0 h more than 487.3 h" in page


def test_a_correction_points_at_the_old_record_and_takes_its_place(landed):
    enter(landed, felt="smooth")
    old = state.flight(landed, clock.now()).done
    text = client_of("sunde").get(reverse("flight-after", args=[landed])).content.decode()
    assert 'value="488.2 h"' in text
    assert 'value="06:20"' in text
    answer = enter(landed, corrects="yes", on="07:20", felt="smooth", **{"meter.engine": "488.2", "stick": None})
    assert answer.status_code == 302
    new = state.flight(landed, clock.now()).done
    assert (new.corrects, new.act.on_at - old.act.on_at) == (old.id, timedelta(minutes=6))
    meters = state.machine("N0-101D", clock.now()).aircraft.records.history.meters
    assert [each.shows for each in meters["engine"].readings][-2:] == pytest.approx([487.3, 488.2])
    later = state.flight(flight_at("08:20"), clock.now())
    assert state.fuel_read(later, clock.now()) == {"gauge": "26 L"}
    assert "nothing was changed" in words(
        enter(landed, corrects="yes", on="07:20", felt="smooth", **{"meter.engine": "488.2", "stick": None}), 400
    )
    again = enter(landed, corrects="yes", on="07:20", felt="smooth", **{"meter.engine": "488.2"})
    assert again.status_code == 302
    assert state.fuel_read(later, clock.now()) == {"stick": "24 L", "gauge": "26 L"}


def test_an_event_that_was_reported_stays_when_the_numbers_are_corrected(landed):
    enter(landed, event="bird strike", event_words="a small one")
    assert enter(landed, corrects="yes").status_code == 302
    (event,) = [each for each in state.machine("N0-101D", clock.now()).aircraft.records.events if not each.clearings]
    assert event.kind == "bird strike"
    may = entitled(state.folk(clock.now()).people)
    assert event.cleared(inspection="bird strike inspection", entitled=may, at=clock.now()) is None


# --- a flight known done asks for no release ---


def test_a_flown_flight_asks_for_no_release_and_its_own_is_used_and_not_overtaken(landed):
    clock.start(demo_at=clock.DEMO_START)
    instructor = client_of("sunde")
    instructor.post(reverse("flight-sign", args=[landed]), {"person": "sunde", "all": "yes"})
    instructor.post(reverse("flight-sign", args=[landed]), {"person": "halloran", "all": "yes"})
    assert instructor.post(reverse("flight-release", args=[landed]), {"id": new_id()}).status_code == 302
    clock.start(demo_at=LANDED_AT)
    enter(landed)
    asked = state.flight(landed, clock.now())
    (released,) = releases.releases_of(asked, clock.now())
    assert released.ended == "the flight was flown"
    assert kinds_now("release-superseded") == []
    answer = client_of("sunde").get(reverse("flight", args=[landed]))
    assert (answer.status_code, answer.url) == (302, reverse("flight-after", args=[landed]))
    today = words(client_of("sunde").get(reverse("today")))
    assert "06:30 flown Tobiah Sunde with Wren Halloran , Dunlin, crosswind . 06:20 to 07:14, 6 landings." in today
    assert client_of("sunde").post(reverse("flight-release", args=[landed])).status_code == 400


# --- refused, with everything as typed ---


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"off": None}, "write when the wheels were off the ground"),
        ({"on": "noonish"}, "'noonish' is no time"),
        ({"on": "06:10"}, "wheels on 06:10 lies before wheels off 06:20"),
        ({"on": "06:20"}, "the same minute"),
        ({"on": "07:45"}, "later than this clock shows"),
        ({"out": "06:31"}, "wheels off 06:20 lies before moved off 06:31"),
        ({"day.sunde.take_offs": "2"}, "7 take-offs and 6 landings"),
        ({"day.sunde.take_offs": "many"}, "'many' is no number"),
        ({"day.sunde.take_offs": "-1"}, "'-1' is no number"),
        ({"meter.airframe": "478.2"}, "airframe: 478.2 h is less than the 487.3 h read on 11 Jun 2027 18:10"),
        ({"meter.airframe": "488,2"}, "airframe:"),
        ({"meter.airframe": "488.2 kg"}, "time cannot be read in 'kg'"),
        ({"stick": "240"}, "240 L is more than the tank holds (64 L)"),
        ({"stick": "-4"}, "below nothing"),
        ({"rotor": "fast"}, "rotor:"),
        ({"event": "earthquake"}, "no event of the list"),
        ({"night.sunde.full_stops": "1", "day.sunde.full_stops": None}, "no part of this flight lies in the hours"),
    ],
)
def test_what_does_not_read_is_said_and_nothing_is_written(landed, changes, said):
    before = head()
    answer = enter(landed, felt="kept as typed", **changes)
    page = words(answer, 400)
    assert said in page
    assert "kept as typed" in page
    assert head() == before


def test_every_problem_is_said_at_once(landed):
    page = words(enter(landed, off=None, stick="much", event=None), 400)
    for said in ("wheels were off", "fuel by stick", "say whether one of the events"):
        assert said in page


def test_one_aircraft_is_not_in_two_flights_at_once(landed):
    enter(landed)
    clock.start(demo_at=LANDED_AT + timedelta(hours=2))
    other = flight_at("08:20")
    given = {"off": "07:10", "on": "08:50", "day.castellane.take_offs": "1", "day.castellane.full_stops": "1"}
    wiped = {key: None for key in GIVEN if key.startswith(("day.halloran", "day.sunde", "meter"))}
    page = words(enter(other, person="okafor-lind", **wiped, **given), 400)
    assert "down as flying from 06:20 to 07:14 already" in page


def test_a_meter_that_would_contradict_a_later_reading_is_refused(landed):
    clock.start(demo_at=LANDED_AT + timedelta(hours=1))
    record_act(act=MeterRead(meter="airframe", shows="488.0 h"), by="arrowood", about="N0-101D")
    before = head()
    assert "airframe runs backwards" in words(enter(landed), 400)
    assert head() == before


def test_hostile_text_stays_text(landed):
    hostile = '<script>alert("x")</script>'
    text = enter(landed, felt=hostile, off=hostile).content.decode()
    assert "<script>alert" not in text
    enter(landed, felt=hostile, oil=hostile, event="bump", event_words=hostile)
    assert "<script>alert" not in client_of("sunde").get(reverse("flight-after", args=[landed])).content.decode()


def test_only_the_flights_people_and_those_who_answer_for_the_day_enter_its_numbers(landed):
    assert enter(landed, person="castellane").status_code == 404
    assert enter(landed, person="arrowood").status_code in (403, 404)
    assert enter(landed, person="okafor-lind").status_code == 302
