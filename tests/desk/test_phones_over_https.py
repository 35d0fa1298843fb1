"""Two phones over https, by the desk's name: late, repeated, out of order, by wrong clocks; everything kept once."""

from __future__ import annotations

import json
import re
import urllib.parse
from datetime import timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.verify import verify
from gyrewright.desk.services import phones, state
from gyrewright.inspection.walk import NOT
from kit.phone import Phone, Walker
from kit.phones_desk import NAME, PhonesDesk, copied, passing_word

AIRCRAFT = "N0-101D"
OWN = "four words do better still"
LATER = clock.DEMO_START + timedelta(hours=6)


class LoggedIn:
    """A phone's browser as far as handing over goes: its cookies, and a fresh token before each exchange."""

    def __init__(self, desk, name, password):
        self.desk, self.cookies = desk, {}
        self._come_in(name, password)

    def ask(self, path, *, method="GET", body=None, more=None):
        host = f"{NAME}:{self.desk.https}"
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {"Cookie": cookies, "Origin": f"https://{host}", "Referer": f"https://{host}/"} | (more or {})
        status, given, page = self.desk.ask("https", path, method=method, host=host, headers=headers, body=body)
        for name, value in given:
            if name.lower() == "set-cookie":
                key, _, rest = value.strip().partition("=")
                self.cookies[key] = rest.partition(";")[0]
        return status, page

    def _post(self, path, **fields):
        token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', self.ask(path)[1]).group(1)
        form = urllib.parse.urlencode(fields | {"csrfmiddlewaretoken": token})
        return self.ask(path, method="POST", body=form, more={"Content-Type": "application/x-www-form-urlencoded"})

    def _come_in(self, name, password):
        assert self._post("/door", name=name, password=password)[0] == 302
        assert self._post("/own-password", old=password, new=OWN, again=OWN)[0] == 302

    def hand_over(self, content):
        token = json.loads(self.ask("/walk/token")[1])["token"]
        more = {"Content-Type": "application/json", "X-CSRFToken": token}
        return self.ask("/walk/hand-over", method="POST", body=content.decode(), more=more)


@pytest.fixture(scope="module")
def folder(_demo_folder, tmp_path_factory):
    return copied(_demo_folder, tmp_path_factory.mktemp("https") / "data")


@pytest.fixture(scope="module")
def desk(folder):
    words = {each: passing_word(folder, each) for each in ("sunde", "okafor-lind")}
    made = PhonesDesk(folder).start()
    made.phones = {
        "sunde": LoggedIn(made, "Tobiah Sunde", words["sunde"]),
        "okafor-lind": LoggedIn(made, "Maren Okafor-Lind", words["okafor-lind"]),
    }
    yield made
    assert made.stop() == 0, made.said


@pytest.fixture
def there(folder, use_folder):
    """Turn to the desk's own folder, to read what it holds; the clock stands later than anything in it."""
    use_folder(folder)
    clock.start(demo_at=LATER)
    return folder


def walked(phone, at):
    equipment = state.machine(AIRCRAFT, LATER).aircraft.definition.equipment
    return Walker(phone, AIRCRAFT, at, "each flight").begin(equipment)


def reply(answer):
    status, page = answer
    assert status == 200, page[:500]
    return {each["id"]: each["outcome"] for each in json.loads(page)["results"]}


def parts():
    return [each.act for each in find_records(about=AIRCRAFT, kinds=("walk-part",))]


def answers():
    return [act for part in parts() for act in part.answers]


def test_two_phones_late_repeated_out_of_order_and_by_wrong_clocks(desk, there):
    desk_now = clock.DEMO_START
    one = walked(Phone("sunde", timedelta(hours=7)), desk_now - timedelta(minutes=30))
    one.answer("K08", NOT, words="nick")
    one.answer("K07")
    other = walked(Phone("okafor-lind", timedelta(hours=-3)), desk_now - timedelta(minutes=20))
    other.walk = one.walk
    for act in other.phone.acts:
        act["walk"] = one.walk
    other.answer("K08")

    sunde, maren = desk.phones["sunde"], desk.phones["okafor-lind"]
    now = json.loads(sunde.ask("/walk/token")[1])["now"]
    from datetime import datetime

    at = datetime.fromisoformat(now)
    # Out of order: the last answer first, then the whole, then the whole again, and a third time by another's log-in.
    last = one.phone.acts[-1]
    assert set(reply(sunde.hand_over(one.phone.sent(at, last))).values()) == {"kept"}
    assert sorted(reply(sunde.hand_over(one.phone.sent(at))).values()) == ["again", "kept", "kept"]
    assert set(reply(sunde.hand_over(one.phone.sent(at))).values()) == {"again"}
    # Late, and by a clock three hours behind.
    assert set(reply(maren.hand_over(other.phone.sent(at))).values()) == {"kept"}

    theirs = [part for part in parts() if part.device in (one.phone.device, other.phone.device)]
    mine = [act for part in theirs for act in part.answers]
    assert sorted((each.item, each.answer) for each in mine) == [
        ("K07", "as it should be"),
        ("K08", "as it should be"),
        ("K08", "not"),
    ]
    assert len({each.id for each in mine}) == 3
    skews = {part.device: part.skew_s for part in theirs}
    assert skews[one.phone.device] == pytest.approx(7 * 3600, abs=90)
    assert skews[other.phone.device] == pytest.approx(-3 * 3600, abs=90)
    assert verify(there).is_whole


def test_the_same_id_with_other_content_is_kept_beside_and_asks_a_person(desk, there):
    sunde = desk.phones["sunde"]
    one = walked(Phone("sunde"), clock.DEMO_START - timedelta(minutes=10))
    act = one.answer("K09", NOT, words="crack")
    assert set(reply(sunde.hand_over(one.phone.sent(clock.DEMO_START))).values()) == {"kept"}
    other = act | {"body": act["body"] | {"answer": "as it should be"}}
    assert reply(sunde.hand_over(one.phone.sent(clock.DEMO_START, other)))[act["id"]] == "clash"
    assert len(find_records(kinds=("clash",))) == 1


def test_a_phone_logged_out_is_told_so_as_data_and_hands_over_after(desk, there):
    sunde = desk.phones["sunde"]
    one = walked(Phone("sunde"), clock.DEMO_START - timedelta(minutes=5))
    kept = dict(sunde.cookies)
    sunde.cookies = {}
    status, page = sunde.ask("/walk/token")
    assert (status, "nothing kept on it is lost" in json.loads(page)["error"]) == (401, True)
    sunde.cookies = kept
    assert set(reply(sunde.hand_over(one.phone.sent(clock.DEMO_START))).values()) == {"kept"}


def test_opening_the_page_over_https_names_the_phone_and_handing_over_ends_it(desk, there):
    maren = desk.phones["okafor-lind"]
    assert maren.ask(f"/walk/at/{AIRCRAFT}/walk-round")[0] == 200
    device = maren.cookies["gyrewright_phone"]
    out = {each.out.id: each.out for each in phones.out_with(AIRCRAFT, LATER)}
    assert (out[device].holder, out[device].name) == ("okafor-lind", f"Maren's phone {device[:4]}")
    phone = Phone("okafor-lind", device=device)
    reply(maren.hand_over(phone.sent(clock.DEMO_START, open_walks=[(AIRCRAFT, "")])))
    clock.start(demo_at=LATER)
    assert device in {each.out.id for each in phones.out_with(AIRCRAFT, clock.now())}
    reply(maren.hand_over(phone.sent(clock.DEMO_START)))
    assert device not in {each.out.id for each in phones.out_with(AIRCRAFT, clock.now())}
