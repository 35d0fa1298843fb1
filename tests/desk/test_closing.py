"""Closing a defect with what was done; a third report; a closing for which nothing was done; opening it again."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import people, state
from gyrewright.desk.services.matters import matters_of, report_with_id
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.finding import Verdict
from kit.reports import CRAFT, act, client_of, flight_findings, kinds, report, words

DONE = {
    "done": "work",
    "words": "new bush, torqued",
    "areas": ["gear"],
    "workers": ["arrowood"],
    "changes_handling": "no",
    "reference": "log book 3, page 41",
}
NOTHING = {"done": "nothing", "words": "ground check, no play found"}


def close(defect, person="arrowood", status=302, **given):
    return act(client_of(person), defect, "close", status=status, **{**DONE, **given})


def seen(id):
    return report_with_id(id, state.asking_at())


def work_findings():
    return {(each.verdict, each.why) for each in flight_findings("maintenance.work")}


def add_maintainer(person, *roles):
    people.add_person(id=new_id(), person=person, name=person.title(), by="okafor-lind")
    for role in roles:
        people.give_role(id=new_id(), person=person, role=role, from_on=clock.now().date(), by="okafor-lind")


def test_it_works(demo_day):
    id = report(client_of("halloran"))
    page = words(client_of("arrowood").get(reverse("defect-act", args=[id, "close"])))
    assert "What is kept here says that this entry exists and where; it is not the entry." in page
    close(id)
    found = seen(id)
    assert (found.state, found.is_closed_without_action) == ("closed", False)
    assert [each.why for each in flight_findings("maintenance.defect")] == ["none"]
    (work,) = find_records(kinds=("work-done",), newest_first=True, count=1)
    assert (work.act.areas, work.act.workers, work.act.changes_handling) == (("gear",), ("arrowood",), False)
    (signed,) = find_records(kinds=("work-signed",), newest_first=True, count=1)
    assert (signed.act.work, signed.act.reference, signed.by) == (work.id, "log book 3, page 41", "arrowood")
    page = words(client_of("halloran").get(reverse("defect", args=[id])))
    assert "This record says that the entry exists; it is not the entry." in page


def test_work_on_rotor_or_controls_waits_for_a_second_look_by_another(demo_day):
    id = report(client_of("halloran"), zone="K", symptom="rubs or binds")
    close(id, areas=["controls"], changes_handling="yes")
    assert seen(id).state == "closed"
    assert (Verdict.STOP, "second_look") in work_findings()
    assert (Verdict.STOP, "check_flight") in work_findings()
    (work,) = find_records(kinds=("work-done",), newest_first=True, count=1)
    record_act(act=upkeep.SecondLook(work=work.id, found="right"), by="arrowood", about=CRAFT)
    assert (Verdict.STOP, "same_eyes") in work_findings()
    add_maintainer("holt", "maintainer")
    record_act(act=upkeep.SecondLook(work=work.id, found="right"), by="holt", about=CRAFT)
    assert {why for _, why in work_findings()} == {"check_flight"}


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"words": ""}, "write what was done"),
        ({"areas": []}, "which areas the work touched"),
        ({"changes_handling": ""}, "may have changed how the aircraft flies"),
        ({"reference": " "}, "where the signed entry stands"),
        ({"done": "nothing"}, "either nothing was done, or work was"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_half_written(demo_day, given, told):
    id = report(client_of("halloran"))
    before = kinds("work-done", "work-signed", "defect-closed")
    answer = close(id, status=400, **given)
    assert told in words(answer, 400).lower()
    assert kinds("work-done", "work-signed", "defect-closed") == before
    assert seen(id).state == "open"


@pytest.mark.parametrize("person", ["halloran", "sunde", "okafor-lind"])
def test_who_may_not_close_is_refused(demo_day, person):
    id = report(client_of("halloran"))
    answer = close(id, person=person, status=403)
    assert "close a defect is for: inspector or maintainer" in words(answer, 403)
    assert seen(id).state == "open"


def test_the_same_form_sent_twice_is_one_closing(demo_day):
    id, form = report(client_of("halloran")), new_id()
    before = len(kinds("work-done", "work-signed", "defect-closed", "clash"))
    for _ in range(2):
        close(id, id=form)
    assert len(kinds("work-done", "work-signed", "defect-closed", "clash")) == before + 3


def test_what_is_closed_is_not_closed_again_and_opens_when_somebody_sees_it(demo_day):
    id = report(client_of("halloran"))
    close(id)
    assert "this report is closed" in words(close(id, status=400), 400).lower()
    answer = act(client_of("halloran"), id, "reopen", status=400, words=" ")
    assert "write what you saw" in words(answer, 400).lower()
    act(client_of("halloran"), id, "reopen", words="shakes again above a walking pace")
    assert seen(id).state == "open"
    assert flight_findings("maintenance.defect")[0].verdict is Verdict.STOP
    close(id, words="fork bearing renewed")
    assert seen(id).state == "closed"


# --- nothing was done ---


def test_a_closing_for_which_nothing_was_done_is_a_question_until_another_has_looked(demo_day):
    id = report(client_of("halloran"))
    act(client_of("arrowood"), id, "close", **NOTHING)
    assert seen(id).state == "closed"
    assert seen(id).is_closed_without_action
    assert [each.id for each in matters_of(CRAFT, state.asking_at()).questions] == [id]
    page = words(client_of("arrowood").get(reverse("defect", args=[id])))
    assert "closed it and nothing was done: “ground check, no play found”. Is that enough?" in page
    assert "Leave it closed" not in page
    answer = act(client_of("arrowood"), id, "leave-closed", status=403, words="enough")
    assert "somebody else than whoever closed it" in words(answer, 403).lower()
    add_maintainer("holt", "maintainer")
    from gyrewright.desk.services import defects

    defects.look_at_closing(id=new_id(), defect=id, words="looked with the wheel off", by="holt")
    assert not seen(id).has_question
    assert "looked with the wheel off" in words(client_of("arrowood").get(reverse("defect", args=[id])))


# --- the same again ---


def three_reports(closer="sunde"):
    """Report one symptom three times and let somebody close the first two who may not."""
    ids = []
    start = clock.now()
    for number in range(3):
        clock.start(demo_at=start + timedelta(hours=number))
        ids.append(report(client_of("halloran"), words=f"shimmy, time {number + 1}"))
        if number < 2:
            record_act(act=upkeep.DefectClosed(defect=ids[-1], words="ground check OK"), by=closer, about=CRAFT)
    return ids


def test_a_third_report_shows_all_three_with_every_word_and_date_and_goes_to_inspection_authority(demo_day):
    ids = three_reports()
    assert [each.state for each in map(seen, ids)] == ["open", "open", "open"]
    assert [len(seen(id).run) for id in ids] == [3, 3, 3]
    page = words(client_of("arrowood").get(reverse("defect", args=[ids[0]])))
    assert "Reported 3 times" in page
    for part in ("shimmy, time 1", "shimmy, time 2", "shimmy, time 3"):
        assert part in page
    assert page.count("Tobiah Sunde was not entitled to close it: it is open.") == 2
    assert "what is it really? Somebody with inspection authority looks into it" in page
    (found,) = flight_findings("maintenance.repeated")
    assert found.verdict is Verdict.STOP


def test_a_maintainer_without_inspection_authority_does_not_close_a_third_report(demo_day):
    ids = three_reports()
    add_maintainer("holt", "maintainer")
    from gyrewright.desk.refusal import NotAllowed
    from gyrewright.desk.services import defects

    given = {"words": "bearing", "is_nothing_done": False, "areas": ("gear",), "changes_handling": False}
    with pytest.raises(NotAllowed, match="this is report 3 of the same symptom, and to close a third report is for"):
        defects.close(id=new_id(), defect=ids[2], reference="p. 1", by="holt", **given)
    for id in ids:
        close(id)
    assert [each.state for each in map(seen, ids)] == ["closed"] * 3
    assert flight_findings("maintenance.repeated") == []


def test_the_same_place_in_other_words_is_asked_about_and_counts_once_somebody_entitled_says_so(demo_day):
    first = report(client_of("halloran"), item="Nose tire")
    second = report(client_of("sunde"), item="")
    third = report(client_of("sunde"), item="Fork, axle, bearing")
    assert [each.id for each in seen(third).near] == [first, second]
    page = words(client_of("sunde").get(reverse("defect", args=[third])))
    assert "Is it the same thing? Whoever may assess it answers that." in page
    answer = act(client_of("sunde"), third, "compare", status=403, other=first, same="yes")
    assert "assess a defect is for" in words(answer, 403)
    assert seen(third).run == ()
    for other in (first, second):
        act(client_of("arrowood"), third, "compare", other=other, same="yes")
    assert [each.id for each in seen(third).run] == [first, second, third]
    assert seen(third).near == ()
    act(client_of("arrowood"), third, "compare", other=first, same="no")
    assert seen(third).run == ()


# --- noting ---


def test_a_note_by_anybody_stands_with_the_report_and_changes_nothing(demo_day):
    id = report(client_of("halloran"))
    act(client_of("sunde"), id, "note", words="taxied it, could not feel it")
    assert seen(id).state == "open"
    assert "taxied it, could not feel it" in words(client_of("halloran").get(reverse("defect", args=[id])))
    assert "write what you looked at" in words(act(client_of("sunde"), id, "note", status=400, words=""), 400).lower()
