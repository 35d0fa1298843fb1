"""A phone without the authority, by a pass over plain http: it can stop a flight and never clear one."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.phones import places
from gyrewright.desk.phones.models import Pass
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import passes, phones, state
from gyrewright.desk.services.matters import matters_of
from gyrewright.finding import Verdict
from gyrewright.inspection.walk import NOT
from kit.phone import Phone, Walker

AIRCRAFT, OTHER = "N0-101D", "N0-202W"


@pytest.fixture
def plain(house, monkeypatch):
    monkeypatch.setattr(settings, "LISTENER", places.PLAIN)
    return Client(SERVER_NAME="localhost")


@pytest.fixture
def token(house):
    return passes.give_pass(person="sunde", aircraft=AIRCRAFT).token


def walker(person="", aircraft=AIRCRAFT, phone=None):
    now = clock.now()
    equipment = state.machine(aircraft, now).aircraft.definition.equipment
    return Walker(phone or Phone(person), aircraft, now - timedelta(minutes=40), "each flight").begin(equipment)


def sent(client, token, phone, *acts, **more):
    address = reverse("plain-hand-over", args=[token])
    return client.post(address, phone.sent(clock.now(), *acts, **more), content_type="application/json")


def outcomes(answer):
    assert answer.status_code == 200, answer.content
    return [(each["outcome"], each["says"]) for each in answer.json()["results"]]


def machine():
    return state.machine(AIRCRAFT, clock.now()).aircraft


def newest_walk():
    return max(machine().walks.walks, key=lambda each: each.began_at)


def test_the_page_of_a_pass_holds_its_list_and_nothing_about_anybody(plain, token):
    answer = plain.get(reverse("plain-walk", args=[token]))
    assert answer.status_code == 200
    assert not answer.cookies
    page = answer.content.decode()
    data = json.loads(re.search(r'id="data">(.*?)</script>', page, re.DOTALL).group(1))
    assert len(data["items"]["id"]) > 100
    assert (data["person"], data["people"], data["flight"], data["accept"]) == ("", {}, None, [])
    for known in state.folk(clock.now()).people.values():
        assert len(known.name) < 3 or known.name not in page
    background = plain.get(reverse("plain-background", args=[token])).json()
    assert background["earlier"] == {}
    assert "key" not in background


def test_a_report_of_a_defect_and_of_an_event_stop_from_a_pass_as_well(plain, token):
    events = plain.get(reverse("plain-background", args=[token])).json()["events"]
    assert "bump" in dict(events)
    phone = Phone("")
    phone.act("defect-reported", clock.now(), about=AIRCRAFT, item="Rotor", zone="K", symptom="crack")
    phone.act("event-reported", clock.now(), about=AIRCRAFT, words="a bit of a bump")["body"]["kind"] = events[0][0]
    assert {outcome for outcome, _ in outcomes(sent(plain, token, phone))} == {"kept"}
    open_now = matters_of(AIRCRAFT, state.asking_at())
    assert [(each.what, each.grounds, each.record.by) for each in open_now.open] == [("Rotor: crack", True, "sunde")]
    assert [(each.kind, each.record.by) for each in open_now.locked] == [(events[0][0], "sunde")]


def test_a_finding_counts_at_once_and_the_phone_stays_out(plain, token):
    plain.get(reverse("plain-walk", args=[token]))
    one = walker()
    one.answer("K08", NOT, words="nick in the trailing edge")
    given = sent(plain, token, one.phone)
    assert {outcome for outcome, _ in outcomes(given)} == {"kept"}
    (found,) = [each for each in newest_walk().answers if each.item == "K08"]
    assert found.answer == NOT
    part = find_records(kinds=("walk-part",))[0]
    assert part.by == "sunde"
    assert [each.out.holder for each in phones.out_with(AIRCRAFT, clock.now())] == ["sunde"]
    assert sent(plain, token, one.phone, waiting=0).status_code == 200
    assert phones.out_with(AIRCRAFT, clock.now())


def test_its_signature_is_only_said_until_its_holder_confirms_it(plain, token):
    one = walker()
    one.answer_all()
    one.phone.act("walk-signed", one.at, about=AIRCRAFT, walk=one.walk, signer="")
    sent(plain, token, one.phone)
    walk = newest_walk()
    assert walk.doubt == "unconfirmed"
    assert walk.by == ("sunde",)


def test_a_finding_is_not_taken_back_over_plain_http(plain, token):
    one = walker()
    first = one.answer("K08", NOT, words="nick")
    sent(plain, token, one.phone)
    second = one.answer("K08", corrects=first["id"])
    sent(plain, token, one.phone, second)
    part = find_records(kinds=("walk-part",))[-1].act
    assert [each.corrects for each in part.answers] == [""]
    assert NOT in {each.answer for each in newest_walk().answers if each.item == "K08"}


def test_fuel_read_on_it_is_no_reading_that_a_release_goes_by(plain, token):
    before = len(find_records(kinds=("fuel-measured",)))
    one = walker()
    for item in one.asked:
        if item.id in ("C14", "C15", "C16"):
            one.answer(item.id, readings={"stick": "40 L", "gauge": "40 L"})
    sent(plain, token, one.phone)
    assert len(find_records(kinds=("fuel-measured",))) == before


@pytest.mark.parametrize("kind", ["walk-accepted", "odd-but-right"])
def test_what_clears_something_is_kept_and_done_at_the_desk(plain, token, kind):
    phone = Phone("sunde")
    phone.act(kind, clock.now(), about=AIRCRAFT, item="K08", words="always so", spots=["K08"])
    ((outcome, says),) = outcomes(sent(plain, token, phone))
    assert outcome == "not understood"
    assert "it came over plain http: do it at the desk" in says
    assert find_records(kinds=(kind,)) == []


def test_a_pass_speaks_of_its_own_aircraft_alone(plain, token):
    one = walker(aircraft=OTHER)
    one.answer("K08", NOT)
    assert {outcome for outcome, _ in outcomes(sent(plain, token, one.phone))} == {"not understood"}
    sent(plain, token, Phone(""), open_walks=[(OTHER, "")])
    assert phones.out_with(OTHER, clock.now()) == []


def test_a_pass_is_one_phones(plain, token):
    one, other = walker(), walker()
    assert sent(plain, token, one.phone).status_code == 200
    answer = sent(plain, token, other.phone)
    assert (answer.status_code, "another phone's" in answer.json()["error"]) == (401, True)


def test_an_ended_pass_says_that_nothing_is_lost(plain, token):
    Pass.objects.update(ends_at=clock.now())
    answer = sent(plain, token, walker().phone)
    assert answer.status_code == 401
    assert "nothing kept on the phone is lost" in answer.json()["error"]
    assert plain.get(reverse("plain-walk", args=[token])).status_code == 403
    assert plain.get(reverse("plain-token", args=["no-such-pass"])).status_code == 401


def test_what_an_ended_pass_left_comes_with_the_next(plain, token):
    one = walker()
    one.answer("K08", NOT)
    Pass.objects.update(ends_at=clock.now())
    assert sent(plain, token, one.phone).status_code == 401
    again = passes.give_pass(person="sunde", aircraft=AIRCRAFT).token
    assert {outcome for outcome, _ in outcomes(sent(plain, again, one.phone))} == {"kept"}


def test_a_pass_is_for_plain_http_alone_and_can_be_turned_off(plain, token, monkeypatch):
    for listener in (places.HERE, places.PHONES):
        monkeypatch.setattr(settings, "LISTENER", listener)
        assert plain.get(reverse("plain-walk", args=[token])).status_code == 403
    monkeypatch.setattr(settings, "LISTENER", places.PLAIN)
    monkeypatch.setattr(settings, "PLAIN_WALKS", False)
    assert plain.get(reverse("plain-walk", args=[token])).status_code == 403
    with pytest.raises(Refused, match="no walk-round"):
        passes.give_pass(person="sunde", aircraft=AIRCRAFT)


def test_whoever_lost_their_role_loses_the_pass(house, token, monkeypatch):
    monkeypatch.setattr(passes, "roles_held", lambda person, on: frozenset())
    with pytest.raises(NotAllowed, match="holds no role here today"):
        passes.pass_for(token)


def test_the_token_is_kept_nowhere(house, token):
    assert token not in str(list(Pass.objects.values()))


@pytest.mark.parametrize("says", ["as it should be", "not", "could not look"])
def test_no_hand_over_in_plain_http_improves_what_the_walks_say(plain, token, says):
    from gyrewright.desk.services.state import flights
    from gyrewright.inspection.state import CHECKS
    from gyrewright.release.situation import situation_of

    def worst():
        at = clock.now()
        asked = next(each for each in flights(at).values() if each.aircraft == AIRCRAFT)
        sheet = situation_of(state.question(asked, at)).sheet
        out = []
        for check in CHECKS:
            cells = [sheet.cell(name.removeprefix("maybe:")) for name in check.inputs]
            if all(cell.known is True for cell in cells):
                found = check.judge(*(cell.value for cell in cells))
                out += found if isinstance(found, tuple) else [] if found is None else [found]
            else:
                out.append(None)
        return [Verdict.UNKNOWN if each is None else each.verdict for each in out]

    from gyrewright.desk.book.kinds.flight import FlightAsked
    from gyrewright.desk.services.records import record_act

    depart = clock.now() + timedelta(minutes=20)
    record_act(
        act=FlightAsked(depart_at=depart, block="1 h", purpose="private", commander="sunde"), by="sunde", about=AIRCRAFT
    )
    before = max(worst())
    one = walker()
    one.answer_all(**{item.id: says for item in one.asked})
    one.phone.act("walk-signed", one.at, about=AIRCRAFT, walk=one.walk, signer="")
    sent(plain, token, one.phone)
    assert max(worst()) >= max(before, Verdict.UNKNOWN)
