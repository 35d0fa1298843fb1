"""Statistics that teach: of places and items, never of people; a person decides."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import ItemAnswer, Walk
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import exercises, people, reporting, state, teaching
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.inspection.lists import items_for, shipped_list
from kit.reports import CRAFT, client_of, words

NOTED = next(
    each for each in shipped_list("walk-round").items if each.grade == "N" and not each.critical and not each.of
)


def record():
    return teaching.list_record(state.asking_at())


def walk(number, **answers):
    at = clock.now() - timedelta(days=40) + timedelta(hours=number)
    said = tuple(ItemAnswer(item=item, answer=answer) for item, answer in answers.items())
    act = Walk(
        kind="first of the day",
        list="walk-round",
        revision=1,
        walked_by=("sunde",),
        began_at=at,
        ended_at=at + timedelta(minutes=30),
        complete=True,
        answers=said,
    )
    record_act(act=act, by="sunde", about=CRAFT, done_at=act.ended_at)


def exercise(student, zones, found):
    """Run one exercise: a label in each zone, of which some numbers are found."""
    id = new_id()
    exercises.open_exercise(id=id, aircraft=CRAFT, student=student, by="sunde")
    placed = []
    for number, zone in enumerate(zones, start=1):
        given = {"number": number, "label": "crack", "zone": zone, "place": "here", "is_beside": True}
        placed.append(exercises.place_marker(id=new_id(), exercise=id, by="sunde", **given).record.id)
    for number in found:
        exercises.find_marker(id=new_id(), exercise=id, number=number, words="", by=student)
    exercises.end_exercise(id=new_id(), exercise=id, judged={}, by="sunde")
    for marker in placed:
        exercises.take_off(id=new_id(), marker=marker, by="sunde")
    exercises.count_off(id=new_id(), markers=placed, counted=len(placed), by="arrowood")


def test_it_works(demo_day):
    exercise("halloran", "BBDK", [1, 3])
    exercise("eklund", "BGK", [1, 2, 3])
    page = words(client_of("okafor-lind").get(reverse("teaches")))
    assert "2 exercises: found 5 of 7, that is between 29 % and 96 %" in page
    assert "Nose 2 of 3 9 % and 99 %" in page
    assert "Mast and rotor head 1 of 2 1 % and 99 %" in page
    assert "Halloran" not in page.partition("What walk-rounds teach")[2]
    assert "Eklund" not in page


def test_what_few_found_is_told_to_those_who_teach_alone(demo_day):
    exercise("halloran", "BB", [1])
    exercise("eklund", "BG", [1])
    assert "found 2 of 4" in words(client_of("sunde").get(reverse("teaches")))
    page = words(client_of("arrowood").get(reverse("teaches")))
    assert "Fewer than 3 people have walked with markers" in page
    assert "2 of 4" not in page
    assert "Nose" not in page.partition("Proposals")[0]
    exercise("castellane", "BG", [1])
    assert "3 exercises: found 3 of 6" in words(client_of("arrowood").get(reverse("teaches")))


def test_looks_are_counted_by_walk_and_what_could_not_be_looked_at_is_no_look(demo_day):
    before = record()
    walk(1)
    walk(2, B06="not")
    walk(3, B06="could not look")
    after = record()
    assert after.walks == before.walks + 3
    looks = {id: after.seen[id].looks - (before.seen[id].looks if id in before.seen else 0) for id in ("B06", "B07")}
    assert looks == {"B06": 2, "B07": 3}
    assert after.seen["B06"].failed == 1
    asked = items_for(
        shipped_list("walk-round"),
        event="first of the day",
        equipment=state.machine(CRAFT, state.asking_at()).aircraft.definition.equipment,
    )
    assert set(after.seen) >= {each.id for each in asked}
    assert "B06" not in [item.id for item, _ in after.never]


def test_what_maintainers_alone_find_is_proposed_to_be_said_better_and_a_person_decides(demo_day):
    walk(1)
    reporting.report_defect(id=new_id(), aircraft=CRAFT, by="arrowood", item="Nose tire", zone="B", symptom="worn")
    (one,) = record().proposals
    assert (one.item.name, one.what) == ("Nose tire", "reword")
    manager = client_of("okafor-lind")
    page = words(manager.get(reverse("teaches")))
    assert "maintainers found it not right 1 time" in page
    given = {"id": new_id(), "item": one.item.id, "proposal": "reword", "decided": "yes"}
    answer = manager.post(reverse("teaches-decide"), given)
    assert "Write why" in words(answer, 400)
    for _ in range(2):
        assert manager.post(reverse("teaches-decide"), {**given, "why": "name both sides"}).status_code == 302
    assert record().proposals == ()
    (decided,) = find_records(kinds=("item-decided",))
    assert (decided.act.item, decided.act.decided, decided.act.revision) == (one.item.id, "yes", 1)
    assert "name both sides" in words(manager.get(reverse("teaches")))
    assert "no open proposal" in words(
        manager.post(reverse("teaches-decide"), {**given, "id": new_id(), "why": "x"}), 400
    )


def test_a_find_by_anybody_else_takes_the_proposal_away(demo_day):
    walk(1)
    reporting.report_defect(id=new_id(), aircraft=CRAFT, by="arrowood", item="Nose tire", zone="B", symptom="worn")
    reporting.report_defect(id=new_id(), aircraft=CRAFT, by="halloran", item="Nose tire", zone="B", symptom="worn")
    assert record().proposals == ()


def test_an_item_that_never_failed_is_asked_about_only_after_the_houses_number(demo_day, monkeypatch):
    walk(1)
    looks = record().seen[NOTED.id].looks
    for number, expected in ((looks + 1, False), (looks, True), (None, False)):
        house = teaching.house_of(state.asking_at())
        monkeypatch.setattr(teaching, "house_of", lambda at, house=house, number=number: _with(house, number))
        found = teaching._list_record(state.asking_at()).proposals
        assert ((NOTED.id, "move") in {(each.item.id, each.what) for each in found}) is expected
        monkeypatch.undo()


def _with(house, number):
    from dataclasses import replace

    return replace(house, item_asked_after=number)


@pytest.mark.parametrize(("person", "status"), [("halloran", 403), ("eklund", 403), ("sunde", 200), ("arrowood", 200)])
def test_who_sees_it(demo_day, person, status):
    assert client_of(person).get(reverse("teaches")).status_code == status


def test_who_decides(demo_day):
    walk(1)
    reporting.report_defect(id=new_id(), aircraft=CRAFT, by="arrowood", item="Nose tire", zone="B", symptom="worn")
    item = record().proposals[0].item.id
    given = {"item": item, "proposal": "reword", "decided": "no", "why": "it is plain enough"}
    with pytest.raises(NotAllowed):
        teaching.decide_item(id=new_id(), by="sunde", **given)
    with pytest.raises(Refused, match="yes or no"):
        teaching.decide_item(id=new_id(), by="okafor-lind", **given | {"decided": "perhaps"})


def test_a_report_of_somebody_who_maintains_today_and_did_not_then_is_a_pilots(demo_day):
    people.give_role(
        id=new_id(), person="sunde", role="maintainer", from_on=clock.now().date() + timedelta(days=1), by="okafor-lind"
    )
    reporting.report_defect(id=new_id(), aircraft=CRAFT, by="sunde", item="Nose tire", zone="B", symptom="worn")
    assert record().proposals == ()
