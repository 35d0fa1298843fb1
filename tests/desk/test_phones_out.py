"""A phone that is out with an aircraft's walk-round is named in the answer, and nothing but an answer ends that."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.phones import PhonesLost
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.phones.models import Pass, Phone
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import phones, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.erasing import erase_personal
from gyrewright.desk.services.records import new_id, record_act, withdraw
from gyrewright.errors import UnknownName
from gyrewright.finding import Verdict
from gyrewright.words.tell import tell

ONE, TWO = "5f0c1a2b-aaaa", "77aa0b1c-bbbb"
AIRCRAFT = "N0-101D"


def of_phones(aircraft=AIRCRAFT):
    """Return what the answers to the aircraft's first flight say of phones, as told: verdict and sentence."""
    at = clock.now()
    asked = next(each for each in state.flights(at).values() if each.aircraft == aircraft and each.is_open)
    said = tell(answered(asked, at).answer)
    return [(each.finding.verdict, each.sentence) for each in said.findings if each.finding.id == "inspection.phone"]


def is_clear(aircraft=AIRCRAFT):
    return [verdict for verdict, _ in of_phones(aircraft)] == [Verdict.GO]


def test_it_works(demo_day):
    assert is_clear()
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde", called="Tobiah's old phone")
    ((verdict, sentence),) = of_phones()
    assert verdict is Verdict.UNKNOWN
    assert "Tobiah's old phone (Tobiah Sunde) opened the walk-round at 06:1" in sentence
    assert is_clear("N0-202W")
    assert phones.report(phone=ONE, aircraft=AIRCRAFT, by="sunde", waiting=0, is_open=False) is False
    assert is_clear()
    assert find_records(kinds=("phone-done",))[0].act.how == "handed over"


def test_every_phone_is_named_until_each_has_reported(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde")
    phones.open_walk(phone=TWO, aircraft=AIRCRAFT, by="halloran")
    phones.open_walk(phone=TWO, aircraft=AIRCRAFT, by="halloran")
    assert len(find_records(kinds=("phone-opened",))) == 2
    assert [sentence.split(" (")[0] for _, sentence in of_phones()] == ["Tobiah's phone 5f0c", "Wren's phone 77aa"]
    phones.report(phone=ONE, aircraft=AIRCRAFT, by="sunde", waiting=0, is_open=False)
    assert [sentence.split(" (")[0] for _, sentence in of_phones()] == ["Wren's phone 77aa"]


@pytest.mark.parametrize("more", [{"waiting": 1}, {"is_open": True}, {"is_plain": True}])
def test_what_is_waiting_open_or_said_in_plain_http_ends_nothing(demo_day, more):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde")
    said = {"waiting": 0, "is_open": False} | more
    assert phones.report(phone=ONE, aircraft=AIRCRAFT, by="sunde", **said) is True
    assert not is_clear()


def test_its_holder_says_that_nothing_is_open_and_nobody_else_can(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde")
    for other in ("halloran", "okafor-lind", "arrowood"):
        with pytest.raises(NotAllowed, match="only whoever holds the phone"):
            phones.say_nothing_open(id=new_id(), phone=ONE, aircraft=AIRCRAFT, by=other)
    assert not is_clear()
    phones.say_nothing_open(id=new_id(), phone=ONE, aircraft=AIRCRAFT, by="sunde")
    assert is_clear()
    with pytest.raises(Refused, match="not out with this aircraft any more"):
        phones.say_nothing_open(id=new_id(), phone=ONE, aircraft=AIRCRAFT, by="sunde")


def test_for_a_lost_phone_somebody_entitled_looks_and_writes_what_at(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="halloran")
    given = {"id": new_id(), "phone": ONE, "aircraft": AIRCRAFT}
    with pytest.raises(NotAllowed, match="may assess a defect"):
        phones.say_looked_instead(**given, why="dropped in the creek; whole list walked again", by="halloran")
    with pytest.raises(Refused, match="write what became of the phone"):
        phones.say_looked_instead(**given, why="lost", by="arrowood")
    phones.say_looked_instead(**given, why="dropped in the creek; whole list walked again", by="arrowood")
    assert is_clear()


def test_an_opening_is_not_withdrawn(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde")
    opened = find_records(kinds=("phone-opened",))[0]
    with pytest.raises(Refused, match="ends when it hands over or its holder says so"):
        withdraw(id=new_id(), record=opened.id, by="sunde")


def test_a_phone_forgotten_is_off_the_list_and_what_it_has_open_stays(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde", called="X")
    now = clock.now()
    Pass.objects.create(digest="d", person="sunde", aircraft=AIRCRAFT, made_at=now, ends_at=now, phone=ONE)
    with pytest.raises(NotAllowed):
        phones.forget(phone=ONE, by="halloran", is_manager=False)
    phones.forget(phone=ONE, by="okafor-lind", is_manager=True)
    assert not Phone.objects.exists()
    assert not Pass.objects.exists()
    assert not is_clear()
    with pytest.raises(UnknownName):
        phones.forget(phone=ONE, by="sunde", is_manager=True)


def test_a_name_that_was_erased_leaves_the_phone_named_by_its_id(demo_day):
    phones.open_walk(phone=ONE, aircraft=AIRCRAFT, by="sunde", called="Tobiah's own")
    opened = find_records(kinds=("phone-opened",))[0]
    assert opened.personal.called == "Tobiah's own"
    erase_personal(id=new_id(), person="sunde", ground="asked for", by="okafor-lind")
    assert of_phones()[0][1].startswith("Phone 5f0c (")


def test_a_book_put_back_from_a_copy_does_not_know_which_phones_are_out(demo_day):
    lost = record_act(act=PhonesLost("ab" * 32), by="laptop").record
    ((verdict, sentence),) = of_phones()
    assert verdict is Verdict.UNKNOWN
    assert "which phones have opened the walk-round (the book was put back from a copy" in sentence
    assert phones.is_unknown(AIRCRAFT, clock.now()).startswith("the book was put back")
    with pytest.raises(NotAllowed):
        phones.say_all_asked(id=new_id(), aircraft=AIRCRAFT, by="halloran")
    kept = phones.say_all_asked(id=new_id(), aircraft=AIRCRAFT, by="arrowood")
    assert kept.record.act.lost == lost.id
    assert is_clear()
    assert not is_clear("N0-202W")
    record_act(act=PhonesLost("cd" * 32), by="laptop")
    assert not is_clear()


def test_nothing_was_lost_nothing_to_ask(demo_day):
    with pytest.raises(Refused, match="was not lost"):
        phones.say_all_asked(id=new_id(), aircraft=AIRCRAFT, by="arrowood")


def test_a_phone_without_a_name_of_its_own_is_refused(demo_day):
    for id in ("", "x", "a" * 65, "a b c d e f", "<script>alert(1)"):
        with pytest.raises(Refused, match="8 to 64 letters"):
            phones.hear(phone=id, person="sunde")


def test_when_each_phone_was_last_heard(demo_day):
    phones.hear(phone=ONE, person="sunde", waiting=3)
    first = Phone.objects.get(id=ONE).last_heard_at
    phones.hear(phone=TWO, person="halloran")
    clock.start(demo_at=clock.now() + timedelta(minutes=5))
    phones.hear(phone=ONE, person="sunde", called="Mine")
    assert [(each.id, each.called, each.waiting) for each in phones.known_phones()] == [
        (ONE, "Mine", 3),
        (TWO, "Wren's phone 77aa", None),
    ]
    assert Phone.objects.get(id=ONE).last_heard_at - first >= timedelta(minutes=5)
    assert date(2027, 6, 12) == first.date()
