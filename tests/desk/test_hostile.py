"""Hostile text in every form and every address: it stays text, nothing breaks, the book stays whole."""

from __future__ import annotations

import json
import logging
from collections import Counter
from dataclasses import replace
from io import BytesIO
from urllib.parse import urljoin, urlsplit

import icalendar
import pytest
from django.test import Client
from django.urls import Resolver404, resolve, reverse
from pypdf import PdfReader

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import DefectReported
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.verify import verify
from gyrewright.desk.services import flights, releases, state
from gyrewright.desk.services.leaving import export_book
from gyrewright.desk.services.people import add_person
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.errors import DefinitionError
from kit.forms import foreign_code, forms_of, links_of

HOSTILE = (
    '<script>alert("x")</script>',
    '"><img src=x onerror=alert(1)>',
    "' onfocus='alert(1)' autofocus='",
    "</textarea><script src=//elsewhere.example/x.js></script>",
    '{{ 7|add:7 }}{% include "desk/base.html" %}{# #}',
    '=HYPERLINK("http://elsewhere.example","x")',
    "@SUM(1+1)|cmd",
    "txt\u202egnp.exe\u2066",
    "a\x00b\x1b[2J\x7f",
    "one\r\nSet-Cookie: x=y\r\n\r\ntwo",
    "../../../../etc/passwd",
    "'; DROP TABLE book_record; --",
    "²",
    "-1",
    "1e999 L",
    "nan kg",
    "٣٤ L",
    "9" * 40,
    "9999-12-31T23:59:59+14:00",
    "x" * 20_000,
)
ALL_AT_ONCE = "<b onclick='x'>{{ 7 }}{% x %}=1+1\r\n\"'&;²$[0]#eval(1)"


def client_of(person):
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    if person:
        client.post(reverse("demo-door"), {"person": person})
    return client


@pytest.fixture
def quiet():
    logging.disable(logging.ERROR)
    yield
    logging.disable(logging.NOTSET)


WALKERS = ("okafor-lind", "arrowood", "halloran", "")
MOST_OF_A_ROUTE = 1
NOT_WALKED = ("copy-make", "records-verify", "out", "demo-door", "export", "book-export")


@pytest.fixture
def pages(demo_day):
    """Every page with something to fill in that can be reached by links, once a route, with whose view of it it is."""
    now = clock.now()
    first = next(iter(state.flights(now)))
    releases.release_flight(id=new_id(), flight=first, by="sunde")
    found, met = [], Counter()
    for person in WALKERS:
        client = client_of(person)
        todo = [reverse("today") if person else reverse("door")]
        seen = set()
        while todo:
            address = todo.pop(0)
            route = route_of(address)
            if address in seen or met[person, route] >= MOST_OF_A_ROUTE or route in NOT_WALKED:
                continue
            seen.add(address)
            answer = client.get(address)
            if answer.status_code != 200 or "html" not in answer.headers["Content-Type"]:
                continue
            met[person, route] += 1
            text = answer.content.decode()
            # Sheets, pictures and files hold no forms, and take their time to make.
            todo += [
                urljoin(address, each) for each in links_of(text) if "." not in each.rpartition("/")[2].split("?")[0]
            ]
            if list(forms_of(text)):
                found.append((person, address))
    return found


def route_of(address):
    try:
        return resolve(urlsplit(address).path).view_name
    except Resolver404:
        return ""


def sent(client, page, form, fields):
    where = (form.action or page).replace("&amp;", "&")
    if form.method == "get":
        return client.get(where, fields)
    return client.post(where, fields)


def wrong_with(answer, before):
    """Return what is wrong with an answer to hostile text, one line each."""
    out = []
    if answer.status_code >= 500:
        out.append(f"answered {answer.status_code}")
    if answer.headers.get("Set-Cookie", "").startswith("x="):
        out.append("took a header from a field")
    if "html" in answer.headers.get("Content-Type", "") and not answer.streaming:
        text = answer.content.decode()
        out += [f"would run {each}" for each in foreign_code(text)]
        if "14}" in text or "\x00" in text:
            out.append("took a field for a template, or shows what cannot be shown")
        if answer.status_code >= 400 and 'role="alert"' not in text:
            out.append(f"answered {answer.status_code} without saying why")
    return [f"{before}: {each}" for each in out]


def test_every_form_takes_hostile_text_as_text_or_refuses_it(pages, demo_day, quiet):
    wrong, tried, tried_forms = [], 0, set()
    skipped = {reverse("out"), reverse("copy-make"), reverse("records-verify")}
    for person, page in pages:
        client = client_of(person)
        forms = [each for each in forms_of(client.get(page).content.decode()) if each.action not in skipped]
        for form in forms:
            key = (route_of(form.action or page), form.method, tuple(form.fields))
            if key in tried_forms or not form.fields:
                continue
            tried_forms.add(key)
            free = [name for name in form.fields if name not in ("id", "aircraft", "person", "finding", "no")]
            for text in HOSTILE:
                tried += 1
                filled = {**form.fields, **dict.fromkeys(free, text)}
                if "id" in filled:
                    filled["id"] = new_id()
                wrong += wrong_with(sent(client, page, form, filled), f"{form.action} all {text[:12]!r}")
            for name in form.fields:
                tried += 1
                filled = {**form.fields, name: ALL_AT_ONCE}
                wrong += wrong_with(sent(client, page, form, filled), f"{form.action} {name}")
            if client.get(page).status_code == 302:
                client = client_of(person)
    assert wrong == []
    assert tried > 200
    assert verify(demo_day).is_whole
    for person, page in pages:
        client = client_of(person)
        client.raise_request_exception = True
        answer = client.get(page)
        assert answer.status_code == 200, (person, page)
        assert foreign_code(answer.content.decode()) == []


def test_every_address_takes_hostile_text_as_text_or_refuses_it(demo_day, quiet):
    client = client_of("okafor-lind")
    flight = next(iter(state.flights(clock.now())))
    wrong = []
    for text in HOSTILE:
        asked = (
            (reverse("records"), {"kind": text, "about": text, "before": text}),
            (reverse("release-find"), {"code": text}),
            (reverse("flight", args=[flight]), {"fuel": text, "start": text, "runway": text, "load.x": text}),
            (reverse("flight-ways", args=[flight]), {"block": text, "part": text}),
            (reverse("flight-picture", args=[flight, "wind"]), {"w": text, "seats": text}),
            (reverse("flight-ask"), {"aircraft": text}),
            (reverse("door"), {"next": text}),
        )
        for address, fields in asked:
            wrong += wrong_with(client.get(address, fields), f"{address} {text[:12]!r}")
        if "\x00" not in text and "/" not in text:
            wrong += wrong_with(client.get(reverse("flight-working", args=[flight, text])), f"working {text[:12]!r}")
    assert wrong == []


def test_what_is_hostile_in_a_name_or_words_is_shown_as_text_everywhere(demo_day):
    words = "".join(each for each in HOSTILE[:8] if each.isprintable())
    add_person(id=new_id(), person="halloran", name=words, by="okafor-lind")
    record_act(act=DefectReported(item="K08", words=words), by="sunde", about="N0-101D")
    client = client_of("sunde")
    flight = next(iter(state.flights(clock.now())))
    for address in (
        reverse("today"),
        reverse("flight", args=[flight]),
        reverse("flight-ways", args=[flight]),
        reverse("flight-picture", args=[flight, "loading"]),
        reverse("flight-picture", args=[flight, "windows"]),
        reverse("records"),
        reverse("record", args=[find_records(kinds=("defect-reported",))[-1].id]),
        reverse("flight-ask") + "?aircraft=N0-101D",
    ):
        answer = client.get(address)
        assert answer.status_code == 200, address
        assert foreign_code(answer.content.decode()) == [], address


LETTERS = "#eval(1+1) $x^2$ *b* _i_ `c` <b> {{ 7|add:7 }} =1+1 @lab // c /* d */ \\ \" ' [ ] ~"
"""What a sheet's language, a page's, a spreadsheet's and a file's would each take for something else than text."""


def test_what_is_hostile_is_printed_as_it_is_written(demo_day):
    first = next(iter(state.flights(clock.now())))
    add_person(id=new_id(), person="halloran", name=f"Wren {LETTERS}", by="okafor-lind")
    defect = record_act(act=DefectReported(item="K08", words=LETTERS), by="sunde", about="N0-101D").record.id
    client = client_of("sunde")
    sheets = (reverse("flight-load-sheet", args=[first]), reverse("defect-tag", args=[defect]))
    for address in sheets:
        answer = client.get(address)
        assert answer.status_code == 200, address
        text = "".join("".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages).split())
        for part in ("#eval(1+1)", "$x^2$", "*b*", "{{7|add:7}}", "/*d*/", "\\", "@lab"):
            assert part in text, (address, part)


def test_what_is_hostile_leaves_in_a_calendar_as_one_line(demo_day):
    asked = next(iter(state.flights(clock.now()).values()))
    words = "circuits\nBEGIN:VEVENT\r\nSUMMARY:planted\nEND:VEVENT;,\\"
    with pytest.raises(DefinitionError):
        flights.change_flight(
            id=new_id(), flight=asked.id, aircraft="N0-101D", act=replace(asked.act, lesson="x" * 5000), by="sunde"
        )
    flights.change_flight(
        id=new_id(), flight=asked.id, aircraft="N0-101D", act=replace(asked.act, lesson=words), by="sunde"
    )
    answer = client_of("sunde").get(reverse("calendar-day"))
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert len(events) == len([each for each in state.flights(clock.now()).values() if each.is_open])
    assert not [each for each in events if str(each.get("SUMMARY")) == "planted"]


def test_what_is_hostile_leaves_in_an_export_as_it_is_written(demo_day, tmp_path):
    text = LETTERS + "\u2028\u2029\u200f<script>"
    kept = record_act(act=DefectReported(item="K08", words=text), by="sunde", about="N0-101D").record
    export_book(folder=tmp_path / "out")
    lines = (tmp_path / "out" / "records.jsonl").read_text(encoding="utf-8").split("\n")
    rows = [json.loads(line) for line in lines if line]
    assert [json.loads(row["body"])["words"] for row in rows if row["id"] == kept.id] == [text]
