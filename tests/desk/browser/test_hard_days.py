"""Days on which something is wrong with the machine or two people act at once: one sentence, and nothing half done."""

from __future__ import annotations

import os
import re
import resource
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from gyrewright.desk import clock
from gyrewright.desk.book.head import kept_head
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.verify import verify
from gyrewright.desk.services import people
from gyrewright.desk.services.records import new_id

SMALL = 60_000


def first_flight(person):
    """Go on from Today to the day's first flight and return its id."""
    person.touch(person.page.locator("ul.day a[href^='/flight/']").first, then="**/flight/*")
    return person.page.url.rpartition("/")[2]


def processes_of(desk):
    found = []
    for each in Path("/proc").iterdir():
        with suppress(OSError):
            if each.name.isdigit() and os.getpgid(int(each.name)) == desk.process.pid:
                found.append(int(each.name))
    return found


def test_of_two_people_who_release_the_same_flight_at_once_one_does_and_the_other_is_told(
    make_desk, visitor, at_folder
):
    desk = make_desk()
    two = [visitor(desk, each) for each in ("sunde", "okafor-lind")]
    for each in two:
        each.allow("status of 400")
        first_flight(each)
        assert each.page.get_by_role("button", name="I release this flight").is_visible()
    for each in two:
        each.page.evaluate(
            "() => { setTimeout(() => document.querySelector('form[action$=\"/release\"]').submit(), 300); }"
        )
    for each in two:
        each.page.wait_for_url(re.compile("/release(/|$)"))
    told = sorted("released already" in each.words for each in two)
    assert told == [False, True]
    with at_folder(desk.folder, is_demo=True):
        assert len(find_records(kinds=("release",))) == 1
        assert verify(desk.folder).is_whole


def test_a_full_disk_is_one_sentence_and_what_was_typed_is_entered_once_there_is_room(make_desk, visitor, at_folder):
    desk = make_desk()
    sunde = visitor(desk, "sunde")
    sunde.allow("507|status of 4")
    first_flight(sunde)
    with at_folder(desk.folder, is_demo=True):
        before = head()
    pids = processes_of(desk)
    assert len(pids) == 2
    limits = {pid: resource.prlimit(pid, resource.RLIMIT_FSIZE) for pid in pids}
    for pid, (_, hard) in limits.items():
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (SMALL, hard))
    for field, text in (("Fuel by stick", "38 L"), ("Fuel by gauge", "38 L")):
        if not sunde.page.get_by_label(field).is_visible():
            sunde.touch(sunde.page.locator("summary", has_text="Give what is known now"))
        sunde.fill(field, text)
    sunde.touch("This is what I read now")
    assert "is full or fails" in sunde.words
    assert "nothing was written; free some space and do it again" in sunde.words
    with at_folder(desk.folder, is_demo=True):
        assert head() == before == kept_head(desk.folder)
    for pid, both in limits.items():
        resource.prlimit(pid, resource.RLIMIT_FSIZE, both)
    assert "What you typed is still here." in sunde.words
    sunde.touch("Do it again")
    assert "stick reading of the fuel: 38 L" in sunde.words
    with at_folder(desk.folder, is_demo=True):
        assert head().seq == before.seq + 2
        assert verify(desk.folder).is_whole


def test_a_clock_that_is_off_by_a_day_is_doubted_until_two_people_have_found_it_right(
    make_desk, visitor, at_folder, own_password
):
    def tomorrow(_):
        clock.start(demo_at=datetime.now(UTC) + timedelta(days=1))
        people.add_person(id=new_id(), person="sam", name="Sam Tarn-Ost", by="ada")

    desk = make_desk(is_demo=False, prepare=tomorrow)
    ada, mia = (visitor(desk).log_in(each, own_password) for each in ("ada", "mia"))
    for each in (ada, mia):
        each.allow("status of 409")
        each.go("/today/")
        assert "clock is in doubt: it shows" in each.words
        assert "earlier than the last record" in each.words
    with at_folder(desk.folder, is_demo=False):
        before = head()
    ada.go("/records/")
    ada.touch("Make a copy now")
    assert "nothing was written; set the clock right, or let two people confirm it" in ada.words
    with at_folder(desk.folder, is_demo=False):
        assert head() == before
    for person, last in ((ada, False), (mia, True)):
        person.go("/records/")
        person.fill("Which other clock did you read?", "the one on the wall")
        person.touch("This machine's clock is right")
        assert ("Found right by Ada Ost; one more person has to look" in person.words) is not last
        person.go("/today/")
        assert ("clock is in doubt" in person.words) is not last
    ada.go("/records/")
    ada.touch("Make a copy now")
    assert "Last copy of all records" in ada.words
    with at_folder(desk.folder, is_demo=False):
        assert head().seq == before.seq + 3
        assert verify(desk.folder).is_whole
