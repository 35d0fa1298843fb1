"""A walk-round with markers: hung, found, ended, taken off, counted by two, and told to nobody too early."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.urls.resolvers import URLPattern

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Restored, Walk
from gyrewright.desk.book.kinds.upkeep import MarkerPlaced
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import exercises, people, state
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.desk.urls import urlpatterns
from gyrewright.finding import Verdict
from gyrewright.inspection.labels import shipped_labels
from gyrewright.inspection.lists import shipped_list
from kit.reports import CRAFT, client_of, flight_findings, kinds, words

PLACES = ("outer cowl skin beside the latch", "left gear leg, inboard")
LABELS = ("latch open", "hose wet")


def begin(student="halloran", craft=CRAFT):
    id = new_id()
    answer = client_of("sunde").post(reverse("exercises"), {"id": id, "aircraft": craft, "student": student})
    assert answer.url == reverse("exercise", args=[id]), words(answer, answer.status_code)
    return id


def do(exercise, name, person="sunde", status=302, **given):
    given = {"id": new_id(), **given}
    answer = client_of(person).post(reverse("exercise-act", args=[exercise, name]), given)
    assert answer.status_code == status, words(answer, answer.status_code)[-1500:]
    return answer


def place(exercise, label_number, status=302, **given):
    label, where = LABELS[label_number % 2], PLACES[label_number % 2]
    given = {"number": label_number, "words": label, "zone": "E", "place": where, "beside": "yes", **given}
    return do(exercise, "place", status=status, **given)


def seen(exercise):
    return exercises.exercise_with_id(exercise, state.asking_at())


def page_of(exercise, person):
    return words(client_of(person).get(reverse("exercise", args=[exercise])))


def later(minutes):
    clock.start(demo_at=clock.now() + timedelta(minutes=minutes))


@pytest.fixture
def hung(demo_day):
    exercise = begin()
    place(exercise, 1)
    place(exercise, 2, zone="D")
    return exercise


def test_it_works(hung):
    later(5)
    do(hung, "find", "halloran", number=2, words="latch open; I would close it and tell you")
    do(hung, "find", "halloran", words="oil drop under the gearbox")
    page = page_of(hung, "halloran")
    assert "label 2, “latch open; I would close it and tell you”" in page
    assert "Found of placed" not in page
    (find,) = seen(hung).beside_labels
    later(10)
    do(hung, "end", **{f"there.{find.id}": "no"})
    found = seen(hung)
    assert ([each.number for each in found.found], [each.number for each in found.missed]) == ([2], [1])
    assert (found.score.found, found.score.of) == (1, 2)
    assert [each.id for each in found.false_finds] == [find.id]
    page = page_of(hung, "halloran")
    assert "Found of placed 1 of 2, and 1 at which nothing was, in 15 min." in page
    assert "Missed: label 1, hose wet, left gear leg, inboard (Engine, left)." in page
    assert "1 of 2, that is between 1 % and 99 %" in page


def test_registering_locks_the_aircraft_and_a_report_of_training_is_no_defect(demo_day):
    exercise = begin()
    assert [each.why for each in flight_findings("inspection.marker")] != ["on"]
    place(exercise, 1)
    (found,) = flight_findings("inspection.marker")
    assert (found.verdict, found.why, found.value) == (Verdict.STOP, "on", 1)
    do(exercise, "find", "halloran", number=1)
    assert [each.why for each in flight_findings("maintenance.defect")] == ["none"]
    assert "Locked for training: 1 marker on it" in words(client_of("halloran").get(reverse("defects")))


def test_ending_unlocks_nothing_and_a_finished_walk_round_takes_no_marker_off(hung):
    do(hung, "end")
    began = clock.now()
    later(45)
    items = tuple(f"R{n:02}" for n in range(1, 24))
    walk = Walk(
        kind="first of the day",
        list="walk-round",
        revision=1,
        walked_by=("sunde",),
        began_at=began,
        ended_at=began + timedelta(minutes=30),
        complete=True,
        restored=(Restored(at=began + timedelta(minutes=30), items=items),),
    )
    record_act(act=walk, by="sunde", about=CRAFT)
    assert flight_findings("inspection.marker")[0].why == "on"
    assert "2 markers not off by two people's count" in page_of(hung, "sunde")


def test_off_by_two_counts_and_then_a_full_walk_round_comes_first(hung):
    for marker in seen(hung).markers:
        do(hung, "off", marker=marker.id)
    assert flight_findings("inspection.marker")[0].why == "on"
    assert "Taken off: 1, 2." in page_of(hung, "halloran")
    answer = do(hung, "count", "halloran", status=400, who="halloran", counted=1)
    assert "2 were taken off by the book and you count 1: look again" in words(answer, 400)
    assert flight_findings("inspection.marker")[0].why == "on"
    form = new_id()
    do(hung, "count", "halloran", who="halloran", counted=2, id=form)
    assert seen(hung).on == ()
    (found,) = flight_findings("inspection.marker")
    assert (found.verdict, found.why) == (Verdict.UNKNOWN, "no_inspection")
    assert len(kinds("marker-confirmed")) == 2
    # The morning's walk-round was made before the labels were off, so it is void.
    assert {each.why for each in flight_findings("inspection.walk")} <= {"ended", "later", "none", "old"}


def test_the_placer_alone_takes_off_and_never_counts(hung):
    marker = seen(hung).markers[0]
    answer = do(hung, "off", "okafor-lind", status=403, marker=marker.id)
    assert "whoever hung it takes it off" in words(answer, 403).lower()
    do(hung, "off", marker=marker.id)
    answer = do(hung, "count", status=403, who="sunde", counted=1)
    assert "nobody may confirm marker removed where they are its planner" in words(answer, 403).lower()
    answer = do(hung, "off", status=400, marker=marker.id)
    assert "was taken off already" in words(answer, 400).lower()
    assert not seen(hung).markers[0].is_off


def test_a_second_person_counts_at_the_same_desk(hung):
    for marker in seen(hung).markers:
        do(hung, "off", marker=marker.id)
    do(hung, "count", "sunde", who="arrowood", counted=2)
    assert {each.confirmed.by for each in seen(hung).markers} == {"arrowood"}


def test_a_number_that_hangs_already_is_one_clear_message_on_this_aircraft_and_on_any(hung):
    answer = place(hung, 1, status=400)
    assert "Label 1 hangs on N0-101D since 12 Jun" in words(answer, 400)
    assert PLACES[1] in answer.content.decode()
    other = begin(craft="N0-202W")
    answer = place(other, 2, status=400)
    assert "take that one off and count it first, or use another number" in words(answer, 400)
    assert len(kinds("marker-placed")) == 2


def test_the_same_form_sent_twice_hangs_one_label(demo_day):
    exercise, form = begin(), new_id()
    for _ in range(2):
        place(exercise, 1, id=form)
    assert len(kinds("marker-placed")) == 1
    assert kinds("clash") == []


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"number": ""}, "write the number printed on the label"),
        ({"number": "1000"}, "from 1 to 999"),
        ({"number": "one"}, "is no number"),
        ({"words": ""}, "write what the label says"),
        ({"place": " "}, "write where it hangs"),
        ({"zone": ""}, "in which zone"),
        ({"zone": "F"}, "nothing is hung on a propeller"),
        ({"zone": "L"}, "nothing is hung on hub bar or blades"),
        ({"zone": "A"}, "nothing is hung in a cockpit"),
        ({"beside": ""}, "beside the part and changes nothing"),
    ],
)
def test_what_is_missing_or_must_not_be_is_said_and_nothing_is_locked(demo_day, given, told):
    exercise = begin()
    answer = place(exercise, 1, status=400, **given)
    assert told in words(answer, 400).lower()
    assert kinds("marker-placed") == []


def test_near_pitot_static_inlets_and_fuel_cap_none_hangs():
    names = {item.id: item.name for item in shipped_list("walk-round").items}
    closed = dict(shipped_labels().closed_items)
    assert {names[each] for each in closed} == {
        "Pitot and static ports",
        "Front radiator and air inlets",
        "Fuel cap and vent",
        "Right skin, static port, step",
    }
    assert shipped_labels().why_not(zone="C", item="C05")
    assert not shipped_labels().why_not(zone="C", item="C01")


def test_who_sets_one_up_and_for_whom(demo_day):
    for person, student, told in (("halloran", "eklund", "is for"), ("sunde", "sunde", "subject")):
        with pytest.raises(NotAllowed, match=told):
            exercises.open_exercise(id=new_id(), aircraft=CRAFT, student=student, by=person)
    with pytest.raises(Refused, match="who will look"):
        exercises.open_exercise(id=new_id(), aircraft=CRAFT, student="nobody", by="sunde")
    begin()
    with pytest.raises(Refused, match="end that one first"):
        exercises.open_exercise(id=new_id(), aircraft=CRAFT, student="eklund", by="sunde")


def test_finds_are_the_students_and_end_with_the_exercise(hung):
    with pytest.raises(NotAllowed, match="by the student"):
        exercises.find_marker(id=new_id(), exercise=hung, number=1, words="", by="eklund")
    do(hung, "find", "sunde", number=1, words="said aloud")
    answer = do(hung, "find", "halloran", status=400, number="", words="")
    assert "write the label's number" in words(answer, 400).lower()
    do(hung, "end")
    do(hung, "find", "halloran", status=400, number=2)
    assert [each.number for each in seen(hung).found] == [1]


def test_the_reply_does_not_tell_whether_such_a_label_hangs(hung):
    pages = []
    for number in (1, 7):
        do(hung, "find", "halloran", number=number)
        pages.append(re.sub(r"\b[17]\b|\d\d:\d\d", "", page_of(hung, "halloran").split("Found so far")[1]))
    assert pages[1].startswith(pages[0].rstrip())
    assert "no such label hangs here" in page_of(hung, "sunde")


def test_what_was_seen_without_a_label_is_answered_before_it_ends(hung):
    do(hung, "find", "halloran", words="crack in the fairing")
    answer = do(hung, "end", status=400)
    assert "say whether something is really there" in words(answer, 400)
    assert not seen(hung).is_ended


def test_with_nothing_hung_it_tries_false_finds_and_locks_nothing(demo_day):
    exercise = begin()
    do(exercise, "find", "halloran", number=5)
    do(exercise, "end")
    found = seen(exercise)
    assert (found.score.is_told, len(found.false_finds)) == (False, 1)
    assert "Nothing was hung, and 1 at which nothing was" in page_of(exercise, "halloran")
    assert [each.why for each in flight_findings("inspection.marker")] != ["on"]


def test_two_contents_of_one_label_keep_it_on_until_a_person_has_said_which_is_true(hung):
    marker = seen(hung).markers[0]
    record = next(each for each in find_records(kinds=("marker-placed",)) if each.id == marker.id)
    other = MarkerPlaced(number=9, label="nest", place="in the tail", exercise=hung)
    record_act(act=other, by="sunde", about=CRAFT, id=marker.id, done_at=record.done_at)
    assert sorted(each.number for each in seen(hung).on) == [1, 2, 9]
    with pytest.raises(Refused, match="contradict each other"):
        exercises.take_off(id=new_id(), marker=marker.id, by="sunde")


def test_a_label_of_no_exercise_can_be_taken_off_and_counted_too(demo_day):
    lone = record_act(act=MarkerPlaced(number=4, label="nest", place="in the tail"), by="sunde", about=CRAFT).record.id
    assert "Label 4 on N0-101D" in words(client_of("sunde").get(reverse("exercises")))
    client_of("sunde").post(reverse("marker-act", args=["off"]), {"marker": lone})
    client_of("okafor-lind").post(reverse("marker-act", args=["count"]), {"marker": lone, "counted": "1"})
    assert exercises.markers_on(state.asking_at()) == ()
    assert client_of("sunde").post(reverse("marker-act", args=["shrug"]), {"marker": lone}).status_code == 404


# --- told to nobody too early ---


def _addresses(exercise):
    """Return every address of the desk that can be looked at, with ids of this book."""
    ids = {
        "exercise": [exercise],
        "question": [each.id for each in find_records(kinds=("marker-placed",))],
        "flight": [each.id for each in state.flights(state.asking_at()).values() if each.aircraft == CRAFT][:1],
        "record": [each.id for each in find_records(newest_first=True, count=8)],
        "release": [each.id for each in find_records(kinds=("release",))],
        "defect": [each.id for each in find_records(kinds=("defect-reported",))],
        "event": [each.id for each in find_records(kinds=("event-reported",))],
    }
    other = {
        "aircraft": list(state.fleet_ids()),
        "walk_list": ["walk-round"],
        "person": ["halloran", "sunde"],
        "page": ["place"],
        "file": ["field"],
        "about": ["new"],
        "act": ["assess", "close", "defer", "place"],
        "name": ["loading"],
    }
    for each in urlpatterns:
        assert isinstance(each, URLPattern)
        route = each.name.partition("-")[0]
        wanted = list(each.pattern.converters)
        if not wanted:
            yield reverse(each.name)
            continue
        for number in range(60):
            kwargs = {}
            for name in wanted:
                if name == "id":
                    known = (
                        [exercise]
                        if route == "exercise"
                        else ids.get(route)
                        or (other["aircraft"] if route in ("upkeep", "report", "aircraft") else ["halloran"])
                    )
                else:
                    known = other.get(name, ["all"])
                kwargs[name] = known[number % len(known)]
            try:
                yield reverse(each.name, kwargs=kwargs)
            except Exception:
                break
            if number >= max([len(ids.get(route, ())), *(len(other.get(name, ())) for name in wanted)]):
                break


_TELLS = re.compile("|".join(map(re.escape, (*PLACES, *LABELS, "in the tail"))))


@pytest.mark.parametrize("roles", [(), ("owner", "instructor", "manager", "maintainer")])
def test_no_answer_to_the_students_session_holds_a_place_before_the_exercise_has_ended(hung, roles):
    marker = seen(hung).markers[0]
    record = next(each for each in find_records(kinds=("marker-placed",)) if each.id == marker.id)
    other = MarkerPlaced(number=9, label="nest", place="in the tail", exercise=hung)
    record_act(act=other, by="sunde", about=CRAFT, id=marker.id, done_at=record.done_at)
    for role in roles:
        people.give_role(
            id=new_id(),
            person="halloran",
            role=role,
            from_on=clock.now().date(),
            aircraft=(CRAFT,) if role == "owner" else (),
            by="okafor-lind",
        )
    client = client_of("halloran")
    looked, told = 0, []
    for address in {*_addresses(hung)}:
        if address.endswith(".pdf"):
            # A sheet is printed from the same answers; its bytes are packed and say nothing to a search.
            continue
        answer = client.get(address)
        text = answer.content.decode(errors="replace") if not answer.streaming else ""
        looked += answer.status_code == 200
        if _TELLS.search(text):
            told.append(address)
    assert looked > 40
    assert told == []
    if roles:
        page = words(client.get(reverse("records") + "?kind=marker-placed"))
        assert "told once the exercise has ended" in page


def test_once_it_has_ended_its_records_tell_and_an_instructor_is_told_all_along(hung):
    assert PLACES[1] in page_of(hung, "sunde")
    assert PLACES[1] not in page_of(hung, "eklund")
    owner = client_of("okafor-lind")
    assert PLACES[1] not in words(owner.get(reverse("records") + "?kind=marker-placed"))
    do(hung, "end")
    assert PLACES[1] in words(owner.get(reverse("records") + "?kind=marker-placed"))
    assert PLACES[1] in page_of(hung, "halloran")


def test_what_one_person_found_is_seen_by_them_and_whoever_teaches_them(hung):
    do(hung, "find", person="halloran", number="9", words="a thing of mine")
    do(hung, "end")
    for person, sees in (
        ("halloran", True),
        ("sunde", True),
        ("okafor-lind", True),
        ("eklund", False),
        ("arrowood", False),
    ):
        page = page_of(hung, person)
        assert ("Found of placed" in page) is sees, person
        assert ("a thing of mine" in page) is sees, person
    assert "Yours so far You found 0 of 2" in words(client_of("halloran").get(reverse("exercises")))
    assert "Yours so far" not in words(client_of("eklund").get(reverse("exercises")))


def test_nobody_without_a_log_in_gets_anywhere(hung):
    assert Client(SERVER_NAME="localhost").get(reverse("exercise", args=[hung])).status_code == 302
