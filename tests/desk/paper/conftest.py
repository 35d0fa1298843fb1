"""Sheets of the demonstration's day, and how a test looks at a PDF."""

from __future__ import annotations

import io
import re
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from gyrewright.desk import clock
from gyrewright.desk.services import flights, releases, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.statements import to_sign


class Look:
    """How a test looks at a PDF."""

    @staticmethod
    def words(pdf: bytes, page: int | None = None) -> str:
        pages = PdfReader(io.BytesIO(pdf)).pages
        texts = [each.extract_text() for each in (pages if page is None else [pages[page]])]
        return re.sub(r"\s+", " ", " ".join(texts))

    @staticmethod
    def pages(pdf: bytes) -> int:
        return len(PdfReader(io.BytesIO(pdf)).pages)

    @staticmethod
    def fonts(pdf: bytes) -> set[str]:
        """Return the names of every typeface that a PDF uses, those inside its drawings too."""
        found: set[str] = set()

        def walk(resources: Any) -> None:
            resources = resources.get_object()
            for font in (resources.get("/Font") or {}).values():
                found.add(str(font.get_object()["/BaseFont"]).rpartition("+")[2])
            for form in (resources.get("/XObject") or {}).values():
                if "/Resources" in form.get_object():
                    walk(form.get_object()["/Resources"])

        for page in PdfReader(io.BytesIO(pdf)).pages:
            walk(page["/Resources"])
        return found

    @staticmethod
    def picture(pdf: bytes, page: int = 0, *, dpi: int = 200) -> Any:
        document = pypdfium2.PdfDocument(pdf)
        picture = document[page].render(scale=dpi / 72).to_pil().convert("L")
        document.close()
        return picture


@pytest.fixture
def look() -> type[Look]:
    return Look


@pytest.fixture
def flight_at() -> Any:
    """Return a function that returns the flight that starts at a local time."""

    def find(start: str) -> str:
        for id, asked in state.flights(clock.now()).items():
            if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == start:
                return id
        raise AssertionError(start)

    return find


@pytest.fixture
def person_at() -> Any:
    """Return a function that seats a person of the demonstration at the desk."""

    def seat(person: str) -> Client:
        client = Client(SERVER_NAME="localhost")
        assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
        return client

    return seat


@pytest.fixture
def released(demo_day: Any, flight_at: Any) -> Any:
    """The first flight of the demonstration's day, declared and released by its instructor."""
    id = flight_at("06:30")
    asked = state.flight(id, clock.now())
    for needed in to_sign(answered(asked, clock.now())):
        if not needed.is_done:
            flights.declare(
                id=new_id(),
                flight=id,
                person=needed.person,
                answers={each.name: True for each in needed.statements},
                by=needed.person,
                fitness="fit" if needed.asks_fitness else "",
            )
    return releases.release_flight(id=new_id(), flight=id, by="sunde").record
