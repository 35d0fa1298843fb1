"""The day as a whole: aircraft, people and hours are counted once; each flight keeps what it asked for if it can."""

from dataclasses import replace
from datetime import datetime, timedelta

from gyrewright.finding import Verdict
from gyrewright.people.person import No
from gyrewright.release.plan import plan_day
from scenarios.fixture import Flight, Row, question

NOW = datetime.fromisoformat(Flight().asked_at)
EVENING = Row("2027-07-14T20:00:00-05:00", wind=(250, 8, None), altimeter="1018 hPa")


def flight(student="S1", minutes=0, **changes):
    asked = Flight(
        depart=(NOW + timedelta(minutes=minutes)).isoformat(),
        seats={"front": student, "rear": "I1"},
        parts={"commander": "I1", "instructor": "I1", "student": student},
        rows=[EVENING],
        **changes,
    )
    return question(asked)


def fleet():
    return [
        flight().aircraft,
        question(Flight(aircraft="G2", seats={"left": "S1", "right": "I1"}, rows=[EVENING])).aircraft,
    ]


def times(slot):
    start = slot.question.flight.depart_at
    return start, start + timedelta(hours=slot.question.flight.block.value)


def taught(asked, hours, began_ago):
    began = NOW - timedelta(hours=began_ago)
    person = replace(asked.people["I1"], taught=((began, began + timedelta(hours=hours)),))
    return replace(asked, people={**asked.people, "I1": person})


def test_a_flight_that_passes_keeps_its_place():
    (slot,) = plan_day([flight()], fleet())
    assert slot.question == slot.asked
    assert slot.answer.verdict is Verdict.GO


def test_the_second_of_two_that_want_the_same_aircraft_and_instructor_comes_after_the_first():
    first, second = plan_day([flight("S1"), flight("S4", minutes=20)], fleet())
    assert first.question == first.asked
    assert second.answer.verdict <= Verdict.JUDGE
    assert times(second)[0] >= times(first)[1]
    assert times(second)[0] - times(first)[1] <= timedelta(minutes=1)


def test_the_instructor_is_counted_once_in_two_aircraft():
    in_g2 = question(
        Flight(
            aircraft="G2",
            seats={"left": "S4", "right": "I1"},
            parts={**Flight().parts, "student": "S4"},
            rows=[EVENING],
        )
    )
    first, second = plan_day([flight("S1"), in_g2], fleet())
    assert second.question is None or times(second)[0] >= times(first)[1]


def test_two_crews_fly_side_by_side_in_two_aircraft():
    other = question(
        Flight(
            aircraft="G2",
            seats={"left": "S4", "right": "I2"},
            parts={"commander": "I2", "instructor": "I2", "student": "S4"},
            rows=[EVENING],
        )
    )
    first, second = plan_day([flight("S1"), other], fleet())
    assert (first.question, second.question) == (first.asked, second.asked)


def test_hours_of_teaching_that_the_plan_has_given_already_count():
    # 6.5 h in the window, an hour each: the first lesson makes 7.5 h, the second would make 8.5 h.
    asked = [taught(flight("S1"), 6.5, 20.0), taught(flight("S4", minutes=70), 6.5, 20.0)]
    first, second = plan_day(asked, fleet())
    assert first.question == first.asked
    assert second.question is None
    assert "rule.us.61.195.hours" in {each.id for each in second.answer.findings if each.verdict is Verdict.STOP}


def test_a_flight_placed_before_another_one_does_not_take_the_hours_that_the_other_was_promised():
    late, early = taught(flight("S1", minutes=70), 6.5, 20.0), taught(flight("S4"), 6.5, 20.0)
    first, second = plan_day([late, early], fleet())
    assert first.question == first.asked
    assert second.question is None


def test_hours_of_the_meter_that_the_plan_has_given_already_count():
    # 1.1 h are left on the 100 h clock, 0.1 h of which a plan leaves over: one lesson of 0.9 h fits, the next does not.
    meter = ("g1-records.toml", 'shows = "1250.0 h"', 'shows = "1282.9 h"')
    asked = [flight("S1", block_h=0.9, edits=(meter,)), flight("S4", minutes=60, block_h=0.9, edits=(meter,))]
    in_g1_alone = [asked[0].aircraft]
    first, second = plan_day(asked, in_g1_alone)
    assert first.question == first.asked
    assert second.question is None
    assert "maintenance.inspection" in {each.id for each in second.answer.findings if each.verdict is Verdict.STOP}


def test_a_flight_that_has_to_move_is_not_counted_twice_because_it_stands_in_the_bookings():
    meter = ("g1-records.toml", 'shows = "1250.0 h"', 'shows = "1282.9 h"')
    booked = ("g1-records.toml", "booking = []", f'booking = [{{ at = {NOW.isoformat()}, block = "0.9 h" }}]')
    in_g1 = flight("S1", block_h=0.9, edits=(meter, booked))
    in_g2 = question(
        Flight(
            aircraft="G2",
            block_h=0.5,
            seats={"left": "S4", "right": "I1"},
            parts={**Flight().parts, "student": "S4"},
            rows=[EVENING],
        )
    )
    _, second = plan_day([in_g2, in_g1], [in_g1.aircraft])
    assert second.question is not None
    assert times(second)[0] == NOW + timedelta(minutes=30)


def test_a_no_is_gone_round_by_no_place_of_the_day():
    asked = flight()
    student = replace(asked.people["S1"], noes=(No(NOW - timedelta(minutes=5)),))
    (slot,) = plan_day([replace(asked, people={**asked.people, "S1": student})], fleet())
    assert slot.question is None
    assert "people.no" in {each.id for each in slot.answer.findings}
