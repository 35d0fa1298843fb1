"""Reading a list: every problem at once, each with its place and its cure; an owner's items beside it."""

from __future__ import annotations

import pytest

from gyrewright.inspection.lists import WalkList, items_for, read_list
from gyrewright.reading import Problems, section_of

HEAD = """
kind = "list"
id = "short"
name = "Short"
revision = 3
dated = 2027-06-01
place = 1
source = "house"
[[event]]
on = ["each flight"]
[[restart]]
on = "away"
from = "60 s"
restarts = "zone"
source = "house"
[[zone]]
id = "A"
name = "Cockpit"
[[stand]]
id = "Seat"
zones = ["A"]
where = "Left side"
"""


def item(ident: str, more: str = "") -> str:
    return f"""
[[item]]
id = "{ident}"
stand = "Seat"
name = "Part {ident}"
how = ["look"]
class = "G"
when = ["each flight"]
do = "Look at it."
right = "Whole."
wrong = "Broken."
why = "It holds you."
source = "house"
{more}
"""


FIVE = "".join(item(f"A0{number}") for number in range(1, 6))


def read(text: str, *own: str) -> tuple[WalkList, list[str]]:
    problems = Problems()
    sections = [
        section_of(each, file="list.toml" if not number else "own.toml", problems=problems)
        for number, each in enumerate((text, *own))
    ]
    found = read_list(*sections)
    return found, [str(problem) for problem in problems.found]


def problems_of(text: str, *own: str) -> list[str]:
    return read(text, *own)[1]


def test_a_good_list_is_read_whole():
    found, problems = read(HEAD + FIVE)
    assert problems == []
    assert (found.id, found.revision, len(found.items)) == ("short", 3, 5)
    assert found.items[0].where == "Left side"
    assert len(found.fingerprint) == 64


def test_every_problem_is_told_at_once():
    text = HEAD + FIVE + item("A05") + item("B01") + item("A06", 'restore = ["A01"]') + item("A7")
    text = text.replace('how = ["look"]', 'how = ["peek"]', 1)
    found = problems_of(text)
    assert len(found) == 5
    for part in ("'peek' is not one of", "A05", "'B01' belongs to no zone", "A01 does not name A06", "'A7' is no id"):
        assert any(part in each for each in found), part


@pytest.mark.parametrize(
    ("items", "said"),
    [(FIVE.replace("A05", "A04"), "is there 2 times"), (FIVE[: FIVE.index('[[item]]\nid = "A05"')], "holds 4 items")],
    ids=["the same id twice", "a stand too short"],
)
def test_a_list_that_would_lose_something_is_refused(items, said):
    assert [said in each for each in problems_of(HEAD + items)] == [True]


def test_a_stand_of_ten_is_refused():
    ten = "".join(item(f"A{number:02}") for number in range(1, 11))
    assert problems_of(HEAD + ten) == [
        "list.toml: stand[Seat]: holds 10 items; a stand has 5 to 9: share it or cut it",
    ]


def test_a_restore_item_without_its_pair_is_refused_from_either_side():
    assert problems_of(HEAD + FIVE + item("A06", 'of = ["A01"]')) == [
        "list.toml: item[A06].of: A01 does not name A06 under `restore`; a pair names both sides",
    ]
    assert problems_of(HEAD + FIVE + item("A06", 'restore = ["A09"]')) == [
        "list.toml: item[A06].restore: 'A09' is no item of this list",
    ]


def test_nothing_is_opened_after_the_restore_list_has_begun():
    opened = FIVE.replace('id = "A01"', 'id = "A01"\nrestore = ["A06"]')
    late = item("A06", 'of = ["A01"]') + item("A07", 'restore = ["A08"]') + item("A08", 'of = ["A07"]')
    assert problems_of(HEAD + opened + late) == [
        "list.toml: item[A07].restore: opens something after A06 has begun to close; the restore list comes last",
    ]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('after = ["A09"]', "'A09' is no item of this list"),
        ('after = ["A06"]', "A06 comes later in the walk; put it before A05"),
        ('needs = ["wings"]', "'wings' is not one of"),
        ('no_phone = "rain"', "'rain' is not one of: fuel, propeller, engine running"),
        ('linked = ["A01"]', "A01 does not name A05 under `linked`"),
        ('page = "4-1"', "belongs to an owner's item"),
        ('color = "red"', "is an unknown key"),
        (f'caution = "{"x" * 200}"', "is 200 characters long; a phone shows 110: say it shorter"),
        ('[[item.variant]]\nneeds = ["injection"]', "changes nothing"),
        ('[[item.variant]]\ndo = "Look."', "says for whom it is nowhere"),
    ],
)
def test_what_is_wrong_with_an_item_is_said_with_its_place(more, said):
    text = HEAD + "".join(item(f"A0{number}") for number in range(1, 5)) + item("A05", more) + item("A06")
    found = problems_of(text)
    assert any(said in each for each in found), found
    assert all(each.startswith("list.toml: item[") for each in found), found


@pytest.mark.parametrize(
    ("more", "said"), [('["someday"]', "'someday' is not one of"), ("[]", "is empty; name at least one word")]
)
def test_an_item_without_an_event_is_refused(more, said):
    found = problems_of(HEAD + FIVE.replace('["each flight"]', more, 1))
    assert len(found) == 1
    assert found[0].startswith(f"list.toml: item[A01].when: {said}")


READING = '[[item.reading]]\nkey = "p"\nname = "pressure"\nkind = "quantity"\ndimension = "pressure"\nunit = "bar"\n'


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (READING, "low: is missing; write it with its unit"),
        (READING + 'low = "0"\nhigh = "6 bar"', "has no unit"),
        (READING + 'low = "6 bar"\nhigh = "0 bar"', "is not above `low`"),
        (READING + 'low = "0 bar"\nhigh = "6 bar"\nat_most = "plug_caps"', "'plug_caps' is a count"),
        (READING + 'low = "0 bar"\nhigh = "6 bar"\nabout = "tire"', "'tire' is no figure of a definition"),
        (READING.replace('"bar"', '"mm"') + 'low = "0 bar"\nhigh = "6 bar"', "'mm' is no unit of pressure"),
        (READING + 'low = "0 bar"\nhigh = "6 bar"\nagrees_with = "A01.q"', "'A01.q' is no reading of this list"),
        ('[[item.reading]]\nkey = "n"\nname = "n"\nkind = "count"\n', "high: is missing; write a whole number"),
        (
            '[[item.reading]]\nkey = "w"\nname = "w"\nkind = "word"\nwords = ["a"]\nright_words = ["b"]',
            "'b' is not one of: a",
        ),
        (
            READING.replace("pressure", "voltage").replace('"bar"', '"V"') + 'low = "0 volts"\nhigh = "9 V"',
            "voltage cannot be read in 'volts'; use one of: V",
        ),
    ],
)
def test_what_is_wrong_with_a_reading_is_said_with_its_place(reading, said):
    found = problems_of(HEAD + FIVE.replace(item("A05"), item("A05", reading)))
    assert any(said in each for each in found), found
    assert all("item[A05].reading[" in each for each in found), found


def test_a_prerequisite_is_asked_wherever_its_item_is():
    text = HEAD.replace('on = ["each flight"]', 'on = ["each flight"]\n[[event]]\non = ["turnaround"]', 1)
    last = item("A05", 'after = ["A01"]').replace('["each flight"]', '["each flight", "turnaround"]')
    assert problems_of(text + FIVE.replace(item("A05"), last)) == [
        "list.toml: item[A05].after: A01 is not asked at 'turnaround', but A05 is",
    ]


def test_a_prerequisite_that_some_aircraft_lack_is_refused():
    first = item("A01", 'needs = ["injection"]')
    text = HEAD + FIVE.replace(item("A01"), first).replace(item("A05"), item("A05", 'after = ["A01"]'))
    assert problems_of(text) == [
        "list.toml: item[A05].after: A01 is not on every aircraft; name one that is",
    ]


def test_a_locking_event_says_who_may_close_it():
    text = HEAD.replace("[[restart]]", '[[event]]\non = ["bump"]\nlocks = true\n[[restart]]', 1) + FIVE
    assert problems_of(text) == [
        "list.toml: event[2].cleared_by: is missing; an event that locks says who may close it",
    ]


def test_a_zone_without_items_is_refused():
    text = HEAD.replace("[[stand]]", '[[zone]]\nid = "B"\nname = "Nose"\n[[stand]]', 1) + FIVE
    assert problems_of(text) == ["list.toml: zone[B]: has no item; take it out or give it some"]


OWN = """
kind = "list items"
list = "short"
title = "Flight manual of the example, revision 2"
[[item]]
id = "A-1"
follows = "A02"
page = "4-3"
name = "Lanyard"
how = ["touch"]
class = "L"
when = ["each flight"]
do = "Pull it."
right = "Holds."
wrong = "Frayed."
why = "It keeps the pin."
"""


def test_an_owners_item_takes_its_place_and_names_its_page():
    found, problems = read(HEAD + FIVE, OWN)
    assert problems == []
    assert [each.id for each in found.items] == ["A01", "A02", "A-1", "A03", "A04", "A05"]
    own = found.item("A-1")
    assert own.own
    assert (own.stand, own.where) == ("Seat", "Left side")
    assert own.source == "Flight manual of the example, revision 2, page 4-3"
    assert [each.id for each in items_for(found, event="each flight", equipment=())][2] == "A-1"


def test_an_owners_items_change_the_fingerprint():
    assert read(HEAD + FIVE)[0].fingerprint != read(HEAD + FIVE, OWN)[0].fingerprint


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ('list = "short"', 'list = "long"', "own.toml: list: 'long' is not the list at hand"),
        ('follows = "A02"', 'follows = "A22"', "own.toml: item[A-1].follows: 'A22' is no item of the list 'short'"),
        ('follows = "A02"\n', "", "own.toml: item[A-1].follows: is missing"),
        ('id = "A-1"', 'id = "A06"', "own.toml: item[A06].id: 'A06' is no id; write its zone's letter, a dash"),
        ('page = "4-3"\n', "", "own.toml: item[A-1].page: is missing"),
        ('id = "A-1"', 'id = "B-1"', "own.toml: item[B-1].id: 'B-1' belongs to no zone"),
    ],
)
def test_what_is_wrong_with_an_owners_item_is_said_in_its_file(before, after, said):
    found = problems_of(HEAD + FIVE, OWN.replace(before, after))
    assert len(found) == 1
    assert found[0].startswith(said)


def test_comments_and_layout_do_not_change_the_fingerprint_but_a_word_does():
    plain = read(HEAD + FIVE)[0]
    assert (
        read("# a note\n" + HEAD.replace("revision = 3", "revision   =  3") + FIVE)[0].fingerprint == plain.fingerprint
    )
    assert read(HEAD + FIVE.replace("Whole.", "Whole!", 1))[0].fingerprint != plain.fingerprint
    swapped = HEAD + item("A02") + item("A01") + "".join(item(f"A0{number}") for number in range(3, 6))
    assert read(swapped)[0].fingerprint != plain.fingerprint
