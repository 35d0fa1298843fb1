"""In which words and units a page is read: the house's, or one's own; what people typed and what was found stay."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock, reader
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.fold.adopted import OPERATION
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import adopting, flights, releases, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.reading import choose_reading, reader_of
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.statements import to_sign


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response):
    assert response.status_code == 200, response.content[:300]
    text = re.sub(r"<(style|script)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def flight_at(start):
    for id, asked in state.flights(clock.now()).items():
        if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == start:
            return id
    raise AssertionError(start)


@pytest.fixture
def first(demo_day):
    return flight_at("06:30")


@pytest.fixture(autouse=True)
def _nobody_reads_afterwards():
    yield
    reader.set_reader(None)


def choose(client, **chosen):
    answer = client.post(reverse("own-reading"), {"id": new_id(), **chosen})
    assert answer.status_code == 302, answer.content
    return client


def test_it_works(first):
    client = client_of("sunde")
    before = words(client.get(reverse("flight", args=[first])))
    assert "Does the center of gravity stay within its limits" in before
    choose(client, language="en-GB", **{"unit.mass": "lb"})
    page = client.get(reverse("flight", args=[first]))
    after = words(page)
    assert '<html lang="en-GB">' in page.content.decode()
    assert "Does the centre of gravity stay within its limits" in after
    assert "center" not in after
    # 476.8 kg are 1051.2 lb, 500 kg 1102.3 lb: international avoirdupois pound of 0.45359237 kg.
    assert "It weighs 1051 lb at take-off; the manual allows 1102 lb: 51 lb left." in after
    assert "476.8 kg" not in after


def test_it_is_ones_own_choice_and_nobody_elses(first):
    choose(client_of("sunde"), language="en-GB")
    page = client_of("halloran").get(reverse("flight", args=[first]))
    assert '<html lang="en-US">' in page.content.decode()
    assert "center of gravity" in words(page)


def test_what_was_typed_is_shown_as_it_was_typed(first):
    choose(client_of("sunde"), **{"unit.volume": "US gal"})
    page = words(client_of("sunde").get(reverse("flight-working", args=[first, "loading.take_off_mass"])))
    assert "The gauge reading of the fuel: 40 L" in page
    assert "US gal" in page


def test_pictures_follow(first):
    client = choose(client_of("sunde"), language="en-GB", **{"unit.mass": "lb", "unit.arm": "in"})
    picture = client.get(reverse("flight-picture", args=[first, "loading"])).content.decode()
    assert "mass, lb" in picture
    assert "centre of gravity aft of datum, in" in picture
    assert "center" not in picture
    other = client_of("halloran").get(reverse("flight-picture", args=[first, "loading"])).content.decode()
    assert "mass, kg" in other
    assert "center of gravity" in other


def test_sheets_follow_whoever_prints_them(first):
    import io

    from pypdf import PdfReader

    def printed(client):
        pdf = client.get(reverse("flight-load-sheet", args=[first])).content
        page = PdfReader(io.BytesIO(pdf)).pages[0]
        return page.extract_text(), float(page.mediabox.height) / 72 * 25.4

    text, high = printed(choose(client_of("sunde"), language="en-GB"))
    assert "centre of" in text
    assert "Litres times kilograms a litre" in text
    # Where words are British, paper is A4.
    assert high == pytest.approx(297.0, abs=0.1)
    text, high = printed(client_of("halloran"))
    assert "Liters times kilograms a liter" in text
    assert high == pytest.approx(279.4, abs=0.1)


def test_the_release_keeps_the_words_and_units_of_the_house(first):
    for person in ("sunde", "halloran"):
        choose_reading(id=new_id(), person=person, language="en-GB", units={"mass": "lb"}, by=person)
    asked = state.flight(first, clock.now())
    for needed in to_sign(answered(asked, clock.now())):
        if not needed.is_done:
            flights.declare(
                id=new_id(),
                flight=first,
                person=needed.person,
                answers={each.name: True for each in needed.statements},
                by=needed.person,
                fitness="fit" if needed.asks_fitness else "",
                slept="8 h" if needed.amounts else "",
            )
    client = client_of("sunde")
    answer = client.post(reverse("flight-release", args=[first]), {"id": new_id()})
    assert answer.status_code == 302, words(answer)
    (record,) = find_records(kinds=("release",))
    assert "center of gravity" in record.personal.answer
    assert "476.8 kg" in record.personal.answer
    assert releases.releases_of(asked, clock.now())[0].holds


def test_the_house_can_be_british(demo_day):
    text = next(each.act.text for each in find_records(kinds=("file-adopted",)) if each.act.name == OPERATION)
    british = text.replace('words = "en-US"', 'words = "en-GB"')
    today = clock.now().date()
    adopting.adopt(adopting.adopted(name=OPERATION, text=british, holds_from=today, by="okafor-lind"))
    assert '<html lang="en-GB">' in Client(SERVER_NAME="localhost").get(reverse("door")).content.decode()
    assert reader_of("sunde", clock.now()).language == "en-GB"
    choose(client_of("sunde"), language="en-US")
    assert reader_of("sunde", clock.now()).language == "en-US"


def test_a_choice_can_be_taken_back(first):
    client = choose(client_of("sunde"), language="en-GB", **{"unit.speed": "km/h"})
    assert reader_of("sunde", clock.now()).units == {"speed": "km/h"}
    choose(client, language="")
    assert reader_of("sunde", clock.now()) == reader.Reader("en-US", {})


@pytest.mark.parametrize(
    ("chosen", "words_"),
    [
        ({"language": "tlh"}, "there are no words in 'tlh'; choose one of: en-US, en-GB"),
        ({"language": "", "units": {"mass": "stone"}}, "'stone' is no unit of mass; choose one of: kg, lb"),
        ({"language": "", "units": {"beauty": "mH"}}, "'mH' is no unit of beauty"),
    ],
)
def test_what_is_no_choice_is_refused(demo_day, chosen, words_):
    with pytest.raises(Refused, match=re.escape(words_)):
        choose_reading(id=new_id(), person="sunde", by="sunde", **{"units": {}, **chosen})


PAGES = ("today", "walk", "papers", "upkeep", "people", "records", "accounts", "own-reading", "defects")
AMERICAN = re.compile(
    r"(?<![\w-])(center|color|program|tire|license|airplane|gray|carburetor|liter|maneuver|refueled|fueled)s?(?!\w)",
    re.IGNORECASE,
)


def test_no_page_is_left_american_but_for_what_people_and_manuals_wrote(first):
    client = choose(client_of("okafor-lind"), language="en-GB")
    addresses = [reverse(each) for each in PAGES]
    addresses += [reverse("flight", args=[first]), reverse("flight-working", args=[first, "all"])]
    addresses += [reverse("walk-background", args=["N0-101D", "walk-round"])]
    # What stands in the demonstration's own files was written there and is shown as it was written.
    typed = {known.name for known in all_people().values()}
    for address in addresses:
        seen = words(client.get(address))
        for name in filter(None, typed):
            seen = seen.replace(name, "")
        assert AMERICAN.findall(seen) == [], address


def test_an_american_word_that_somebody_typed_stays(first):
    choose(client_of("sunde"), language="en-GB")
    asked = state.flight(first, clock.now())
    from dataclasses import replace

    act = replace(asked.act, lesson="center line, gray tires")
    flights.change_flight(id=new_id(), flight=first, aircraft=asked.aircraft, act=act, by="sunde")
    assert "center line, gray tires" in words(client_of("sunde").get(reverse("flight", args=[first])))
