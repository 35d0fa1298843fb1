"""Work on an aircraft: who did it, who signed its entry, who looked a second time, and the check flight."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import due, people, state
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, held, words

DUNLIN = "N0-101D"
AT = "2027-06-12T06:05"
ROTOR = {
    "what": "Teeter bolt renewed",
    "areas": ["rotor"],
    "workers": ["arrowood"],
    "changes_handling": "yes",
    "done_at": AT,
}


def address(name):
    return reverse("upkeep-enter", args=[DUNLIN, name])


def open_work():
    at = state.asking_at()
    stands = due.standing_of(state.machine(DUNLIN, at).aircraft, at=at, purpose="instruction")
    return {each.finding.why for each in stands.open if each.finding.id == "maintenance.work"}


@pytest.fixture
def work(demo_day):
    assert client_of("arrowood").post(address("work"), ROTOR).status_code == 302
    return find_records(about=DUNLIN, kinds=("work-done",))[-1].id


@pytest.fixture
def looker(demo_day):
    """Tobiah Sunde, whom the manager names in writing for the second look."""
    people.give_role(id=new_id(), person="sunde", role="named instructor", from_on=clock.now().date(), by="okafor-lind")
    return "sunde"


def test_work_stands_open_until_signed_looked_at_and_flown(work, looker):
    assert open_work() == {"unsigned", "second_look", "check_flight"}
    arrowood, sunde = client_of("arrowood"), client_of(looker)
    page = words(arrowood.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "Teeter bolt renewed" in page
    assert "Not signed off. I have signed its entry" in page
    signed = {"work": work, "reference": "log 3, page 43"}
    assert arrowood.post(address("signed"), signed).status_code == 302
    assert open_work() == {"second_look", "check_flight"}
    looked = {"work": work, "found": "pin, nut, safety, all right"}
    assert sunde.post(address("second-look"), looked).status_code == 302
    flown = {"work": work, "result": "good", "done_at": "2027-06-12T06:09", "found": "smooth"}
    assert sunde.post(address("check-flight"), flown).status_code == 302
    assert open_work() == {"none"}
    page = words(arrowood.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "Signed off by Pell Arrowood" in page
    assert "Second look by Tobiah Sunde" in page
    assert "Check flight good: Tobiah Sunde" in page


def test_whoever_did_or_signed_the_work_does_not_look_at_it_a_second_time(work):
    said = words(client_of("arrowood").post(address("second-look"), {"work": work, "found": "fine"}), 403)
    assert "nobody may second look where they are its worker" in said
    assert "second_look" in open_work()


def test_a_student_signs_nothing_and_flies_no_check(work):
    student = client_of("halloran")
    assert student.post(address("signed"), {"work": work, "reference": "x"}).status_code == 403
    assert student.post(address("check-flight"), {"work": work, "result": "good", "done_at": AT}).status_code == 403


def test_a_bad_check_flight_says_what_was_not_good(work):
    given = {"work": work, "result": "bad", "done_at": AT}
    client = client_of("sunde")
    assert "say what was not good" in words(client.post(address("check-flight"), given), 400)
    assert client.post(address("check-flight"), {**given, "found": "two-per-rev shake"}).status_code == 302
    assert "check_flight_bad" in open_work()


def test_whether_it_could_change_how_it_flies_is_never_taken_as_answered(demo_day):
    given = {**ROTOR, "changes_handling": ""}
    assert held(client_of("arrowood").get(address("work")))["changes_handling"] == ""
    assert client_of("arrowood").post(address("work"), given).status_code == 302
    assert "handling" in open_work()


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("what", "what was done is missing"),
        ("areas", "what it touched is missing"),
        ("workers", "had a hand in it is missing"),
    ],
)
def test_what_lacks_is_named_and_the_rest_is_kept(demo_day, name, says):
    answer = client_of("arrowood").post(address("work"), {**ROTOR, name: [] if name != "what" else ""})
    assert says in words(answer, 400)
    if name != "what":
        assert held(answer)["what"] == "Teeter bolt renewed"
        assert answer.content.decode().count(" checked") == 1


def test_a_signature_says_where_it_stands(work):
    assert "say where the signed entry stands" in words(
        client_of("arrowood").post(address("signed"), {"work": work}), 400
    )


def test_work_of_another_aircraft_is_not_signed_here(work):
    other = reverse("upkeep-enter", args=["N0-202W", "signed"])
    assert "is no choice for work" in words(client_of("arrowood").post(other, {"work": work, "reference": "x"}), 400)


def test_a_correction_keeps_what_was_done_about_the_work(work):
    arrowood = client_of("arrowood")
    arrowood.post(address("signed"), {"work": work, "reference": "log 3, page 43"})
    form = arrowood.get(address("work"), {"corrects": work})
    assert held(form)["what"] == "Teeter bolt renewed"
    assert form.content.decode().count(" checked") == 2
    given = {**ROTOR, "corrects": work, "what": "Teeter bolt and both bushes renewed"}
    assert arrowood.post(address("work"), given).status_code == 302
    said = words(arrowood.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "Teeter bolt and both bushes renewed" in said
    assert open_work() == {"second_look", "check_flight"}
