"""A walk-round on a phone under the desk's own authority: an ended certificate, a lost laptop, nothing lost."""

from __future__ import annotations

import json
import re
import time
from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.phones.authority import authority_in, make_leaf
from gyrewright.desk.services import phones
from gyrewright.desk.services.copies import make_copy, restore
from gyrewright.desk.services.records import new_id
from kit.kept_phone import KeptPhone, until
from kit.phones_desk import NAME, PhonesDesk, copied, passing_word

AIRCRAFT = "N0-101D"
PAGE = f"/walk/at/{AIRCRAFT}/walk-round"


@pytest.fixture
def folder(_demo_folder, tmp_path):
    return copied(_demo_folder, tmp_path / "data")


@pytest.fixture
def start(launch):
    """Return a function that starts a desk or a phone; whatever a failed test leaves is ended."""
    started = []

    def go(made):
        started.append(made)
        return made.start()

    yield go
    for each in reversed(started):
        each.kill()


@pytest.fixture
def look(at_folder):
    """Return a function that turns to a folder and returns what a function finds there."""

    def at(folder, find):
        # Later than anything that the desk's own clock has said since.
        with at_folder(folder, is_demo=True, at=clock.DEMO_START + timedelta(hours=3)):
            return find()

    return at


def answers():
    """Return the ids of every answer in the book."""
    parts = [each.act for each in find_records(kinds=("walk-part",))]
    return sorted(act.id for part in parts for act in (*part.begun, *part.answers))


def out():
    """Return the phones that are out with the aircraft."""
    return [each.out.holder for each in phones.out_with(AIRCRAFT, clock.now())]


def test_an_ended_certificate_and_a_lost_laptop_lose_no_answer(folder, launch, start, look, visitor, tmp_path):
    desk = PhonesDesk(folder)
    password = passing_word(folder, "sunde")
    start(desk)
    phone = start(KeptPhone(launch().browser_type, tmp_path / "phone", desk.files.authority))
    phone.log_in(desk.phone_address, "Tobiah Sunde", password)
    phone.open_walk(desk.phone_address + PAGE)
    # A page that only shows may begin a walk any moment, also away from the network; one that was left may not.
    with phone.page.expect_response("**/walk/hand-over"):
        phone.page.goto(desk.phone_address + PAGE)
    time.sleep(1.0)
    assert look(folder, out) == ["sunde"]
    phone.page.goto(f"{desk.phone_address}/walk/")
    until("the page that was left with nothing begun is out no more", lambda: look(folder, out) == [])
    phone.page.goto(desk.phone_address + PAGE)
    phone.touch("first of the day")
    phone.touch("Begin")
    phone.cannot_look()
    until("the first acts were handed over", lambda: phone.held() == [])
    first = look(folder, answers)
    assert len(first) == 2
    assert look(folder, out) == ["sunde"]

    # The certificate ends. The page opens from the phone's own memory; what is answered waits.
    there = desk.files.leaf.read_bytes(), desk.files.leaf_key.read_bytes()
    make_leaf(desk.files, names=(NAME,), addresses=(), at=datetime.now(UTC) - timedelta(days=91))
    desk.show_new_certificate()
    phone.page.goto(desk.phone_address + PAGE)
    phone.go_on()
    phone.cannot_look()
    time.sleep(2.0)
    held = phone.held()
    assert len(held) == 1
    assert phone.status.startswith("1 kept here no answer")

    # With a fresh one it goes on by itself.
    desk.files.leaf_key.write_bytes(there[1])
    desk.files.leaf.write_bytes(there[0])
    desk.show_new_certificate()
    phone.network_is_back()
    until("it went on with a fresh certificate", lambda: phone.held() == [])
    assert set(held) < set(look(folder, answers))

    # A copy, then more answers; then the laptop is gone, and with it what came after the copy.
    look(folder, lambda: make_copy(id=new_id(), by="okafor-lind", folder=tmp_path / "copies"))
    copied_answers = look(folder, answers)
    desk.stop()
    phone.cannot_look()
    phone.cannot_look()
    stranded = phone.held()
    assert len(stranded) == 2
    (copy,) = (tmp_path / "copies").glob("*.sqlite3")
    new = tmp_path / "new"
    look(folder, lambda: restore(copy=copy, data_dir=new))
    second = PhonesDesk(new)
    second.https, second.environ = desk.https, second.environ | {"GYREWRIGHT_PHONES_PORT": str(desk.https)}
    start(second)
    assert authority_in(second.files) != authority_in(desk.files)
    assert "phones that opened a walk-round since are not in it" in second.said

    # The phone trusts the old authority alone: it hands nothing over, opens all the same, and saves a file.
    phone.page.goto(desk.phone_address + PAGE)
    phone.go_on()
    time.sleep(2.5)
    assert phone.held() == stranded
    saved = json.loads(phone.saved_file())
    assert sorted(each["id"] for each in saved["items"]) == sorted(stranded)

    # Somebody hands that file in at the new laptop. What the phone itself hands over later is the same once more.
    file = tmp_path / "saved.json"
    file.write_text(json.dumps(saved), encoding="utf-8")
    maren = visitor(second, "okafor-lind").go("/walk/")
    maren.page.get_by_label("File saved by a phone").set_input_files(file)
    maren.page.locator("form", has=maren.page.locator("#queue")).locator("button").click()
    maren.page.wait_for_url("**/walk/file")
    assert re.search(r"\b2\b", maren.words)
    assert set(look(new, answers)) == {*copied_answers, *stranded}

    # It takes the new authority under the same name, and logs in; the page finds what it had kept.
    phone.end()
    phone.trust(second.files.authority)
    phone.start()
    phone.page.goto(second.phone_address + PAGE)
    if "/door" in phone.page.url:
        phone.come_in("Tobiah Sunde")
        phone.page.goto(second.phone_address + PAGE)
    phone.network_is_back()
    until("what was stranded was handed over", lambda: phone.held() == [])
    phone.end()
    assert set(look(new, answers)) == {*copied_answers, *stranded}
    assert look(new, lambda: phones.is_unknown(AIRCRAFT, clock.now())).startswith("the book was put back from a copy")
    assert second.stop() == 0
