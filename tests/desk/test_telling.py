"""A report reaches whoever can put it right, and its answer whoever reported."""

from __future__ import annotations

import html
import re
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest
from django.conf import settings
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.telling import WordSent
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import defects, people, reporting, state, telling
from gyrewright.desk.services.matters import report_with_id
from gyrewright.desk.services.records import new_id, record_act
from kit.reports import CRAFT, act, client_of, photo, report, words


def today(person):
    return words(client_of(person).get(reverse("today")))


def later(hours):
    clock.start(demo_at=clock.now() + timedelta(hours=hours))


def contact(person, text):
    known = people.person_known(person)
    people.add_person(id=new_id(), person=person, name=known.name, contact=text, by="okafor-lind")


def seen(id):
    return report_with_id(id, state.asking_at())


def test_it_works(demo_day):
    contact("arrowood", "hangar 2, pell@example.org, evenings")
    client = client_of("halloran")
    id = report(client, words="shimmy above a walking pace", photo=photo())
    page = client.get(reverse("defect", args=[id]))
    text = words(page)
    assert "Tell whoever can put it right Pell Arrowood hangar 2, pell@example.org, evenings" in text
    links = re.findall(r'href="mailto:([^"]*)"', page.content.decode())
    (link,) = [html.unescape(each) for each in links if not each.startswith("?")]
    assert link.startswith("pell%40example.org?subject=")
    given = parse_qs(urlsplit("mailto:" + link).query)
    assert given["subject"] == ["Demonstration: Dunlin N0-101D: Nose: shakes"]
    body = given["body"][0]
    for part in (
        "Dunlin N0-101D is grounded: Nose: shakes.",
        '"shimmy above a walking pace"',
        "Reported by Wren Halloran, 12 Jun 2027 06:1",
        "Nobody entitled has assessed it yet.",
        f"/defect/{id}",
        "/photo/",
    ):
        assert part in body
    assert body.splitlines()[0] == "A demonstration: none of this is real."
    assert "This desk sends no mail by itself" in text


def test_it_waits_on_today_until_somebody_who_can_put_it_right_has_it(demo_day):
    id = report(client_of("halloran"), words="shimmy")
    line = "Reported, and nobody who can put it right has it yet Dunlin: Nose: shakes"
    for person in ("arrowood", "sunde", "okafor-lind"):
        assert line in today(person)
    assert line not in today("eklund")
    assert "You reported N0-101D Nose: shakes: no answer yet." in today("halloran")
    answer = act(client_of("sunde"), id, "take", status=403)
    assert "assess a defect is for" in words(answer, 403)
    form = new_id()
    for _ in range(2):
        act(client_of("arrowood"), id, "take", id=form)
    assert (
        "somebody who can put it right has it already"
        in words(act(client_of("arrowood"), id, "take", status=400), 400).lower()
    )
    assert line not in today("sunde")
    assert seen(id).state == "open"
    assert "Pell Arrowood has it." in words(client_of("halloran").get(reverse("defect", args=[id])))


def test_what_a_maintainer_reports_has_reached_them(demo_day):
    report(client_of("arrowood"))
    assert "nobody who can put it right has it" not in today("okafor-lind")


def test_acting_on_it_is_having_it_and_opening_it_again_lets_it_wait_anew(demo_day):
    id = report(client_of("halloran"))
    act(client_of("arrowood"), id, "close", done="nothing", words="no play found")
    assert "nobody who can put it right has it" not in today("sunde")
    act(client_of("halloran"), id, "reopen", words="there again")
    assert "nobody who can put it right has it" in today("sunde")


def test_the_manager_is_told_after_the_houses_time(demo_day):
    report(client_of("halloran"))
    later(23.5)
    (one,) = telling.waiting(state.asking_at())
    assert not one.is_overdue
    later(1)
    (one,) = telling.waiting(state.asking_at())
    assert one.is_overdue
    assert "The house's time for that, 24 h, is over." in today("okafor-lind")


def test_without_a_time_in_the_house_rules_the_manager_is_told_at_once(demo_day, monkeypatch):
    monkeypatch.setattr(telling, "house_time", lambda at: None)
    report(client_of("halloran"))
    (one,) = telling.waiting(state.asking_at())
    assert one.is_overdue


def test_an_event_waits_as_well(demo_day):
    reporting.report_event(id=new_id(), aircraft=CRAFT, by="sunde", kind="bump", words="wing tip of a trailer")
    assert "Dunlin: bump" in today("okafor-lind")


def test_whoever_reported_reads_what_became_of_it_until_they_have_read_it(demo_day):
    id = report(client_of("halloran"), words="shimmy")
    later(1)
    act(client_of("arrowood"), id, "assess", **{"class": "N", "words": "0.3 mm play, limit 1 mm"})
    page = today("halloran")
    assert "What became of what you reported Dunlin: Nose: shakes" in page
    assert "Pell Arrowood assessed it: “0.3 mm play, limit 1 mm”." in page
    assert "What became of" not in today("eklund")
    act(client_of("halloran"), id, "read")
    assert "What became of" not in today("halloran")
    later(1)
    act(client_of("arrowood"), id, "close", done="nothing", words="within limits, play measured again")
    assert "Pell Arrowood closed it: “within limits, play measured again”." in today("halloran")


def test_the_answer_is_for_whoever_reported_it_and_there_has_to_be_one(demo_day):
    id = report(client_of("halloran"))
    assert (
        "nobody has answered this report yet" in words(act(client_of("halloran"), id, "read", status=400), 400).lower()
    )
    act(client_of("arrowood"), id, "assess", **{"class": "G", "words": "fork bent"})
    assert "for whoever reported it" in words(act(client_of("sunde"), id, "read", status=403), 403)


def test_telling_somebody_by_hand_is_written_down_and_only_those_whom_it_has_to_reach(demo_day):
    id = report(client_of("halloran"))
    act(client_of("halloran"), id, "told", to="arrowood")
    (record,) = find_records(kinds=("word-sent",))
    assert (record.act, record.by) == (WordSent(report=id, to="arrowood", how="by hand"), "halloran")
    assert "Pell Arrowood was told by hand" in words(client_of("sunde").get(reverse("defect", args=[id])))
    act(client_of("halloran"), id, "told", to="eklund", status=400)
    with pytest.raises(Refused, match="say whom you told"):
        telling.told_by_hand(id=new_id(), matter=seen(id), to="", by="halloran")


def test_a_role_that_names_the_aircraft_goes_before_the_others(demo_day):
    day = clock.now().date()
    people.add_person(id=new_id(), person="holt", name="Mia Holt", contact="0123", by="okafor-lind")
    people.give_role(id=new_id(), person="holt", role="maintainer", from_on=day, aircraft=(CRAFT,), by="okafor-lind")
    at = state.asking_at()
    assert [each.name for each in telling.helpers(CRAFT, at)] == ["Mia Holt"]
    assert [each.name for each in telling.helpers("N0-202W", at)] == ["Pell Arrowood"]


def test_where_nobody_maintains_the_aircraft_the_page_says_so(demo_day):
    for role in ("maintainer", "inspector"):
        people.end_role(id=new_id(), person="arrowood", role=role, from_on=clock.now().date(), by="okafor-lind")
    id = report(client_of("halloran"))
    assert "Nobody here maintains this aircraft" in words(client_of("sunde").get(reverse("defect", args=[id])))


def test_with_phones_the_message_leads_to_the_name_they_know(demo_day, monkeypatch):
    monkeypatch.setattr(settings, "HAS_PHONES", True)
    id = report(client_of("halloran"))
    body = telling.message_of(seen(id), state.asking_at()).body
    assert f"To answer: https://gyrewright.local:8443/defect/{id}" in body
    assert "on the desk's own machine" not in body


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("pell@example.org", "pell@example.org"),
        ("call 0123, or p.a+x@mail.example.org", "p.a+x@mail.example.org"),
        ("0123", ""),
    ],
)
def test_an_address_is_found_in_how_somebody_is_reached(text, address):
    assert telling.address_in(text) == address


def test_a_run_of_repeats_is_told_until_an_inspector_has_looked(demo_day):
    ids = [report(client_of("halloran"), words=f"time {number}") for number in range(3)]
    assert len(telling.waiting(state.asking_at())) == 3
    for id in ids:
        defects.note(id=new_id(), defect=id, words="looked, felt nothing", by="sunde")
    assert len(telling.waiting(state.asking_at())) == 3
    record_act(act=WordSent(report=ids[0], to="arrowood", how="mail", failed="no route"), by="laptop", about=CRAFT)
    assert telling.waiting(state.asking_at())[0].failed == "no route"
    assert "Mail could not be sent: no route." in today("okafor-lind")
