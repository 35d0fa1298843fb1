"""Every route x every role x own or another's, against a table written by hand."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk.access import (
    EVERYONE,
    IN_JSON,
    OPEN,
    ROLES,
    ROUTES,
    as_text,
    may,
    reach,
    routes_without_a_row,
    sees_masses,
)
from gyrewright.desk.book.kinds.upkeep import AircraftPaper, FuelMeasured, MeterRead
from gyrewright.desk.services import people
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.desk.urls import urlpatterns
from gyrewright.people.roles import packaged_roles

# One row a route, one column a role; a: everything, o: own only, -: nothing.
HAND = """
route            student pilot instructor named chief examiner maintainer inspector manager owner visitor
today            o       o     a          a     a     o        a          a         a       o     a
flight-next      o       o     a          a     a     o        a          a         a       o     a
flight           o       o     a          a     a     o        a          a         a       o     a
flight-ways      o       o     a          a     a     o        a          a         a       o     a
flight-working   o       o     a          a     a     o        a          a         a       o     a
flight-picture   o       o     a          a     a     o        a          a         a       o     a
flight-load-sheet o      o     a          a     a     o        a          a         a       o     a
flight-card      o       o     a          a     a     o        a          a         a       o     a
flight-ask       a       a     a          a     a     a        a          a         a       a     -
flight-change    o       o     a          a     a     o        o          o         a       o     -
flight-say       o       o     a          a     a     o        o          o         a       o     -
flight-drop      o       o     a          a     a     o        o          o         a       o     -
flight-report    o       o     a          a     a     o        a          a         a       o     -
flight-sign      o       o     a          a     a     o        o          o         a       o     -
flight-no        o       o     o          o     o     o        o          o         o       o     -
flight-no-back   o       o     o          o     o     o        o          o         o       o     -
flight-judge     o       o     a          a     a     o        o          o         a       o     -
flight-release   -       o     a          a     a     o        -          -         -       -     -
flight-after     o       o     a          a     a     o        a          a         a       o     a
flight-after-enter o     o     a          a     a     o        o          o         a       o     -
flight-after-log o       o     o          o     o     o        o          o         o       o     -
flight-after-answer o    o     a          a     a     o        o          o         a       o     -
flight-after-settle o    o     a          a     a     o        o          o         a       o     -
question         o       o     a          a     a     o        a          a         a       o     a
question-settle  o       o     a          a     a     o        a          a         a       o     -
release          o       o     a          a     a     o        a          a         a       o     a
release-sheet    o       o     a          a     a     o        a          a         a       o     a
release-find     o       o     a          a     a     o        a          a         a       o     a
sheet-code       o       o     a          a     a     o        a          a         a       o     a
walk             a       a     a          a     a     a        a          a         a       a     a
walk-one         o       o     a          a     a     o        a          a         a       o     a
walk-confirm     o       o     o          o     o     o        o          o         o       o     -
walk-settle      a       a     a          a     a     a        a          a         a       a     -
walk-accept      o       o     a          a     a     o        a          a         a       o     -
walk-judge       o       o     a          a     a     o        a          a         a       o     -
walk-odd         -       -     a          a     a     -        a          a         a       -     -
walk-own         -       -     -          -     -     -        a          a         a       -     -
walk-file        a       a     a          a     a     a        a          a         a       a     -
walk-page        a       a     a          a     a     a        a          a         a       a     -
walk-background  a       a     a          a     a     a        a          a         a       a     -
walk-odd-photo   a       a     a          a     a     a        a          a         a       a     -
walk-token       a       a     a          a     a     a        a          a         a       a     -
walk-paper       a       a     a          a     a     a        a          a         a       a     -
walk-paper-code  a       a     a          a     a     a        a          a         a       a     -
walk-hand-over   a       a     a          a     a     a        a          a         a       a     -
calendar         -       -     a          a     a     -        -          -         a       -     -
calendar-take    -       -     a          a     a     -        -          -         a       -     -
calendar-day     o       o     a          a     a     o        a          a         a       o     a
papers           a       a     a          a     a     a        a          a         a       a     a
walk-sheet       a       a     a          a     a     a        a          a         a       a     a
blank-sheet      a       a     a          a     a     a        a          a         a       a     a
records          o       o     o          o     o     o        o          o         a       o     a
record           o       o     o          o     o     o        o          o         a       o     a
record-withdraw  o       o     o          o     o     o        o          o         a       o     -
records-verify   a       a     a          a     a     a        a          a         a       a     -
clock-confirm    -       -     a          a     a     -        a          a         a       -     -
copy-make        -       -     a          a     a     -        a          a         a       -     -
aircraft         a       a     a          a     a     a        a          a         a       a     a
aircraft-one     a       a     a          a     a     a        a          a         a       a     a
aircraft-verify  -       -     a          a     a     -        a          a         a       a     -
aircraft-revision -      -     -          -     -     -        -          a         a       a     -
aircraft-read    a       a     a          a     a     a        a          a         a       a     -
aircraft-enter   -       -     -          -     -     -        a          a         a       a     -
upkeep           a       a     a          a     a     a        a          a         a       a     a
upkeep-aircraft  a       a     a          a     a     a        a          a         a       a     a
upkeep-enter     a       a     a          a     a     a        a          a         a       a     -
frozen           -       -     a          a     a     -        a          a         a       -     a
frozen-make      -       -     a          a     a     -        a          a         a       -     -
opening          -       -     a          a     a     -        a          a         a       -     -
opening-house    -       -     -          -     -     -        -          -         a       -     -
opening-aircraft -       -     -          -     -     -        a          a         a       -     -
opening-person   -       -     -          -     a     -        -          -         a       -     -
phones           o       o     a          a     a     o        a          a         a       o     -
phones-nothing-open o    o     o          o     o     o        o          o         o       o     -
phones-looked    -       -     a          a     a     -        a          a         -       -     -
phones-asked     -       -     a          a     a     -        a          a         -       -     -
phones-pass      o       o     o          o     o     o        o          o         o       o     -
phones-forget    o       o     o          o     o     o        o          o         a       o     -
people           o       o     a          a     a     o        o          o         a       o     a
person           o       o     a          a     a     o        o          o         a       o     a
person-add       -       -     -          -     -     -        -          -         a       -     -
person-enter     o       o     a          a     a     a        a          a         a       o     -
report-begin     a       a     a          a     a     a        a          a         a       a     -
report-defect    a       a     a          a     a     a        a          a         a       a     -
report-event     a       a     a          a     a     a        a          a         a       a     -
defects          a       a     a          a     a     a        a          a         a       a     a
defect           a       a     a          a     a     a        a          a         a       a     a
defect-tag       a       a     a          a     a     a        a          a         a       a     a
defect-act       a       a     a          a     a     a        a          a         a       a     -
event            a       a     a          a     a     a        a          a         a       a     a
event-tag        a       a     a          a     a     a        a          a         a       a     a
event-act        a       a     a          a     a     a        a          a         a       a     -
exercises        o       o     a          a     a     o        o          o         a       o     -
exercise         a       a     a          a     a     a        a          a         a       a     -
exercise-act     a       a     a          a     a     a        a          a         a       a     -
marker-act       a       a     a          a     a     a        a          a         a       a     -
teaches          -       -     a          a     a     -        a          a         a       -     -
teaches-decide   -       -     a          a     a     -        -          -         a       -     -
photo            o       o     a          a     a     o        a          a         a       o     a
accounts         -       -     -          -     -     -        -          -         a       -     -
account-open     -       -     -          -     -     -        -          -         a       -     -
account-password -       -     -          -     -     -        -          -         a       -     -
account-close    -       -     -          -     -     -        -          -         a       -     -
"""
HEAD, *ROWS = (line.split() for line in HAND.strip().splitlines())
COLUMNS = [{"named": "named instructor", "chief": "chief instructor"}.get(name, name) for name in HEAD[1:]]
EXPECTED = {(row[0], role): row[1 + COLUMNS.index(role)] for row in ROWS for role in COLUMNS}


def test_the_table_by_hand_has_every_route_and_every_role():
    assert sorted(COLUMNS) == sorted(ROLES)
    assert {route for route, _ in EXPECTED} == set(ROUTES)
    named = {each.name for each in urlpatterns}
    assert named == set(ROUTES) | set(OPEN) | set(EVERYONE)
    assert routes_without_a_row(named) == ()
    assert routes_without_a_row([*named, "forgotten"]) == ("forgotten",)


@pytest.mark.parametrize(("route", "role"), sorted(EXPECTED))
@pytest.mark.parametrize("is_own", [True, False])
def test_every_role_reaches_what_the_table_by_hand_says(route, role, is_own):
    expected = EXPECTED[route, role] == "a" or (EXPECTED[route, role] == "o" and is_own)
    assert may(route=route, roles={role}, is_own=is_own) is expected


def test_nobody_without_a_role_reaches_anything():
    for route in ROUTES:
        assert not may(route=route, roles=(), is_own=True)
    assert not may(route="forgotten", roles=ROLES, is_own=True)


def test_two_roles_reach_what_either_reaches():
    for route, (one, two) in itertools.product(ROUTES, itertools.combinations(ROLES, 2)):
        for is_own in (True, False):
            either = may(route=route, roles={one}, is_own=is_own) or may(route=route, roles={two}, is_own=is_own)
            assert may(route=route, roles={one, two}, is_own=is_own) is either


def test_a_visitor_changes_nothing():
    for route, row in ROUTES.items():
        if row.changes:
            assert reach(route=route, roles={"visitor"}) == "none"


def test_masses_are_seen_by_those_aboard_and_the_releasing_person_alone():
    for person, expected in (("ivo", True), ("sam", True), ("mia", True), ("ada", False), ("", False)):
        assert sees_masses(person=person, aboard=("ivo", "sam"), releasing="mia") is expected


# The same through the door: what each person of the school meets at each page.
PAGES = """
page      ada ivo sam mia oda vic out
records   200 200 200 200 200 200 403
anothers  200 404 404 404 404 200 403
own       -   200 -   -   -   -   -
ownerof   200 404 404 404 200 200 403
accounts  200 403 403 403 403 403 403
verify    200 200 200 200 200 403 403
"""
P_HEAD, *P_ROWS = (line.split() for line in PAGES.strip().splitlines())


@pytest.mark.parametrize("person", P_HEAD[1:])
def test_every_person_meets_what_the_table_by_hand_says(book, let_in, password, person):
    if person != "ada":
        let_in("ada")
    let_in(person)
    anothers = record_act(act=MeterRead(meter="airframe", shows="1 h"), by="kim", about="N0-101D").record.id
    own = record_act(act=MeterRead(meter="airframe", shows="2 h"), by="ivo", about="N0-101D").record.id
    owners = record_act(act=MeterRead(meter="airframe", shows="2 h"), by="kim", about="N0-303S").record.id
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("door"), {"name": person, "password": password}).status_code == 302
    asked = {
        "records": lambda: client.get(reverse("records")),
        "anothers": lambda: client.get(reverse("record", args=[anothers])),
        "own": lambda: client.get(reverse("record", args=[own])),
        "ownerof": lambda: client.get(reverse("record", args=[owners])),
        "accounts": lambda: client.get(reverse("accounts")),
        "verify": lambda: client.post(reverse("records-verify")),
    }
    for row in P_ROWS:
        expected = row[P_HEAD.index(person)]
        if expected != "-":
            assert (row[0], asked[row[0]]().status_code) == (row[0], int(expected))


def test_fuel_aboard_names_nobody_and_neither_does_a_paper(book):
    fuel = record_act(act=FuelMeasured(by_what="stick", aboard="40 L"), by="ivo", about="N0-101D").record
    paper = record_act(act=AircraftPaper(name="registration", never_expires=True), by="ivo", about="N0-101D").record
    for record in (fuel, paper):
        assert not people.is_own(record, person="40", aircraft=frozenset())
        assert people.is_own(record, person="ivo", aircraft=frozenset())


def test_the_list_shows_only_ones_own(book, let_in, password):
    let_in("sam")
    record_act(act=MeterRead(meter="airframe", shows="11.1 h"), by="ivo", about="N0-101D")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "sam", "password": password})
    page = client.get(reverse("records")).content.decode()
    assert "11.1 h" not in page
    assert "Role given" in page


def test_whoever_is_not_logged_in_meets_the_door_everywhere(book):
    client = Client(SERVER_NAME="localhost")
    for each in urlpatterns:
        if each.name in OPEN:
            continue
        given = {"id": new_id(), "name": "all", "file": "field", "page": "place", "about": "new", "person": "new"}
        given |= {"aircraft": "N0-101D", "walk_list": "walk-round"}
        given["act"] = "assess"
        kwargs = {name: given[name] for name in each.pattern.converters}
        address = reverse(each.name, kwargs=kwargs)
        for answer in (client.get(address), client.post(address)):
            if each.name in IN_JSON:
                assert (answer.status_code, list(answer.json())) == (401, ["error"])
                continue
            assert answer.status_code == 302
            assert answer.url.startswith(reverse("door"))


def test_a_role_that_has_ended_opens_nothing(book, let_in, password):
    from datetime import date

    from gyrewright.desk.services.people import end_role

    let_in("ivo")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "ivo", "password": password})
    assert client.get(reverse("records")).status_code == 200
    end_role(id=new_id(), person="ivo", role="instructor", from_on=date(2027, 6, 12), by="ada")
    assert client.get(reverse("records")).status_code == 403


def test_the_page_of_the_docs_says_what_the_tables_say():
    page = (Path(__file__).parents[2] / "docs" / "who-sees-what.md").read_text(encoding="utf-8")
    assert as_text() in page
    for act in packaged_roles().values():
        assert f"| {act.name} | {', '.join(sorted(act.roles)) or '-'} |" in page
