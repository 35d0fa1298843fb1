"""A data folder of its own for every test; the tables are made once and copied."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

_SESSION = Path(tempfile.mkdtemp(prefix="gyrewright-tests-"))
os.environ["GYREWRIGHT_DATA"] = str(_SESSION)
os.environ["DJANGO_SETTINGS_MODULE"] = "gyrewright.desk.settings"

import django  # noqa: E402

django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth.hashers import Argon2PasswordHasher  # noqa: E402
from django.db import connection  # noqa: E402

from gyrewright.desk import clock, start  # noqa: E402
from gyrewright.desk.book.writing import append  # noqa: E402
from gyrewright.desk.services import accounts, demo, people, records  # noqa: E402
from gyrewright.desk.services.entering import book_entries  # noqa: E402

PASSWORD = "three words do well"
NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)


@pytest.fixture(scope="session", autouse=True)
def _session_folder() -> Iterator[None]:
    """Make the tables once, and keep password hashing short of its real cost."""
    # The hash is Argon2 as ever; only its cost is that of a test.
    Argon2PasswordHasher.time_cost, Argon2PasswordHasher.memory_cost = 1, 128
    assert start.make_ready() == ()
    yield
    connection.close()
    shutil.rmtree(_SESSION)


def use(folder: Path) -> Path:
    """Turn this process to another data folder."""
    connection.close()
    folder.mkdir(parents=True, exist_ok=True)
    if not (folder / "book.sqlite3").exists():
        shutil.copyfile(_SESSION / "book.sqlite3", folder / "book.sqlite3")
    settings.DATA_DIR = folder
    connection.settings_dict["NAME"] = folder / "book.sqlite3"
    settings.DATABASES["default"]["NAME"] = folder / "book.sqlite3"
    return folder


@pytest.fixture
def empty(tmp_path: Path, _session_folder: None) -> Iterator[Path]:
    """A data folder whose book is not open yet; the clock stands on the demonstration's day and runs."""
    folder = use(tmp_path / "data")
    clock.start(demo_at=NOW)
    yield folder
    connection.close()


@pytest.fixture
def book(empty: Path) -> Path:
    """An open book with a manager, an instructor, a student, a maintainer, an owner, a visitor, and an outsider."""
    records.open_book(operation="A school", manager="ada", manager_name="Ada Ost", is_demo=False)
    for person, name, roles in (
        ("ivo", "Ivo Brandt", ("instructor",)),
        ("sam", "Sam Tarn", ("student",)),
        ("mia", "Mia Holt", ("maintainer", "inspector")),
        ("oda", "Oda Kell", ("owner",)),
        ("vic", "Vic Stane", ("visitor",)),
        ("out", "Una Roe", ()),
    ):
        people.add_person(id=records.new_id(), person=person, name=name, by="ada")
        for role in roles:
            people.give_role(
                id=records.new_id(),
                person=person,
                role=role,
                from_on=date(2027, 1, 1),
                until=date(2027, 12, 31) if role == "visitor" else None,
                aircraft=("N0-303S",) if role == "owner" else (),
                by="ada",
            )
    return empty


@pytest.fixture
def password() -> str:
    """The password of every account of the tests."""
    return PASSWORD


@pytest.fixture
def let_in(book: Path) -> Callable[..., None]:
    """Return a function that opens an account for each person named."""

    def open_accounts(*persons: str) -> None:
        for person in persons:
            accounts.open_account(name=person, person=person, password=PASSWORD, by="ada")

    return open_accounts


@pytest.fixture
def use_folder(empty: Path) -> Callable[[Path], Path]:
    """Return a function that turns this process to another data folder."""
    return use


EVENING = datetime(2027, 6, 13, 3, 0, tzinfo=UTC)


def _copied(source: Path, target: Path) -> Path:
    target.mkdir()
    for name in ("book.sqlite3", "head"):
        shutil.copyfile(source / name, target / name)
    return use(target)


@pytest.fixture(scope="session")
def _house_folder(tmp_path_factory: pytest.TempPathFactory, _session_folder: None) -> Path:
    folder = use(tmp_path_factory.mktemp("house") / "data")
    clock.start(demo_at=EVENING)
    records.open_book(operation="A school", manager=demo.MANAGER, manager_name="M", is_demo=True, at=EVENING)
    entries = list(demo.house_entries(demo.demo_table("people.toml"), zone=ZoneInfo("America/Los_Angeles")))
    for name in ("dunlin", "whimbrel", "sanderling"):
        books = demo.demo_table(f"aircraft/{name}-records.toml")
        entries += book_entries(books=books, by="arrowood", at=demo.OPENED_AT)
    append(sorted(entries, key=lambda each: (each.done_at, bool(each.corrects))))
    connection.close()
    return folder


@pytest.fixture
def house(_house_folder: Path, tmp_path: Path) -> Iterator[Path]:
    """The demonstration's house with its whole books, on the evening of its day; nothing is asked for."""
    folder = _copied(_house_folder, tmp_path / "house")
    clock.start(demo_at=EVENING)
    yield folder
    connection.close()


@pytest.fixture(scope="session")
def _demo_folder(tmp_path_factory: pytest.TempPathFactory, _session_folder: None) -> Path:
    folder = use(tmp_path_factory.mktemp("demo") / "data")
    demo.set_up_demo()
    connection.close()
    return folder


@pytest.fixture
def demo_day(_demo_folder: Path, tmp_path: Path) -> Iterator[Path]:
    """The demonstration as it stands when its clock begins."""
    folder = _copied(_demo_folder, tmp_path / "demo")
    clock.start(demo_at=clock.DEMO_START)
    settings.IS_DEMO = True
    yield folder
    settings.IS_DEMO = False
    connection.close()
