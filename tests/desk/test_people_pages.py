"""People: who may do what by their papers, one person's page, and who sees it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.services import accounts, people, standing, state
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.finding import Verdict
from kit.desk import client_of, words


def page(viewer, person=""):
    address = reverse("person", args=[person]) if person else reverse("people")
    return words(client_of(viewer).get(address))


def test_everybody_stands_with_what_they_may_do(demo_day):
    said = page("okafor-lind")
    assert "Wren Halloran student To fly alone as a student: no reason found against in Dunlin and Sanderling." in said
    assert "Juno Castellane student To fly alone as a student: a reason against in every aircraft." in said
    assert "Pell Arrowood inspector, maintainer" in said
    # The scenario: Coral Dunmore's currency is 74 days old and ends this month.
    assert (
        "Ends this month: To have somebody aboard: 3 take-offs and 3 landings in 90 days; enough until 28 June 2027"
        in said
    )


def test_one_person_stands_with_reasons_ends_and_papers(demo_day):
    said = page("okafor-lind", "halloran")
    assert "Wren Halloran: student" in said
    assert "Dunlin and Sanderling: no reason found against" in said
    assert "The test before solo is for Dunlin D2-96, Sanderling S2-78, not for Whimbrel W2-112T" in said
    assert "A new endorsement for Wren Halloran, after training" in said
    assert (
        "47 days Solo endorsement: Endorsed by Tobiah Sunde on 30 April 2027; good until 29 July 2027. Dunlin" in said
    )
    assert "Wind at most 12 kt, gusts counted; gust spread at most 6 kt; crosswind at most 8 kt, gusts counted" in said
    assert "nothing is asked of the papers of whoever is taught" in said
    assert "Student from 1 Jan 2027" in said


def test_the_page_says_what_the_core_decides(demo_day):
    at = state.asking_at()
    rows = dict(standing.standing_of("halloran", at).rows)
    alone = next(rows[each] for each in rows if each.name == "student alone")
    assert [(row.verdict, [each.name for each in row.aircraft]) for row in alone] == [
        (Verdict.GO, ["Dunlin", "Sanderling"]),
        (Verdict.STOP, ["Whimbrel"]),
    ]


def test_neither_go_nor_go_if_is_ever_a_word_on_a_page(demo_day):
    for said in (page("okafor-lind"), page("okafor-lind", "sunde"), page("okafor-lind", "halloran")):
        assert " GO " not in said
        assert "GO-IF" not in said


def test_an_owner_flies_an_own_aircraft_privately_and_rents_the_others(demo_day):
    said = page("okafor-lind", "yarrow")
    assert "Owner from 1 Jan 2027, for N0-303S" in said
    assert "Fly privately, alone" in said
    assert "Rent, alone" in said


@pytest.mark.parametrize("person", ["halloran", "dunmore", "yarrow", "arrowood"])
def test_whoever_sees_only_themself_is_sent_to_their_own_page(demo_day, person):
    client = client_of(person)
    answer = client.get(reverse("people"))
    assert (answer.status_code, answer.url) == (302, reverse("person", args=[person]))
    assert words(client.get(answer.url))
    assert client.get(reverse("person", args=["castellane"])).status_code == 404
    assert client.get(reverse("person", args=["nobody-here"])).status_code == 404


def test_a_mass_is_seen_by_whose_it_is_and_by_nobody_else_here(demo_day):
    assert "74 kg" in page("halloran", "halloran")
    for viewer in ("okafor-lind", "sunde"):
        said = page(viewer, "halloran")
        assert "74 kg" not in said
        assert "Weighed 4 Jun 2027" in said


def test_no_medical_detail_is_shown_but_the_route_and_its_dates(demo_day):
    said = page("okafor-lind", "halloran")
    assert "Medical route: a driver's license, until 3 December 2028" in said


def test_how_to_reach_somebody_is_theirs_and_the_managers(demo_day):
    given = {"name": "Wren Halloran", "contact": "555 0100", "born_on": "1999-12-03"}
    assert client_of("halloran").post(reverse("person-enter", args=["halloran", "name"]), given).status_code == 302
    assert "555 0100" in page("halloran", "halloran")
    assert "555 0100" in page("okafor-lind", "halloran")
    assert "555 0100" not in page("sunde", "halloran")
    assert client_of("sunde").get(reverse("person-enter", args=["halloran", "name"])).status_code == 403


def test_an_examiner_sees_whom_the_examiner_will_test(demo_day):
    people.give_role(id=new_id(), person="dunmore", role="examiner", from_on=clock.now().date(), by="okafor-lind")
    client = client_of("dunmore")
    assert client.get(reverse("person", args=["halloran"])).status_code == 404
    flight = next(each for each in state.flights(clock.now()).values() if each.act.student == "halloran")
    act = replace(flight.act, examiner="dunmore", purpose="test")
    record_act(act=act, by="okafor-lind", about=flight.aircraft, corrects=flight.record.id)
    assert "Wren Halloran: student" in words(client.get(reverse("person", args=["halloran"])))


def test_a_visitor_reads_and_enters_nothing(demo_day):
    today = clock.now().date()
    people.add_person(id=new_id(), person="vic", name="Vic Stane", by="okafor-lind")
    people.give_role(
        id=new_id(), person="vic", role="visitor", from_on=today, until=today + timedelta(days=2), by="okafor-lind"
    )
    accounts.open_account(name="vic", person="vic", password="three words do well", by="okafor-lind")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("demo-door"), {"person": "vic"})
    said = words(client.get(reverse("person", args=["halloran"])))
    assert "Born 3 Dec 1999" not in said
    assert "Enter" not in said
    assert client.get(reverse("person-enter", args=["halloran", "papers"])).status_code == 403


def test_a_list_that_nobody_called_complete_says_so(demo_day):
    people.add_person(id=new_id(), person="p-new", name="Nell Vane", by="okafor-lind")
    people.give_role(id=new_id(), person="p-new", role="student", from_on=clock.now().date(), by="okafor-lind")
    said = page("okafor-lind", "p-new")
    assert "Nobody has said that these lists are complete" in said
    assert "take-offs and landings, endorsements, check-outs" in said
