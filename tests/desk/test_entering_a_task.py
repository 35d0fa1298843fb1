"""Entering that a task was done: who signed, the clocks then, and what is next due from there."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import due, state
from kit.desk import client_of, held, words

DUNLIN, WHIMBREL, SANDERLING = "N0-101D", "N0-202W", "N0-303S"


def address(aircraft=DUNLIN, task="hub-bar"):
    return f"{reverse('upkeep-enter', args=[aircraft, 'done'])}?task={task}"


def task_id(aircraft, word):
    program = state.machine(aircraft, state.asking_at()).aircraft.program
    return next(each.id for each in program.tasks if word in each.name)


def clock_of(aircraft, task, meter):
    at = state.asking_at()
    found = due.next_due(state.machine(aircraft, at).aircraft, at=at, purpose="instruction")
    return next(each.due for each in found if each.due.task.id == task and each.due.clock.meter == meter)


def test_it_works(demo_day):
    client = client_of("arrowood")
    picked = words(client.get(reverse("upkeep-enter", args=[DUNLIN, "done"])))
    assert "which task was done?" in picked
    task = task_id(DUNLIN, "hub-bar")
    form = client.get(address(task=task))
    assert "last read 487.3 h" in words(form)
    assert not any(held(form)[name] for name in ("on", "reading.rotor", "signed_by"))
    given = {"on": "2027-06-12", "reading.rotor": "487.3 h", "signed_by": "arrowood", "reference": "log 3, page 42"}
    answer = client.post(address(task=task), given)
    assert (answer.status_code, answer.url) == (302, reverse("upkeep-aircraft", args=[DUNLIN]))
    # Every 10 h from 487.3.
    assert clock_of(DUNLIN, task, "rotor").binding.due == pytest.approx(497.3)
    assert "signed by Pell Arrowood, log 3, page 42" in words(client.get(answer.url))


def test_without_a_signature_it_is_a_claim_and_no_evidence(demo_day):
    task = task_id(SANDERLING, "Grease")
    given = {"on": "2027-06-12", "reading.rotor": "913.2 h", "worker": "yarrow"}
    assert client_of("arrowood").post(address(SANDERLING, task), given).status_code == 302
    found = clock_of(SANDERLING, task, "rotor")
    assert (found.state, found.said_by) == ("no evidence", "yarrow")


def test_anothers_signature_needs_the_page_it_stands_on(demo_day):
    task = task_id(SANDERLING, "Grease")
    given = {"on": "2027-06-12", "reading.rotor": "913.2 h", "signed_by": "arrowood"}
    answer = client_of("yarrow").post(address(SANDERLING, task), given)
    assert "another's signature is entered only with where it stands" in words(answer, 400)
    assert held(answer)["signed_by"] == "arrowood"
    assert (
        client_of("yarrow").post(address(SANDERLING, task), {**given, "from_paper": "log S, page 9"}).status_code == 302
    )
    assert clock_of(SANDERLING, task, "rotor").state == "in date"


def test_an_owner_keeps_the_books_of_an_own_aircraft_alone(demo_day):
    said = words(client_of("yarrow").post(address(DUNLIN, task_id(DUNLIN, "Grease")), {"on": "2027-06-12"}), 403)
    assert "to enter a task done is for" in said


def test_nobody_signs_what_only_others_may_sign(demo_day):
    task = task_id(SANDERLING, "condition inspection")
    given = {"on": "2027-06-12", "signed_by": "yarrow"}
    said = words(client_of("yarrow").post(address(SANDERLING, task), given), 403)
    assert "inspection authority is asked for" in said


def test_late_work_takes_its_overrun_off_the_next_interval_by_law(demo_day):
    # The scenario: nominal 1100, done 1104.5, due again at 1200 by law; done now, the overrun comes off again.
    task = task_id(WHIMBREL, "100 h check")
    form = client_of("arrowood").get(address(WHIMBREL, task))
    assert "by this desk's count 1200 h" in words(form)
    given = {
        "on": "2027-06-12",
        "reading.airframe": "1206.4 h",
        "due.airframe": "1200.0 h",
        "signed_by": "arrowood",
        "from_paper": "log W, page 88",
    }
    assert client_of("arrowood").post(address(WHIMBREL, task), given).status_code == 302
    found = clock_of(WHIMBREL, task, "airframe")
    assert (found.state, found.binding.due) == ("in date", pytest.approx(1300.0))


def test_a_task_that_hangs_on_when_it_was_due_asks_for_it(demo_day):
    task = task_id(WHIMBREL, "100 h check")
    given = {"on": "2027-06-12", "reading.airframe": "1206.4 h", "signed_by": "arrowood"}
    assert client_of("arrowood").post(address(WHIMBREL, task), given).status_code == 302
    found = clock_of(WHIMBREL, task, "airframe")
    assert (found.state, found.lacking) == ("unclear", (f"was_due:{task}",))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"on": "", "reading.rotor": "487.3 h"}, "done on is missing"),
        ({"on": "12 June", "reading.rotor": "487.3 h"}, "is no day"),
        ({"on": "2027-06-13", "reading.rotor": "487.3 h"}, "is still to come"),
        ({"on": "2027-06-12", "reading.rotor": "587.3 h"}, "more than the rotor meter has ever had"),
        ({"on": "2027-06-04", "reading.rotor": "484.0 h"}, "on 2027-06-04 (483.1 when it was read on 2027-06-05)"),
        ({"on": "2027-06-12", "reading.rotor": "487.3"}, "487.3"),
        ({"on": "2027-06-12", "signed_by": "nobody"}, "is no choice for who signed its entry"),
    ],
)
def test_what_does_not_hold_is_refused_in_one_sentence_and_nothing_is_lost(demo_day, given, says):
    before = len(find_records(about=DUNLIN, kinds=("task-done",)))
    answer = client_of("arrowood").post(address(task=task_id(DUNLIN, "hub-bar")), {**given, "reference": "page 42"})
    assert says in words(answer, 400)
    assert held(answer)["reference"] == "page 42"
    assert len(find_records(about=DUNLIN, kinds=("task-done",))) == before


def test_an_unknown_task_is_refused(demo_day):
    assert "is no task of this aircraft's program" in words(client_of("arrowood").get(address(task="wings")), 400)


def test_what_does_not_apply_asks_for_a_reason_and_no_day(demo_day):
    task = task_id(SANDERLING, "condition inspection")
    given = {"not_applicable": "another serial number", "signed_by": "arrowood", "reference": "list of 2027"}
    assert client_of("arrowood").post(address(SANDERLING, task), given).status_code == 302
    at = state.asking_at()
    found = due.next_due(state.machine(SANDERLING, at).aircraft, at=at, purpose="instruction")
    assert task not in {each.due.task.id for each in found}


def test_a_correction_takes_the_earlier_entrys_place(demo_day):
    client = client_of("arrowood")
    task = task_id(DUNLIN, "hub-bar")
    earlier = next(
        each for each in find_records(about=DUNLIN, kinds=("task-done",), newest_first=True) if each.act.task == task
    )
    form = client.get(reverse("upkeep-enter", args=[DUNLIN, "done"]), {"corrects": earlier.id})
    assert held(form)["reading.rotor"] == earlier.act.at["rotor"]
    given = {"corrects": earlier.id, "on": "2027-06-04", "reading.rotor": "480.0 h", "signed_by": "arrowood"}
    assert client.post(reverse("upkeep-enter", args=[DUNLIN, "done"]), given).status_code == 302
    assert clock_of(DUNLIN, task, "rotor").binding.due == pytest.approx(490.0)


def test_the_day_it_was_done_and_the_moment_it_was_entered_are_two(demo_day):
    given = {"on": "2027-06-04", "reading.rotor": "482.0 h", "signed_by": "arrowood", "reference": "log 3, page 42"}
    assert client_of("arrowood").post(address(task=task_id(DUNLIN, "hub-bar")), given).status_code == 302
    last = find_records(about=DUNLIN, kinds=("task-done",))[-1]
    # At noon there: the field keeps Pacific time, seven hours behind in June.
    assert last.done_at.isoformat() == "2027-06-04T19:00:00+00:00"
    assert last.entered_at.date() == clock.now().date()
