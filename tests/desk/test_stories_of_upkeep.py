"""A06, A11 and A12 through the desk with real records: who reports, closes, signs, counts, and what a flight says.

The demonstration's people stand for those of the scenarios: Sunde for the instructor, Okafor-Lind for the second one,
Arrowood for the maintainer with inspection authority, Halloran for the student.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.flight import FlightAsked, Restored, Walk
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import defects, exercises, flights, people, reporting, state
from gyrewright.desk.services import upkeep as entering
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.matters import report_with_id
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.finding import Verdict
from kit.reports import CRAFT, client_of, words


def at_clock(hour, minute, day=12):
    """Turn the clock to a local time of June 2027."""
    clock.start(demo_at=datetime(2027, 6, day, hour + 7, minute, tzinfo=UTC))


def findings(flight, id):
    found = answered(state.flight(flight, state.asking_at()), state.asking_at())
    return found.verdict, [each for each in found.answer.findings if each.id == id]


def lesson():
    """Return the day's next flight in the aircraft."""
    at = state.asking_at()
    return next(each.id for each in state.flights(at).values() if each.aircraft == CRAFT and each.is_open)


def test_a06_the_defect_that_keeps_being_nothing_found(demo_day):
    at_clock(7, 0)
    reports = []
    for day, said in (("05-18", "shimmy after landing"), ("06-05", "shimmy again"), ("06-12", "shimmy, worse")):
        done = datetime.fromisoformat(f"2027-{day}T06:30:00-07:00")
        kept = reporting.report_defect(
            id=new_id(),
            aircraft=CRAFT,
            by="halloran",
            zone="B",
            item="Fork, axle, bearing",
            symptom="shakes",
            words=said,
            done_at=done,
        )
        reports.append(kept.record.id)
    for id, day in zip(reports[:2], ("05-18", "06-05"), strict=True):
        # Their words came into the book before the desk asked who may: from a keyed-in log, say.
        closed = upkeep.DefectClosed(defect=id, words="ground check OK")
        record_act(
            act=closed, by="okafor-lind", about=CRAFT, done_at=datetime.fromisoformat(f"2027-{day}T16:00:00-07:00")
        )
    verdict, found = findings(lesson(), "maintenance.repeated")
    assert verdict is Verdict.STOP
    assert (found[0].value, found[0].limit) == (3, 3)
    assert [cure.who for cure in found[0].cures] == ["arrowood"]
    _, found = findings(lesson(), "maintenance.defect")
    assert sorted(each.why for each in found) == ["open", "void", "void"]
    page = words(client_of("sunde").get(reverse("defect", args=[reports[2]])))
    for part in (
        "18 May 2027",
        "5 Jun 2027",
        "12 Jun 2027",
        "“shimmy after landing”",
        "“shimmy again”",
        "“shimmy, worse”",
        "Maren Okafor-Lind was not entitled to close it: it is open.",
    ):
        assert part in page
    with pytest.raises(NotAllowed):
        defects.close(id=new_id(), defect=reports[2], words="ground check OK", is_nothing_done=True, by="okafor-lind")
    assert report_with_id(reports[0], state.asking_at()).state == "open"
    for id in reports:
        defects.close(
            id=new_id(),
            defect=id,
            words="fork bearing renewed",
            is_nothing_done=False,
            areas=("gear",),
            changes_handling=False,
            reference="log 3, page 12",
            by="arrowood",
        )
    for id in ("maintenance.repeated", "maintenance.defect"):
        assert [each.why for each in findings(lesson(), id)[1]] in ([], ["none"])


def test_a11_fresh_work_on_the_controls(demo_day):
    at_clock(7, 0)
    people.add_person(id=new_id(), person="holt", name="Mia Holt", by="okafor-lind")
    people.give_role(id=new_id(), person="holt", role="maintainer", from_on=date(2027, 6, 1), by="okafor-lind")
    report = reporting.report_defect(
        id=new_id(), aircraft=CRAFT, by="halloran", zone="C", item="Rod-end bearings", symptom="worn"
    ).record.id
    closed = defects.close(
        id=new_id(),
        defect=report,
        words="cyclic push-rod end replaced",
        is_nothing_done=False,
        areas=("controls",),
        workers=("arrowood",),
        changes_handling=True,
        reference="log 3, page 13",
        by="arrowood",
    )
    work = closed.record.act.work
    verdict, found = findings(lesson(), "maintenance.work")
    assert verdict is Verdict.STOP
    assert {each.why for each in found} == {"second_look", "check_flight"}
    with pytest.raises(NotAllowed, match="where they are its worker"):
        entering.look_again(id=new_id(), aircraft=CRAFT, work=work, found="right", by="arrowood")
    with pytest.raises(NotAllowed, match="second look is for"):
        entering.look_again(id=new_id(), aircraft=CRAFT, work=work, found="right", by="halloran")
    began = clock.now()
    at_clock(7, 50)
    walk = Walk(
        kind="first of the day",
        list="walk-round",
        revision=1,
        walked_by=("halloran", "sunde"),
        began_at=began,
        ended_at=began + timedelta(minutes=40),
        complete=True,
        restored=(Restored(at=began + timedelta(minutes=40), items=tuple(f"R{n:02}" for n in range(1, 24))),),
    )
    record_act(act=walk, by="halloran", about=CRAFT)
    assert "second_look" in {each.why for each in findings(lesson(), "maintenance.work")[1]}
    entering.look_again(id=new_id(), aircraft=CRAFT, work=work, found="locked, free, right way", by="holt")
    verdict, found = findings(lesson(), "maintenance.work")
    assert (verdict, {each.why for each in found}) == (Verdict.STOP, {"check_flight"})
    asked = FlightAsked(
        depart_at=clock.now() + timedelta(minutes=30),
        block="0.3 h",
        purpose="check flight",
        commander="sunde",
        runway="25",
        runway_state="dry",
        take_offs="first only",
        seats={"front": "sunde", "rear": "empty"},
        fuel="40 L",
    )
    check = flights.ask_flight(id=new_id(), aircraft=CRAFT, act=asked, by="sunde").record.id
    _, found = findings(check, "maintenance.work")
    assert [(each.verdict, each.why) for each in found] == [(Verdict.GO_IF, "check_flight_now")]
    entering.fly_check(id=new_id(), aircraft=CRAFT, work=work, result="good", found="hands off at 60 kt", by="sunde")
    assert {each.verdict for each in findings(lesson(), "maintenance.work")[1]} <= {Verdict.GO}


def test_a12_the_marker_still_there(demo_day):
    at_clock(8, 10)
    exercise = exercises.open_exercise(id=new_id(), aircraft=CRAFT, student="halloran", by="sunde").record.id
    placed = [
        exercises.place_marker(
            id=new_id(),
            exercise=exercise,
            number=number,
            label=label,
            zone=zone,
            place=place,
            is_beside=True,
            by="sunde",
        ).record.id
        for number, label, zone, place in (
            (1, "latch open", "E", "outer cowl skin beside the latch"),
            (2, "brake hose wet", "D", "left gear leg"),
        )
    ]
    at_clock(8, 40)
    exercises.find_marker(id=new_id(), exercise=exercise, number=1, words="latch open", by="halloran")
    at_clock(8, 41)
    exercises.take_off(id=new_id(), marker=placed[0], by="sunde")
    exercises.count_off(id=new_id(), markers=[placed[0]], counted=1, by="halloran")
    at_clock(9, 0)
    verdict, found = findings(lesson(), "inspection.marker")
    assert (verdict, found[0].why, found[0].value, found[0].params["numbers"]) == (Verdict.STOP, "on", 1, ("2",))
    student = client_of("halloran")
    for address in (
        reverse("exercise", args=[exercise]),
        reverse("exercises"),
        reverse("defects"),
        reverse("upkeep-aircraft", args=[CRAFT]),
        reverse("flight", args=[lesson()]),
        reverse("today"),
    ):
        assert "gear leg" not in student.get(address).content.decode()
    exercises.end_exercise(id=new_id(), exercise=exercise, judged={}, by="sunde")
    done = exercises.exercise_with_id(exercise, state.asking_at())
    assert (done.score.found, done.score.of, [each.number for each in done.missed]) == (1, 2, [2])
    assert [each.why for each in findings(lesson(), "maintenance.defect")[1]] == ["none"]
    assert findings(lesson(), "inspection.marker")[1][0].why == "on"
    at_clock(9, 5)
    exercises.take_off(id=new_id(), marker=placed[1], by="sunde")
    exercises.count_off(id=new_id(), markers=[placed[1]], counted=1, by="halloran")
    _, found = findings(lesson(), "inspection.marker")
    assert (found[0].verdict, found[0].why) == (Verdict.UNKNOWN, "no_inspection")
