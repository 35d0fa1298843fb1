"""An accident or event freezes a copy of the whole book, whatever way it came in."""

from __future__ import annotations

import os
import stat

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import BooksOpened, EventReported
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.record import Entry
from gyrewright.desk.book.verify import open_read_only, verify_database
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import DiskFull
from gyrewright.desk.services import freezing
from gyrewright.desk.services.records import new_id, record_act
from kit.desk import client_of


@pytest.fixture
def ada(book, let_in, password):
    let_in("ada")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "ada", "password": password})
    return client


def happen():
    return record_act(act=EventReported(kind="hard landing", words="firm"), by="ivo", about="N0-101D").record


def test_it_works(ada, book):
    event = happen()
    assert freezing.waiting() == (event,)
    # Any request that changes something is followed by the copy, whichever page brought the event in.
    assert ada.post(reverse("copy-make"), {"id": new_id()}).status_code == 302
    (copy,) = freezing.frozen_copies()
    assert copy.events == (event,)
    assert copy.record.about == "N0-101D"
    assert copy.is_untouched
    assert freezing.waiting() == ()
    assert stat.S_IMODE(os.stat(copy.file).st_mode) == 0o400
    with open_read_only(copy.file) as database:
        found = verify_database(database)
    assert found.is_whole
    assert found.head.seq == copy.record.act.head_seq
    assert event.seq <= found.head.seq < head().seq
    page = ada.get(reverse("frozen")).content.decode()
    assert "Untouched." in page
    assert copy.record.act.sha256 in page


def test_a_second_request_makes_no_second_copy(ada):
    happen()
    for _ in range(3):
        ada.post(reverse("copy-make"), {"id": new_id()})
    assert len(freezing.frozen_copies()) == 1


def test_a_page_that_is_only_looked_at_makes_none(ada):
    happen()
    ada.get(reverse("records"))
    assert freezing.frozen_copies() == ()


def test_a_touched_and_a_lost_file_are_told(ada):
    happen()
    ada.post(reverse("copy-make"), {"id": new_id()})
    file = freezing.frozen_copies()[0].file
    file.chmod(0o600)
    with file.open("ab") as out:
        out.write(b"x")
    assert "not the one that was set aside" in ada.get(reverse("frozen")).content.decode()
    file.unlink()
    assert "The file is gone." in ada.get(reverse("frozen")).content.decode()


def test_an_event_stays_where_no_copy_can_be_made_and_says_so(ada, monkeypatch):
    def full(**_):
        raise DiskFull("no room")

    event = happen()
    with monkeypatch.context() as patched:
        patched.setattr(freezing, "freeze_copy", full)
        assert ada.post(reverse("copy-make"), {"id": new_id()}).status_code == 302
        assert ada.post(reverse("frozen-make")).status_code == 507
    assert freezing.waiting() == (event,)
    for name in ("today", "records", "frozen"):
        assert "1 event" in (page := ada.get(reverse(name)).content.decode()) or "Still without one" in page
    assert ada.post(reverse("frozen-make")).status_code == 302
    assert freezing.waiting() == ()


def test_what_old_books_held_is_history(book):
    now = clock.now()
    append(
        [
            Entry(new_id(), EventReported(kind="hard landing"), now, "ivo", "N0-101D"),
            Entry(new_id(), BooksOpened(complete=("event",)), now, "ivo", "N0-101D"),
        ]
    )
    assert freezing.waiting() == ()
    assert [each.kind for each in find_records(kinds=("event-reported",))] == ["event-reported"]


def test_an_event_reported_on_its_page_is_followed_by_its_copy(demo_day):
    form = {"id": new_id(), "kind": "hard landing", "words": "bounced twice"}
    assert client_of("sunde").post(reverse("report-event", args=["N0-101D"]), form).status_code == 302
    (copy,) = freezing.frozen_copies()
    assert [each.act.kind for each in copy.events] == ["hard landing"]
    assert copy.record.by == "sunde"
    assert copy.is_untouched


def test_the_demonstration_begins_with_none_waiting(demo_day):
    assert find_records(kinds=("event-reported",))
    assert freezing.waiting() == ()
