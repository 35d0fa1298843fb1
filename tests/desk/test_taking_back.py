"""Taking back what was entered by mistake: by whoever entered it, or the manager; it stays readable."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from kit.desk import client_of, words

DUNLIN = "N0-101D"


def entered(person="sunde", shows="497.6 h"):
    given = {"reading.airframe": shows, "done_at": "2027-06-12T06:05"}
    client_of(person).post(reverse("upkeep-enter", args=[DUNLIN, "meters"]), given)
    return find_records(about=DUNLIN, kinds=("meter-read",))[-1]


def total():
    return state.machine(DUNLIN, clock.now()).aircraft.records.history.meters["airframe"].latest.total


def test_it_works(demo_day):
    record = entered()
    assert total() == 497.6
    client = client_of("sunde")
    page = reverse("record", args=[record.id])
    assert "It was entered by mistake" in words(client.get(page))
    answer = client.post(reverse("record-withdraw", args=[record.id]), {"why": "read off the wrong dial"})
    assert (answer.status_code, answer.url) == (302, page)
    assert total() == 487.3
    said = words(client.get(page))
    assert "This record no longer counts" in said
    assert "It was entered by mistake" not in said
    assert find_records(corrects=record.id)[0].personal.why == "read off the wrong dial"


def test_the_manager_may_and_others_do_not(demo_day):
    record = entered()
    answer = client_of("arrowood").post(reverse("record-withdraw", args=[record.id]), {"why": "x"})
    assert answer.status_code == 404
    assert client_of("okafor-lind").post(reverse("record-withdraw", args=[record.id]), {"why": "x"}).status_code == 302


def test_it_says_why_and_only_once(demo_day):
    record = entered()
    client = client_of("sunde")
    address = reverse("record-withdraw", args=[record.id])
    assert "Say why it was a mistake" in words(client.post(address, {"why": " "}), 400)
    assert client.post(address, {"why": "wrong dial"}).status_code == 302
    assert client.post(address, {"why": "wrong dial"}).status_code == 403


@pytest.mark.parametrize("kind", ["aircraft-defined", "flight-asked", "walk"])
def test_what_other_things_hang_on_is_not_taken_back(demo_day, kind):
    record = find_records(kinds=(kind,))[-1]
    client = client_of("okafor-lind")
    assert "It was entered by mistake" not in words(client.get(reverse("record", args=[record.id])))
    assert client.post(reverse("record-withdraw", args=[record.id]), {"why": "x"}).status_code == 403


def test_work_is_corrected_and_never_taken_back(demo_day):
    given = {"what": "Bolt", "areas": ["rotor"], "workers": ["arrowood"], "done_at": "2027-06-12T06:05"}
    client = client_of("arrowood")
    client.post(reverse("upkeep-enter", args=[DUNLIN, "work"]), given)
    work = find_records(about=DUNLIN, kinds=("work-done",))[-1]
    assert client.post(reverse("record-withdraw", args=[work.id]), {"why": "x"}).status_code == 403


def test_a_book_that_would_not_read_without_it_keeps_it(demo_day):
    client = client_of("arrowood")
    # The new engine meter's reading makes no sense without the exchange.
    exchange = {"meter": "engine", "old_shows": "487.4 h", "new_shows": "0.0 h", "done_at": "2027-06-12T06:05"}
    client.post(reverse("upkeep-enter", args=[DUNLIN, "meter-replaced"]), exchange)
    client.post(
        reverse("upkeep-enter", args=[DUNLIN, "meters"]), {"reading.engine": "0.4 h", "done_at": "2027-06-12T06:08"}
    )
    record = find_records(about=DUNLIN, kinds=("meter-replaced",))[-1]
    said = words(client.post(reverse("record-withdraw", args=[record.id]), {"why": "x"}), 400)
    assert "runs backwards" in said
