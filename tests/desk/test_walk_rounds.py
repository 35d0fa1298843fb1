"""Walk-round at the desk: what waits for a person, whose walk counts, what a walk says, signatures, a phone's file."""

from __future__ import annotations

import base64
import html
import io
import json
import re
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import padding
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from gyrewright.desk import clock
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.book.kinds.upkeep import DefectReported, Touched
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import pins, state, walks
from gyrewright.desk.services.erasing import keep_photo
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.records import new_id, record_act, settle_clash
from gyrewright.desk.services.walk_lists import adopt_items, list_of
from gyrewright.desk.services.walk_page import page_data
from gyrewright.desk.services.walk_today import look_hardest, rests
from gyrewright.desk.services.walk_told import said_of_pace, told_walk
from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict
from gyrewright.release.decide import decide
from kit.phone import Phone, Walker

AIRCRAFT = "N0-101D"


def walker(person="sunde", event="each flight", minutes=40, **more):
    now = clock.now()
    equipment = state.machine(AIRCRAFT, now).aircraft.definition.equipment
    return Walker(Phone(person), AIRCRAFT, now - timedelta(minutes=minutes), event).begin(equipment, **more)


def walked(person="sunde", event="each flight", minutes=40, but=None, signer="", **more):
    """Return a walk, made and handed over."""
    one = walker(person, event, minutes, **more)
    one.answer_all(**(but or {}))
    one.sign(signer)
    hand_over(one.phone.sent(clock.now()), by=person)
    return one


def walk_of(id):
    return walks.walk_with_id(id, clock.now())[1]


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-1500:]
    text = re.sub(r"<(style|script)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


# --- whose walk counts ---


def test_it_works(demo_day):
    one = walked()
    page = words(client_of("okafor-lind").get(reverse("walk")))
    assert "Walk round Dunlin" in page
    assert re.search(r"Each flight , Tobiah Sunde, \d\d:\d\d to \d\d:\d\d\. Everything as it should be\.", page)
    told = words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))
    assert "Nothing but what is as it should be." in told
    assert "Tobiah Sunde, 12 Jun 2027" in told


def test_a_release_is_refused_without_the_walk_and_counts_it_once_handed_over(demo_day):
    flight = next(each for each in state.flights(clock.now()).values() if each.aircraft == AIRCRAFT and each.is_open)
    record_act(act=Touched(what="refueled"), by="sunde", about=AIRCRAFT)
    clock.start(demo_at=clock.now() + timedelta(minutes=19.5))

    def verdicts():
        found = decide(state.question(flight, clock.now())).findings
        return {each.about: each.verdict for each in found if each.id == "inspection.walk"}

    assert verdicts()["each flight"] in (Verdict.UNKNOWN, Verdict.GO_IF)
    one = walker(flight.act.commander, minutes=19)
    one.answer_all()
    hand_over(one.phone.sent(clock.now()), by=one.phone.person)
    assert verdicts()["each flight"] in (Verdict.UNKNOWN, Verdict.GO_IF)
    one.sign()
    hand_over(one.phone.sent(clock.now()), by=one.phone.person)
    assert verdicts()["each flight"] is Verdict.GO


def test_a_signature_given_for_another_waits_until_that_person_confirms_it(demo_day):
    one = walked("halloran", signer="sunde")
    walk = walk_of(one.walk)
    assert (walk.by, walk.doubt) == (("sunde",), "unconfirmed")
    assert "is said to have signed" in words(client_of("halloran").get(reverse("walk")))
    mine = {"aircraft": AIRCRAFT, "walk": one.walk, "signature": one.phone.acts[-1]["id"], "mine": "yes"}
    assert client_of("halloran").post(reverse("walk-confirm"), mine).status_code == 403
    assert client_of("sunde").post(reverse("walk-confirm"), mine).status_code == 302
    assert walk_of(one.walk).doubt == ""
    assert "confirmed since" in words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))


def test_a_signature_that_its_person_denies_never_counts(demo_day):
    one = walked("halloran", signer="sunde")
    signature = one.phone.acts[-1]["id"]
    walks.confirm(id=new_id(), aircraft=AIRCRAFT, walk=one.walk, signature=signature, is_mine=False, by="sunde")
    assert "sunde" not in walk_of(one.walk).by
    assert walks.questions_of(AIRCRAFT) == []


def locked(pin, walk):
    """Lock a PIN as the page does, by the public key alone."""
    key = serialization.load_der_public_key(base64.b64decode(pins.public_key()))
    lock = padding.OAEP(mgf=padding.MGF1(algorithm=hashes.SHA256()), algorithm=hashes.SHA256(), label=None)
    return base64.b64encode(key.encrypt(f"{walk} {pin}".encode(), lock)).decode()


@pytest.mark.parametrize(("typed", "how"), [("271828", "pin"), ("271827", "said"), ("", "said")])
def test_ones_own_pin_signs_on_anothers_phone_and_a_wrong_one_only_says(demo_day, typed, how):
    pins.set_pin(account=Account.objects.get(person="sunde"), password="", pin="271828")
    one = walker("halloran")
    secret = {"secret": locked(typed, one.walk)} if typed else {}
    one._act("walk-signed", signer="sunde", **secret)
    reply = hand_over(one.phone.sent(clock.now()), by="halloran")
    (part,) = find_records(kinds=("walk-part",))
    assert part.act.signed[0].how == how
    assert ("until they confirm it" in reply["results"][-1]["says"]) is (how == "said")
    assert "271828" not in json.dumps([each.act.sent for each in find_records(kinds=("clash", "not-understood"))])


def test_a_pin_typed_for_one_walk_signs_no_other_and_too_many_wrong_ones_wait(demo_day):
    pins.set_pin(account=Account.objects.get(person="sunde"), password="", pin="271828")
    walk, other = new_id(), new_id()
    secret = locked("271828", walk)
    assert not pins.is_their_pin(person="sunde", walk=other, secret=secret)
    assert not pins.is_their_pin(person="halloran", walk=walk, secret=secret)
    assert not pins.is_their_pin(person="sunde", walk=walk, secret="bm9uc2Vuc2U=")
    assert pins.is_their_pin(person="sunde", walk=walk, secret=secret)
    for _ in range(settings.LOGIN_TRIES):
        assert not pins.is_their_pin(person="sunde", walk=walk, secret=locked("999999", walk))
    assert not pins.is_their_pin(person="sunde", walk=walk, secret=secret)


@pytest.mark.parametrize("pin", ["12345", "111111", "123456", "987654", "890123", "12345a", "1234567890123"])
def test_a_pin_that_everybody_tries_first_is_refused(demo_day, pin):
    client = client_of("sunde")
    assert client.post(reverse("own-pin"), {"pin": pin}).status_code == 400
    assert Account.objects.get(person="sunde").pin == ""
    assert "PIN is kept" in words(client.post(reverse("own-pin"), {"pin": "270693"}))


def test_the_signing_key_is_its_owners_alone(demo_day):
    pins._public.cache_clear()
    pins.public_key()
    assert (settings.DATA_DIR / pins.FILE).stat().st_mode & 0o077 == 0


def test_a_commander_takes_anothers_walk_over_only_after_looking_again_at_what_is_named(demo_day):
    one = walked("sunde")
    named = walks.spots_for(AIRCRAFT, walk_of(one.walk), clock.now())
    critical = {item.id for item in list_of(AIRCRAFT, "walk-round", clock.now()).items if item.critical}
    assert len(named) == 3
    assert set(named) <= critical
    client = client_of("okafor-lind")
    page = words(client.get(reverse("walk-one", args=[one.walk])))
    assert f"{named[0]} " in page
    assert "I looked again" in page
    refused = client.post(reverse("walk-accept", args=[one.walk]), {"seen": named[:2]})
    assert f"Look again at {named[2]} first" in words(refused, 400)
    assert client.post(reverse("walk-accept", args=[one.walk]), {"seen": named}).status_code == 302
    assert [(each.by, each.spots) for each in walk_of(one.walk).accepted] == [("okafor-lind", named)]
    with pytest.raises(Refused, match="your own"):
        walks.accept(id=new_id(), walk=one.walk, seen=named, by="sunde")
    with pytest.raises(NotAllowed):
        walks.accept(id=new_id(), walk=one.walk, seen=named, by="halloran")


# --- two truths ---


def doubled(second="not"):
    one = walker()
    one.answer_all()
    other = Walker(Phone("okafor-lind"), AIRCRAFT, one.at, "each flight", one.walk)
    other.begin(state.machine(AIRCRAFT, clock.now()).aircraft.definition.equipment)
    other.answer("L01", second, words="a line by the block")
    one.sign()
    hand_over(other.phone.sent(clock.now()), by="okafor-lind")
    hand_over(one.phone.sent(clock.now()), by="sunde")
    (question,) = walks.questions_of(AIRCRAFT)
    better, worse = sorted(question.answers, key=lambda each: each.act.answer != "as it should be")
    return one, better.act.id, worse.act.id


def test_two_answers_are_one_question_and_only_who_found_something_or_may_assess_says_it_is_nothing(demo_day):
    one, better, worse = doubled()
    page = words(client_of("sunde").get(reverse("walk")))
    assert "Two phones say different things" in page
    assert "a line by the block" in page
    given = {"aircraft": AIRCRAFT, "walk": one.walk, "item": "L01", "true": better}
    assert client_of("sunde").post(reverse("walk-settle"), given).status_code == 403
    assert walk_of(one.walk).doubt == "in_question"
    assert client_of("arrowood").post(reverse("walk-settle"), given).status_code == 302
    assert walks.questions_of(AIRCRAFT) == []
    walk = walk_of(one.walk)
    assert (walk.doubt, walk.answers) == ("", ())
    assert client_of("arrowood").post(reverse("walk-settle"), given).status_code == 400
    assert worse != better


def test_settled_for_the_worse_it_is_found(demo_day):
    one, _, worse = doubled()
    walks.settle(id=new_id(), aircraft=AIRCRAFT, walk=one.walk, item="L01", true=worse, by="sunde")
    walk = walk_of(one.walk)
    assert walk.doubt == ""
    assert [(each.item, each.answer) for each in walk.answers] == [("L01", "not")]


@pytest.mark.parametrize(("true", "left"), [("first", 0), ("second", 1), ("neither", 0)])
def test_a_clash_is_settled_for_the_first_the_second_or_neither(demo_day, true, left):
    one = walked()
    act = next(each for each in one.phone.acts if each["body"].get("item") == "K08")
    hand_over(one.phone.sent(clock.now(), {**act, "body": {**act["body"], "answer": "not"}}), by="sunde")
    (question,) = walks.questions_of(AIRCRAFT)
    assert question.kind == "clash"
    settle_clash(id=new_id(), clash=question.clash.id, true=true, by="okafor-lind")
    walk = walk_of(one.walk)
    assert len(walk.answers) == left
    assert walk.complete is (true != "neither")
    assert walks.questions_of(AIRCRAFT) == []


# --- what a walk says ---


def test_readings_are_told_against_the_definition_with_those_before(demo_day):
    walked(minutes=300, but={"K20": {"readings": {"pins": "7"}}})
    one = walked(but={"K20": {"readings": {"pins": "6"}}, "F07": {"readings": {"gap.1": "52 mm"}}})
    page = words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))
    assert "K20 pins counted 6 The definition says 7 7 12 Jun" in page
    assert "F07 tip to keel, 1 52 mm Nothing to hold it against" in page


def test_what_the_walk_found_stands_on_top_with_its_class_and_a_small_one_waits_for_a_judge(demo_day):
    one = walked(but={"L04": {"answer": "not", "words": "a nick of 1 mm", "small": True}, "B08": "could not look"})
    maintainer = client_of("arrowood")
    page = words(maintainer.get(reverse("walk-one", args=[one.walk])))
    assert "L04 Leading edge : not as it should be, “a nick of 1 mm”." in page
    assert "It grounds the aircraft until it is assessed." in page
    assert re.search(r"B08 [\w ,]+ : could not look", page)
    judge = {"item": "L04", "may": "yes", "reason": "blended and within the book"}
    assert client_of("sunde").post(reverse("walk-judge", args=[one.walk]), judge).status_code == 403
    assert maintainer.post(reverse("walk-judge", args=[one.walk]), {**judge, "reason": "ok"}).status_code == 400
    assert maintainer.post(reverse("walk-judge", args=[one.walk]), {**judge, "item": "K08"}).status_code == 400
    assert maintainer.post(reverse("walk-judge", args=[one.walk]), judge).status_code == 302
    judged = walk_of(one.walk).answers[0].judged
    assert (judged.by, judged.may) == ("arrowood", True)


def test_a_quick_walk_is_told_as_facts_to_its_walker_and_teachers_and_to_nobody_else(demo_day):
    for day in range(1, 4):
        walked(minutes=day * 24 * 60)
    one = walker(minutes=30)
    for item in one.asked:
        one.answer(item.id)
        one.at -= timedelta(seconds=9)
    one.sign()
    hand_over(one.phone.sent(clock.now()), by="sunde")
    told = told_walk(AIRCRAFT, walk_of(one.walk), clock.now())
    facts = " ".join(said_of_pace(told.paces[0], "Tobiah Sunde", state.zone()))
    assert re.search(r"Tobiah Sunde took 2 min, breaks taken off\. Usual for Tobiah Sunde: \d+ min", facts)
    assert "From one answer to the next 1 s in the middle, usually 10 s." in facts
    assert "111 of 111 answers came within 2 s of the one before; the most in a row 111, Z02 to M05." in facts
    for person, sees in (("sunde", True), ("okafor-lind", True), ("arrowood", False)):
        page = words(client_of(person).get(reverse("walk-one", args=[one.walk])))
        assert ("answers came within 2 s" in page) is sees, person


def test_what_was_answered_before_a_restart_is_shown_as_history(demo_day):
    one = walker()
    one.answer("K05", "not", words="hiss")
    one.answer("K08")
    one.interrupted("away", restarted="zone", minutes=4, zone="K", again=["K05", "K08"])
    hand_over(one.phone.sent(clock.now()), by="sunde")
    page = words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))
    assert "Begun again: zone" in page
    assert "kept as history and counted for nothing: K05 not, K08 as it should be" in page
    assert "K05" in page.split("What was found")[1].split("Interruptions")[0]


def test_the_clock_of_a_phone_is_told_where_it_was_wrong(demo_day):
    one = Walker(Phone("sunde", timedelta(hours=-3)), AIRCRAFT, clock.now() - timedelta(minutes=20), "turnaround")
    one.begin(state.machine(AIRCRAFT, clock.now()).aircraft.definition.equipment)
    hand_over(one.phone.sent(clock.now()), by="sunde")
    assert "was 3.0 h behind" in words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))


def test_a_walk_by_an_older_list_is_kept_and_does_not_count_until_the_rest_is_looked_at(demo_day):
    one = walker()
    body = one.phone.acts[0]["body"]
    body |= {"asked": [item for item in body["asked"] if item != "L11"], "fingerprint": "0" * 64, "revision": 0}
    for item in one.asked:
        if item.id != "L11":
            one.answer(item.id)
    one.sign()
    reply = hand_over(one.phone.sent(clock.now()), by="sunde")
    assert "the list that it was walked by is not known here" in reply["results"][1]["says"]
    walk = walk_of(one.walk)
    assert (walk.complete, walk.doubt) == (True, "old_list")
    assert "The list now asks also for L11" in words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))


def test_another_persons_walk_is_shown_to_nobody_without_reach(demo_day):
    one = walked("sunde")
    assert client_of("castellane").get(reverse("walk-one", args=[one.walk])).status_code == 404


# --- files ---


def test_a_phones_saved_file_is_taken_in_once_whoever_brings_it(demo_day):
    one = walker("halloran")
    one.answer_all()
    one.sign()
    content = one.phone.sent(clock.now() - timedelta(hours=2), skew_s=0)

    def bring(person):
        file = SimpleUploadedFile("walk-round.json", content, content_type="application/json")
        return words(client_of(person).post(reverse("walk-file"), {"file": file}))

    count = len(one.phone.acts)
    assert f"{count} acts in the file: {count} new, 0 kept before." in bring("okafor-lind")
    assert f"{count} acts in the file: 0 new, {count} kept before." in bring("halloran")
    assert walk_of(one.walk).doubt == "unconfirmed"


@pytest.mark.parametrize("content", [b"", b"not json", b"{}", b"\x89PNG"])
def test_a_file_that_no_phone_saved_is_refused(demo_day, content):
    file = SimpleUploadedFile("x.json", content)
    page = words(client_of("sunde").post(reverse("walk-file"), {"file": file}), 400)
    assert "take the file that the phone saved" in page or "choose the file" in page


# --- the aircraft's own ---

OWN = """
kind = "list items"
list = "walk-round"
title = "Flight manual, section 4"
[[item]]
id = "K-1"
follows = "K08"
name = "Teeter damper"
how = ["touch"]
class = "G"
when = ["each flight"]
do = "Push the rod with one finger."
right = "It gives, and comes back."
wrong = "A rod that stays in."
why = "Without it the blades knock at low rotor speed."
page = "4-7"
"""


def test_items_of_the_aircrafts_own_manual_are_asked_behind_the_one_they_follow(demo_day):
    adopt_items(id=new_id(), aircraft=AIRCRAFT, text=OWN, by="okafor-lind")
    ids = [item.id for item in list_of(AIRCRAFT, "walk-round", clock.now()).items]
    assert ids[ids.index("K08") + 1] == "K-1"
    assert "K-1" in page_data(AIRCRAFT, "walk-round", clock.now()).data["items"]["id"]
    assert "K-1" not in [item.id for item in list_of("N0-202W", "walk-round", clock.now()).items]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (('follows = "K08"', 'follows = "Y08"'), "'Y08' is no item of the list"),
        (('list = "walk-round"', 'list = "walk"'), "list"),
        (('class = "G"', 'class = "X"'), "class"),
    ],
)
def test_own_items_that_fit_nowhere_are_refused_before_they_are_kept(demo_day, change, says):
    with pytest.raises(DefinitionError, match=says):
        adopt_items(id=new_id(), aircraft=AIRCRAFT, text=OWN.replace(*change), by="okafor-lind")
    assert find_records(kinds=("list-items-adopted",)) == []


def test_what_looks_odd_and_is_right_is_said_by_who_may_assess_and_taken_away_again(demo_day):
    given = {"item": "d08", "words": "The third bolt is shorter: it carries the caliper"}
    assert client_of("sunde").post(reverse("walk-odd", args=[AIRCRAFT]), given).status_code == 403
    maintainer = client_of("arrowood")
    assert maintainer.post(reverse("walk-odd", args=[AIRCRAFT]), given).status_code == 302
    page = client_of("sunde").get(reverse("walk-page", args=[AIRCRAFT, "walk-round"])).content.decode()
    data = json.loads(re.search(r'id="data">(.*?)</script>', page, re.S)[1])
    assert data["odd"] == {"D08": [given["words"]]}
    assert maintainer.post(reverse("walk-odd", args=[AIRCRAFT]), {**given, "words": ""}).status_code == 302
    assert "The third bolt" not in words(maintainer.get(reverse("walk")))
    assert maintainer.post(reverse("walk-odd", args=[AIRCRAFT]), {**given, "item": "Q99"}).status_code == 400


def test_ballast_counted_on_the_walk_is_what_the_load_sheet_goes_by(demo_day):
    equipment = state.machine("N0-303S", clock.now()).aircraft.definition.equipment
    one = Walker(Phone("sunde"), "N0-303S", clock.now() - timedelta(minutes=9), "each flight").begin(equipment)
    assert "B10" in [item.id for item in one.asked]
    one.answer("B10", readings={"ballast": "10 kg"})
    for _ in range(2):
        hand_over(one.phone.sent(clock.now()), by="sunde")
    seen = [each.act.ballast for each in find_records(about="N0-303S", kinds=("touched",)) if each.act.ballast]
    assert seen == ["10 kg"]


def test_what_looks_odd_comes_with_its_photo_to_whoever_walks_and_no_other_photo_does(demo_day):
    out = io.BytesIO()
    Image.new("RGB", (60, 40), (10, 90, 200)).save(out, "JPEG")
    file = SimpleUploadedFile("bolt.jpg", out.getvalue(), content_type="image/jpeg")
    given = {"item": "D08", "words": "The third bolt is shorter", "photo": file}
    assert client_of("arrowood").post(reverse("walk-odd", args=[AIRCRAFT]), given).status_code == 302
    student = client_of("castellane")
    page = student.get(reverse("walk-page", args=[AIRCRAFT, "walk-round"])).content.decode()
    (_, address) = json.loads(re.search(r'id="data">(.*?)</script>', page, re.S)[1])["odd"]["D08"]
    assert student.get(address)["Content-Type"] == "image/jpeg"
    other = keep_photo(content=out.getvalue(), person="sunde")
    assert student.get(reverse("walk-odd-photo", args=[other])).status_code == 404


def test_who_reads_and_who_touches_are_both_kept(demo_day):
    one = walker("sunde", pair="doer halloran")
    one.answer("Z01", caller="sunde", doer="halloran")
    hand_over(one.phone.sent(clock.now()), by="sunde")
    found = walks.phone_walk(AIRCRAFT, one.walk)
    (answer,) = found.live["Z01"]
    assert (answer.person, answer.act.caller, answer.by) == ("halloran", "sunde", "sunde")


def test_a_walk_begun_after_a_trailer_says_so_to_every_earlier_walk(demo_day):
    one = walker("sunde", also=["after transport"])
    hand_over(one.phone.sent(clock.now()), by="sunde")
    assert [each.act.what for each in find_records(kinds=("touched",)) if each.by == "sunde"] == ["transported"]


def test_a_walk_too_old_to_be_folded_in_is_still_read_by_itself(demo_day):
    one = walked("sunde")
    clock.start(demo_at=clock.now() + timedelta(days=70))
    assert one.walk not in [each.id for each in walks.walks_of(AIRCRAFT, clock.now())]
    assert walk_of(one.walk).complete
    assert "Nothing but what is as it should be." in words(client_of("sunde").get(reverse("walk-one", args=[one.walk])))


def test_what_was_found_is_folded_in_however_old(demo_day):
    one = walked("sunde", but={"K08": "not"})
    clock.start(demo_at=clock.now() + timedelta(days=70))
    assert [each.item for each in walk_of(one.walk).answers] == ["K08"]
    assert one.walk in [each.id for each in walks.walks_of(AIRCRAFT, clock.now())]


def test_the_page_says_what_to_look_hardest_at_and_why(demo_day):
    walk_list = list_of("N0-303S", "walk-round", clock.now())
    days = [clock.now() + timedelta(days=day) for day in range(60)]
    turns = {look_hardest("N0-303S", walk_list, day)["item"] for day in days[31:]}
    assert len(turns) > 20
    act = DefectReported(item="G04", words="chipped paint on top")
    record_act(act=act, by="sunde", about="N0-303S")
    chosen = look_hardest("N0-303S", walk_list, clock.now())
    assert chosen["item"] == "G04"
    assert "chipped paint on top" in chosen["why"]


def test_a_warm_engine_is_not_opened_before_its_time(demo_day):
    record_act(act=Touched(what="flown"), by="sunde", about=AIRCRAFT)
    text = state.machine(AIRCRAFT, clock.now()).tables.definition
    assert "engine_cooling" not in text["card"]
    assert rests(AIRCRAFT, clock.now()) == {}
    (defined,) = find_records(about=AIRCRAFT, kinds=("aircraft-defined",))
    cooling = defined.act.text.replace("[card]\n", '[card]\nengine_cooling = "2 h"\n', 1)
    record_act(act=replace(defined.act, text=cooling), by="sunde", about=AIRCRAFT, corrects=defined.id)
    until = datetime.fromisoformat(rests(AIRCRAFT, clock.now())["engine_cooling"]["until"])
    assert abs(until - clock.now() - timedelta(hours=2)) < timedelta(minutes=1)


@pytest.mark.parametrize(
    ("spots", "answer", "says"),
    [
        ("named", "as it should be", ""),
        ("fewer", "as it should be", "look again at"),
        ("named", "not", "not every item named for it was answered as it should be"),
        ("named", "", "not every item named for it was answered as it should be"),
    ],
)
def test_a_walk_is_taken_over_on_a_phone_only_with_what_was_looked_at_again_on_it(demo_day, spots, answer, says):
    one = walked("sunde")
    named = walks.spots_for(AIRCRAFT, walk_of(one.walk), clock.now())
    seen = named if spots == "named" else named[:1]
    other = Walker(Phone("okafor-lind"), AIRCRAFT, clock.now() - timedelta(minutes=2), "each flight", one.walk)
    for item in seen if answer else ():
        other.answer(item, answer)
    other._act("walk-accepted", spots=list(seen))
    other.phone.acts[-1]["body"]["walk"] = one.walk
    for _ in range(2):
        reply = hand_over(other.phone.sent(clock.now()), by="okafor-lind")
    assert says in reply["results"][-1]["says"]
    assert len(walk_of(one.walk).accepted) == (0 if says else 1)
