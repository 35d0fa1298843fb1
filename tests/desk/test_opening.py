"""Entering an operation page by page or as files, and what is said to be still unknown."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.opening import ask, books, house, law, manual, person, program
from gyrewright.desk.opening.ask import Page, Rows
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import (
    accounts,
    flights,
    opening_books,
    opening_files,
    opening_people,
    people,
    records,
    state,
)
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.demo import demo_table
from gyrewright.desk.services.opening_gaps import DAY, gaps
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.errors import DefinitionError
from gyrewright.rules.said import DECLARATIONS, SAID

GUIDE = (Path(__file__).parents[2] / "docs" / "your-own-files.md").read_text(encoding="utf-8")
FILES = dict(re.findall(r"```toml\n# (\S+)\n(.*?)```", GUIDE, re.S))
HOUSE = 'kind = "operation"\nname = "A school"\nfield = "f"\npeople = "p"\naircraft = ["a"]\nrules = "us"\n[house]\n'
BARE = """kind = "aircraft"
id = "N0-404K"
name = "Kittiwake"
make_model = "Kittiwake K2"
[manual]
title = "Flight manual"
revision = "2"
[[station]]
id = "front"
kind = "seat"
"""
KITTIWAKE = "N0-404K"


@pytest.fixture
def inside(book, let_in, password):
    """A manager at the desk."""
    let_in("ada")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "ada", "password": password})
    return client


def adopt(file, text, about=""):
    seen = opening_files.text_now(file, about).seen
    return opening_files.enter_text(file=file, about=about, text=text, seen=seen, by="ada")


@pytest.fixture
def begun(book):
    """A house, a field and an aircraft of which hardly anything is entered, and a manager who may command."""
    adopt("field", FILES["field.toml"])
    adopt("house", HOUSE)
    adopt("aircraft", BARE)
    people.give_role(id=new_id(), person="ada", role="pilot", from_on=date(2027, 1, 1), by="ada")
    return book


def every_page():
    return (
        *house.FIELD_PAGES, *house.HOUSE_PAGES, *house.INSURERS_PAGES, *manual.PAGES, *program.PAGES, *person.PAGES,
        *books.pages_of(None, {}),
    )  # fmt: skip


def test_it_works(inside):
    said = inside.get(reverse("opening")).content.decode()
    assert "Go on with: The field" in said
    address = reverse("opening-house", kwargs={"file": "field", "page": "place"})
    form = {
        "seen": "",
        "name": "Gorse Hill",
        "identifier": "X0GH",
        "elevation": "820 ft",
        "time_zone": "America/Los_Angeles",
        "runway.0.name": "09",
        "runway.0.heading": "88 deg",
        "runway.0.reference": "magnetic",
        "runway.0.surface": "grass",
        "from_paper": "field chart",
        "read_by": "Una Roe",
    }
    assert inside.post(address, form).status_code == 302
    kept = find_records(kinds=("file-adopted",))[-1]
    assert kept.act.from_paper == "field chart, read by Una Roe"
    assert kept.by == "ada"
    assert opening_files.text_now("field").table["runway"] == [
        {"name": "09", "heading": "88 deg", "reference": "magnetic", "surface": "grass"}
    ]
    assert "Go on with: The house and its law" in inside.get(reverse("opening")).content.decode()


def test_what_a_page_does_not_ask_for_stays(begun):
    adopt("aircraft", FILES["aircraft/mine.toml"], KITTIWAKE)
    now = opening_files.text_now("aircraft", KITTIWAKE)
    page = opening_files.page_named("aircraft", "fuel")
    opening_files.enter_page(
        file="aircraft", about=KITTIWAKE, page=page, posted={"fuel.burn": "18 L/h"}, seen=now.seen, by="ada"
    )
    after = opening_files.text_now("aircraft", KITTIWAKE).table
    assert after == now.table | {"fuel": now.table["fuel"] | {"burn": "18 L/h"}}


@pytest.mark.parametrize("page", manual.PAGES, ids=lambda page: page.name)
@pytest.mark.parametrize("name", ["dunlin", "whimbrel", "sanderling"])
def test_a_page_shown_and_entered_unchanged_changes_nothing(name, page):
    table = demo_table(f"aircraft/{name}.toml")
    zone = ZoneInfo("America/Los_Angeles")
    posted = {}
    for each in ask.shown(page, table, zone=zone):
        several = [one for row in each.shown for one in row.asks] if hasattr(each, "rows") else [each]
        for one in several:
            chosen = [word for word in one.ask.among if word in one.chosen]
            posted[one.name] = "\n".join(chosen) if one.ask.how == "several" else one.text
    assert ask.merged(page, table, posted, zone=zone) == table


def test_two_at_once_are_told_and_nothing_is_lost(begun):
    page = opening_files.page_named("aircraft", "fuel")
    seen = opening_files.text_now("aircraft", KITTIWAKE).seen
    for number, burn in enumerate(("17 L/h", "18 L/h")):
        enter = lambda burn=burn: opening_files.enter_page(  # noqa: E731
            file="aircraft", about=KITTIWAKE, page=page, posted={"fuel.burn": burn}, seen=seen, by="ada"
        )
        if number:
            with pytest.raises(Refused, match="somebody entered the aircraft anew"):
                enter()
        else:
            enter()
    assert opening_files.text_now("aircraft", KITTIWAKE).table["fuel"]["burn"] == "17 L/h"


def test_what_is_wrong_is_told_whole_and_stays_in_the_form(inside, begun):
    address = reverse("opening-aircraft", kwargs={"file": "aircraft", "about": KITTIWAKE, "page": "fuel"})
    before = head()
    seen = opening_files.text_now("aircraft", KITTIWAKE).seen
    answer = inside.post(address, {"seen": seen, "fuel.burn": "17", "fuel.usable": "60 gal", "fuel.arm": "2150 mm"})
    said = answer.content.decode()
    assert answer.status_code == 400
    assert "fuel.burn" in said
    assert "has no unit" in said
    assert "US gal" in said
    assert 'value="2150 mm"' in said
    assert head() == before


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"\xff\xfe\x00", "no text that can be read"),
        (b"x" * 1_100_000, "is it another file?"),
        (b'kind = "people"', "begins with kind = &#x27;aircraft&#x27;"),
        (b"kind = ", "not readable as TOML"),
        (FILES["aircraft/mine.toml"].replace("17 L/h", "17").encode(), "has no unit"),
        (b"", "no text was pasted"),
    ],
)
def test_a_file_that_is_none_is_refused_whole(inside, begun, text, words):
    address = reverse("opening-aircraft", kwargs={"file": "aircraft", "about": "new", "page": "text"})
    before = head()
    answer = inside.post(address, {"seen": "", "file": SimpleUploadedFile("mine.toml", text)})
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert head() == before


def test_the_files_of_the_guide_are_entered_as_they_stand(inside, book):
    for where, name in (
        (reverse("opening-house", kwargs={"file": "field", "page": "text"}), "field.toml"),
        (
            reverse("opening-aircraft", kwargs={"file": "aircraft", "about": "new", "page": "text"}),
            "aircraft/mine.toml",
        ),
        (reverse("opening-person", kwargs={"person": "new", "page": "text"}), "people.toml"),
    ):
        answer = inside.post(where, {"seen": "", "file": SimpleUploadedFile(name, FILES[name].encode())})
        assert answer.status_code == 302, answer.content.decode()
    assert state.fleet_ids() == (KITTIWAKE,)
    assert people.all_people()["lee"].name == "A. Lee"


def test_books_say_what_they_were_read_from(begun):
    with pytest.raises(Refused, match="say what this was read from"):
        opening_books.enter_page(
            aircraft=KITTIWAKE,
            page="meters",
            posted={"meter.0.name": "airframe", "meter.0.shows": "112.4 h", "meter.0.at": "2027-06-12T06:00"},
            by="ada",
            from_paper="",
        )


def test_a_meter_that_runs_backwards_is_refused(begun):
    def read(shows, at):
        opening_books.enter_page(
            aircraft=KITTIWAKE,
            page="meters",
            posted={"meter.0.name": "airframe", "meter.0.shows": shows, "meter.0.at": at},
            by="ada",
            from_paper="airframe log, page 3",
        )

    read("112.4 h", "2027-06-11T06:00")
    with pytest.raises(Refused, match=r"112\.4"):
        read("12.4 h", "2027-06-12T06:00")
    assert Record.objects.filter(kind="meter-read").count() == 1


def test_a_new_person_gets_an_id_and_a_changed_name_keeps_the_person(book):
    first = opening_people.enter_person(posted={"name": "Ödön Kell", "born_on": "1980-05-04"}, by="ada")
    second = opening_people.enter_person(posted={"name": "Mara Kell"}, by="ada")
    assert (first, second) == ("kell", "kell-2")
    opening_people.enter_page(person="kell", page="who", posted={"name": "Odon Marsh"}, by="ada", from_paper="")
    known = people.all_people()["kell"]
    assert (known.name, known.born_on) == ("Odon Marsh", date(1980, 5, 4))
    # The other way to change a name keeps what it does not speak of as well.
    people.add_person(id=new_id(), person="kell", name="Odon Roe", by="ada")
    assert people.all_people()["kell"].born_on == date(1980, 5, 4)


def test_a_house_keeps_a_manager(book):
    with pytest.raises(Refused, match="somebody has to manage"):
        opening_people.enter_page(person="ada", page="who", posted={"roles": "pilot"}, by="ada", from_paper="")


def test_standing_is_corrected_and_never_emptied(book):
    def enter(**posted):
        opening_people.enter_page(person="ivo", page="papers", posted=posted, by="ada", from_paper="his papers")

    enter(**{"certificate": "private", "medical.route": "medical", "medical.exam_on": "2027-01-05"})
    enter(**{"medical.exam_on": "2027-02-05"})
    now = opening_people.table_now("ivo")
    assert now["certificate"] == "private"
    assert now["medical"] == {"route": "medical", "exam_on": date(2027, 2, 5)}
    with pytest.raises(Refused, match="medical exam on"):
        enter(**{"medical.exam_on": ""})


def test_who_enters_a_mass_is_not_shown_the_last_one(inside, book):
    enter = reverse("opening-person", kwargs={"person": "sam", "page": "who"})
    assert inside.post(enter, {"name": "Sam Tarn", "mass": "163 lb", "origin": "weighed"}).status_code == 302
    assert Record.objects.filter(kind="person-weighed", about="sam").exists()
    assert "163" not in inside.get(enter).content.decode()


def test_only_who_may_enters(begun):
    with pytest.raises(NotAllowed):
        opening_files.enter_text(file="field", about="", text=FILES["field.toml"] + "\n", seen="", by="ivo")
    with pytest.raises(NotAllowed):
        opening_people.enter_person(posted={"name": "Una"}, by="mia")
    with pytest.raises(NotAllowed):
        opening_books.enter_text(aircraft=KITTIWAKE, text="", by="sam", from_paper="")


def test_a_place_without_reports_and_forecasts_says_so(demo_day):
    at = clock.now()
    asked = next(iter(state.flights(at).values()))
    before = state.question(asked, at).flight
    assert before.reports
    for form in ("report", "forecast"):
        flights.give_none(id=new_id(), form=form, by="sunde")
    after = state.question(asked, clock.now()).flight
    assert (after.reports, after.forecasts) == ((), ())
    facts = answered(asked, clock.now()).answer.situation.sheet.facts
    assert not facts["reports"].doubt
    assert not facts["forecasts"].doubt
    assert not facts["forecast_rows"].doubt


# --- what is unknown ---


def test_gaps_are_what_a_real_question_lacks_and_each_has_its_page(begun):
    found = gaps(clock.now())
    assert found.said is not None
    missing = {name for told in found.said.findings for name in told.finding.lacking}
    assert len(missing) > 80
    pages = {(gap.file, gap.page) for gap in found.to_enter}
    assert {("house", "counting"), ("aircraft", "fuel"), ("program", "program"), ("person", "papers")} <= pages
    words = [each for gap in found.of_the_day for each in gap.words]
    # What is left to the day is weather, fuel, walk-round and people's words; nothing that a paper holds.
    for each in words:
        assert not re.search(r"manual|house's|registration|certificate$|arm of|list of", each), each
    assert found.to_enter[0].frees == max(gap.frees for gap in found.to_enter)


def test_what_is_entered_is_no_gap_any_more(begun):
    before = {each for gap in gaps(clock.now()).to_enter for each in gap.words}
    adopt("aircraft", FILES["aircraft/mine.toml"], KITTIWAKE)
    after = {each for gap in gaps(clock.now()).to_enter for each in gap.words}
    assert "the fuel that it burns in an hour" in before - after
    assert "the empty mass of the weighing record" in before - after


def test_the_demonstrations_house_lacks_nothing_but_the_day(house):
    found = gaps(clock.now(), chosen={"aircraft": "N0-101D", "commander": "sunde", "student": "halloran"})
    assert found.problem == ""
    assert [(gap.file, gap.page, gap.words, gap.sentences) for gap in found.to_enter] == []
    assert [gap.file for gap in found.of_the_day] == [DAY]


def test_every_fact_of_the_law_is_asked_on_one_page():
    named = [*law.OF_FIELD, *law.OF_HOUSE, *law.OF_AIRCRAFT, *law.OF_SOME_AIRCRAFT]
    assert len(named) == len(set(named))
    of_flights = set(SAID) - set(named)
    assert not of_flights & set(law.OF_AIRCRAFT)
    # The rest is asked of a flight: its declarations, its plans, and what its people do and arrange.
    assert of_flights - set(DECLARATIONS) == {
        "commander_cost_share", "commander_finds_safe", "cross_country_planning_reviewed",
        "cross_country_weather_reviewed", "destination", "examiner_accepts_aircraft", "examiner_standard_edition",
        "farthest_from_start", "ground_in_sight", "lands_elsewhere", "planned_altitude", "planned_height",
        "planned_recovery_height", "regaining_recency", "test_commander_agreed",
    }  # fmt: skip


def test_no_page_asks_the_same_twice_and_every_choice_has_words():
    for page in every_page():
        assert isinstance(page, Page)
        keys = [each.key for each in page.asks]
        assert len(keys) == len(set(keys)), page.name
        for each in page.asks:
            for one in each.each if isinstance(each, Rows) else (each,):
                assert one.how not in ("choice", "several") or one.among, (page.name, one.key)


def test_the_text_of_a_page_is_one_that_a_person_can_read(begun):
    page = opening_files.page_named("aircraft", "envelope")
    now = opening_files.text_now("aircraft", KITTIWAKE)
    posted = {
        "envelope.forward": "340 kg, 2085 mm\r\n500 kg, 2085 mm",
        "envelope.aft": "340 kg, 2205 mm\n500 kg, 2205 mm",
    }
    opening_files.enter_page(file="aircraft", about=KITTIWAKE, page=page, posted=posted, seen=now.seen, by="ada")
    text = opening_files.text_now("aircraft", KITTIWAKE).text
    assert '[envelope]\nforward = [["340 kg", "2085 mm"], ["500 kg", "2085 mm"]]' in text
    assert 'entered_by = "Ada Ost"' in text
    assert toml_text({}) == ""


def test_a_printed_table_is_cut_by_its_axes_and_a_wrong_count_is_told(begun):
    page = opening_files.page_named("aircraft", "climb")
    posted = {
        "table.climb.unit": "ft/min",
        "table.climb.axis.0.of": "mass",
        "table.climb.axis.0.points": "420 kg, 500 kg",
        "table.climb.axis.0.between": "next higher",
        "table.climb.axis.0.below": "first",
        "table.climb.axis.1.of": "density altitude",
        "table.climb.axis.1.points": "0 ft, 4000 ft, 8000 ft",
        "table.climb.axis.1.between": "linear",
        "table.climb.axis.1.below": "first",
        "table.climb.rows": "900 600 300\n620 340",
    }

    def enter():
        seen = opening_files.text_now("aircraft", KITTIWAKE).seen
        opening_files.enter_page(file="aircraft", about=KITTIWAKE, page=page, posted=posted, seen=seen, by="ada")

    with pytest.raises(Refused, match="there are 5 numbers, and the axes ask for 2 x 3 = 6"):
        enter()
    posted["table.climb.rows"] += " 70"
    enter()
    assert opening_files.text_now("aircraft", KITTIWAKE).table["table"]["climb"]["rows"] == [
        [900, 600, 300],
        [620, 340, 70],
    ]


def test_a_weighing_whose_scales_do_not_add_up_is_refused(begun):
    page = opening_files.page_named("aircraft", "weighing")
    now = opening_files.text_now("aircraft", KITTIWAKE)
    posted = {
        "weighing.empty_mass": "291.0 kg",
        "weighing.empty_arm": "2412 mm",
        "weighing.scale.0.at": "nose wheel",
        "weighing.scale.0.reads": "10.8 kg",
        "weighing.scale.0.tare": "0 kg",
        "weighing.scale.0.arm": "405 mm",
        "weighing.scale.1.at": "mains",
        "weighing.scale.1.reads": "279.2 kg",
        "weighing.scale.1.tare": "0 kg",
        "weighing.scale.1.arm": "2490 mm",
    }
    with pytest.raises(DefinitionError, match="scales add up to"):
        opening_files.enter_page(file="aircraft", about=KITTIWAKE, page=page, posted=posted, seen=now.seen, by="ada")


def test_a_house_west_of_here_is_opened_in_its_evening(empty, password):
    """Past midnight by universal time it is still the day before at the field: nobody is locked out by that."""
    clock.start(demo_at=datetime(2027, 6, 13, 0, 30, tzinfo=UTC))
    records.open_book(operation="A school", manager="ada", manager_name="Ada Ost", is_demo=False)
    accounts.open_account(name="ada", person="ada", password=password, by="ada")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "ada", "password": password})
    adopt("field", FILES["field.toml"])
    assert state.today() == date(2027, 6, 12)
    adopt("house", HOUSE)
    assert client.get(reverse("opening")).status_code == 200
    form = {"name": "Ada Ost", "roles": ["manager", "pilot"]}
    assert client.post(reverse("opening-person", kwargs={"person": "ada", "page": "who"}), form).status_code == 302
    assert people.roles_held("ada", on=state.today()) == {"manager", "pilot"}
    assert client.get(reverse("accounts")).status_code == 200
