"""The browser kit: a real desk on this machine, and people at a real browser in front of it.

`demo_desk` and `own_desk` are one desk a module; `make_desk` starts another on a folder of its own, prepared first if
need be. `visitor` seats a person at one of them. At the end of a test every visitor is asked what their pages
complained of, and at the end of a module every desk has to end cleanly on a signal.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import accounts, people, records, releases, state
from gyrewright.desk.services.paper_walks import list_mark
from gyrewright.inspection.lists import shipped_list
from kit.browser import CHROMIUM, DESK, FLAGS, HIGH, PHONE, Visitor
from kit.desk_process import RunningDesk

PASSWORD = "three words do well"
MARK = list_mark(shipped_list("walk-round"))
OWN_PEOPLE = (
    ("ivo", "Ivo Brandt", "instructor"),
    ("sam", "Sam Tarn", "student"),
    ("mia", "Mia Holt", "inspector"),
)


def _turn(folder: Path, *, is_demo: bool) -> None:
    connection.close()
    settings.DATA_DIR, settings.IS_DEMO = folder, is_demo
    connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = folder / "book.sqlite3"


@contextmanager
def _at(folder: Path, *, is_demo: bool, at: datetime | None = None) -> Iterator[Path]:
    before = settings.DATA_DIR, settings.IS_DEMO
    _turn(folder, is_demo=is_demo)
    clock.start(demo_at=at)
    try:
        yield folder
    finally:
        _turn(before[0], is_demo=before[1])


def _copied(source: Path, target: Path) -> Path:
    target.mkdir(parents=True)
    for name in ("book.sqlite3", "head"):
        shutil.copyfile(source / name, target / name)
    return target


@pytest.fixture(scope="session")
def _own_folder(tmp_path_factory: pytest.TempPathFactory, _session_folder: None) -> Path:
    """An operation's own book, opened just now by the machine's clock, with a log-in for each of its people."""
    folder = tmp_path_factory.mktemp("own") / "data"
    folder.mkdir()
    shutil.copyfile(Path(os.environ["GYREWRIGHT_DATA"]) / "book.sqlite3", folder / "book.sqlite3")
    with _at(folder, is_demo=False):
        records.open_book(operation="A school", manager="ada", manager_name="Ada Ost", is_demo=False)
        accounts.open_account(name="ada", person="ada", password=PASSWORD, by="ada")
        today = datetime.now(UTC).date()
        for person, name, role in OWN_PEOPLE:
            people.add_person(id=records.new_id(), person=person, name=name, by="ada")
            from_on = date(today.year - 1, 1, 1)
            people.give_role(id=records.new_id(), person=person, role=role, from_on=from_on, by="ada")
            accounts.open_account(name=person, person=person, password=PASSWORD, by="ada")
    return folder


@pytest.fixture(scope="module")
def at_folder() -> Callable[..., AbstractContextManager[Path]]:
    """Return a context manager that turns this process to a desk's folder, to read what it holds or to prepare it."""
    return _at


@pytest.fixture(scope="module")
def make_desk(
    _demo_folder: Path, _own_folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[..., RunningDesk]]:
    """Return a function that starts a desk on a copy of the demonstration's folder or of an operation's own.

    `prepare` is called with this process turned to the copy, before the desk starts; `environ` are settings.
    """
    running: list[RunningDesk] = []

    def make(
        *,
        is_demo: bool = True,
        prepare: Callable[[Path], Any] | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> RunningDesk:
        folder = _copied(_demo_folder if is_demo else _own_folder, tmp_path_factory.mktemp("desk") / "data")
        if prepare is not None:
            with _at(folder, is_demo=is_demo, at=clock.DEMO_START if is_demo else None):
                prepare(folder)
        desk = RunningDesk(folder, is_demo=is_demo, environ=environ)
        running.append(desk)
        return desk.start()

    yield make
    for desk in running:
        # One that its test has ended itself is only cleared away.
        is_ended, said = desk.process is None or desk.process.poll() is not None, desk.said
        ended = desk.stop()
        assert is_ended or ended == 0, said


@pytest.fixture(scope="module")
def demo_desk(make_desk: Callable[..., RunningDesk]) -> RunningDesk:
    """The demonstration's desk at 06:10 of its day, one for the module."""
    return make_desk()


@pytest.fixture(scope="module")
def own_desk(make_desk: Callable[..., RunningDesk]) -> RunningDesk:
    """An operation's own desk; ada manages, ivo instructs, sam learns, mia maintains; all have one `password`."""
    return make_desk(is_demo=False)


@dataclass(frozen=True, slots=True)
class MainPage:
    """One of the main pages: its address, and whose view of it is looked at; nobody's where no one has come in."""

    path: str
    person: str


@pytest.fixture(scope="module")
def main_pages(make_desk: Callable[..., RunningDesk]) -> tuple[RunningDesk, dict[str, MainPage]]:
    """A desk of the demonstration whose first flight is released, and its main pages by name.

    The pages of a flight stand there in every state: nothing found, released, stopped, unknown, tried otherwise.
    """
    pages: dict[str, MainPage] = {}

    def prepare(_: Path) -> None:
        now = clock.now()
        zone = state.zone()
        flights = {
            asked.act.depart_at.astimezone(zone).strftime("%H:%M"): id for id, asked in state.flights(now).items()
        }
        kept = releases.release_flight(id=records.new_id(), flight=flights["06:30"], by="sunde")
        walk = find_records(kinds=("walk",), about="N0-101D")[-1]
        good, stop, unknown = (f"/flight/{flights[each]}" for each in ("06:30", "13:30", "08:20"))
        rows = {
            "door": ("/door", ""),
            "today": ("/today/", "sunde"),
            "today of a student": ("/today/", "castellane"),
            "flight released": (good, "sunde"),
            "flight stopped": (stop, "sunde"),
            "flight unknown": (unknown, "okafor-lind"),
            "flight seen without masses": (stop, "arrowood"),
            "flight tried otherwise": (f"{good}?fuel=90+L", "sunde"),
            "ways": (f"{good}/ways?fuel=90+L", "sunde"),
            "working": (f"{stop}/working/crosswind_m_s", "sunde"),
            "which aircraft": ("/flight/ask", "sunde"),
            "ask for a flight": ("/flight/ask?aircraft=N0-101D", "sunde"),
            "after a flight": (f"{good}/after", "sunde"),
            "calendar": ("/calendar/", "sunde"),
            "walk-round": (reverse("walk"), "sunde"),
            "one walk": (reverse("walk-one", args=[walk.id]), "sunde"),
            "aircraft": (reverse("aircraft"), "sunde"),
            "one aircraft": (reverse("aircraft-one", args=["N0-101D"]), "arrowood"),
            "upkeep": (reverse("upkeep"), "arrowood"),
            "people": (reverse("people"), "okafor-lind"),
            "one person": (reverse("person", args=["halloran"]), "sunde"),
            "phones": (reverse("phones"), "sunde"),
            "release": (f"/release/{kept.record.id}", "sunde"),
            "records": ("/records/", "okafor-lind"),
            "record": (f"/records/{kept.record.id}", "sunde"),
            "accounts": ("/accounts/", "okafor-lind"),
            "own password": ("/own-password", "sunde"),
            "own words and units": ("/own-reading", "sunde"),
            "on paper": ("/paper/", "sunde"),
            "which sheet": ("/walk/paper/N0-101D/walk-round", "sunde"),
            "a walk on paper": (f"/walk/paper/N0-101D/walk-round?mark={MARK}&event=turnaround", "sunde"),
            "refusal": ("/accounts/", "sunde"),
        }
        pages.update({name: MainPage(*row) for name, row in rows.items()})

    return make_desk(prepare=prepare), pages


@pytest.fixture(scope="module")
def launch() -> Iterator[Callable[..., Any]]:
    """Return a function that starts a browser: more flags, such as a name mapped to an address, and a home of its own.

    Each module has browsers of its own, so that no loop of theirs runs beside other tests.
    """
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is missing; install Debian's chromium to run the tests in a browser")
    from playwright.sync_api import sync_playwright

    # The browser's loop lives in this thread; Django would take every query of a test for one from inside it.
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as driver:

        def start(*, more: Sequence[str] = (), home: Path | None = None) -> Any:
            environ = {**os.environ, "HOME": str(home)} if home else None
            return driver.chromium.launch(executable_path=CHROMIUM, headless=True, args=[*FLAGS, *more], env=environ)

        yield start
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture(scope="module")
def chromium(launch: Callable[..., Any]) -> Any:
    """The module's browser."""
    return launch()


@pytest.fixture
def visitor(chromium: Any) -> Iterator[Callable[..., Visitor]]:
    """Return a function that seats somebody at a desk in a window of their own, 390 or 1280 px wide.

    With `person` they have come in by the demonstration's door. What their pages complained of fails the test.
    """
    seated: list[Visitor] = []

    def seat(
        desk: RunningDesk, person: str = "", *, width: int = DESK, browser: Any = None, address: str = "", **more: Any
    ) -> Visitor:
        context = (browser or chromium).new_context(
            viewport={"width": width, "height": HIGH.get(width, 900)}, has_touch=width == PHONE, **more
        )
        made = Visitor(context.new_page(), address or desk.address)
        seated.append(made)
        return made.come_in_as(person) if person else made

    yield seat
    complaints = [each for made in seated for each in made.unmeant()]
    for made in seated:
        made.page.context.close()
    assert complaints == []


@pytest.fixture
def own_password() -> str:
    """The password of every account of `own_desk`."""
    return PASSWORD
