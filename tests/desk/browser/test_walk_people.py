"""People round one phone: a photo, somebody else's PIN, a commander's spot checks; and every list opens and begins."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from gyrewright.desk.accounts.models import Account
from gyrewright.desk.book.models import Photo
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.fold.walks import phone_walks
from gyrewright.desk.services import pins
from kit.browser import PHONE
from kit.walking import Walking

AIRCRAFT = "N0-101D"
PIN = "271828"


def give_pin(_folder):
    pins.set_pin(account=Account.objects.get(person="okafor-lind"), password="", pin=PIN)


@pytest.fixture(scope="module")
def desk(make_desk):
    return make_desk(prepare=give_pin)


@pytest.fixture
def phone(visitor, desk):
    def give(person="sunde", walk_list="walk-round", **more):
        one = visitor(desk, person, width=PHONE, **more)
        one.allow(r"ERR_|Failed to")
        return Walking(one).open(walk_list=walk_list)

    return give


@pytest.fixture
def walks(at_folder, desk):
    def read():
        with at_folder(desk.folder, is_demo=True):
            return phone_walks(find_records(about=AIRCRAFT))

    return read


def last_walk(one):
    return one.page.evaluate("walk.walk")


def large_photo():
    """Return a photo as a phone's camera makes it: some megabytes, more pixels than anybody needs."""
    noise = Image.effect_noise((4000, 3000), 60).convert("RGB")
    out = io.BytesIO()
    noise.save(out, "JPEG", quality=92)
    return out.getvalue()


def test_a_photo_is_made_small_on_the_phone_kept_with_no_network_and_handed_over_once(phone, walks, at_folder, desk):
    one = phone()
    one.page.context.set_offline(True)
    one.begin()
    one.touch(".answers .not")
    one.page.wait_for_selector("#words")
    one.page.locator("#words").fill("a puddle under the tank")
    photo = large_photo()
    one.page.locator("#camera").set_input_files({"name": "p.jpg", "mimeType": "image/jpeg", "buffer": photo})
    one.page.wait_for_selector("text=1 to keep")
    one.button("Next")
    one.until("actsWaiting().then((all) => all.some((act) => act.photos.length))")
    sizes = one.page.evaluate(
        "inStore('readonly', ({ photos }) => asked(photos.getAll())).then((all) => all.map((each) => each.byteLength))"
    )
    assert len(sizes) == 1
    assert sizes[0] < len(photo) / 2
    one.page.reload()
    one.page.wait_for_selector(".marks")
    one.page.context.set_offline(False)
    one.wait_handed_over()
    (answer,) = walks()[last_walk(one)].live["Z01"]
    assert (answer.act.answer, answer.act.words, len(answer.act.photos)) == ("not", "a puddle under the tank", 1)
    with at_folder(desk.folder, is_demo=True):
        (kept,) = Photo.objects.all()
        picture = Image.open(io.BytesIO(bytes(kept.jpeg)))
    assert max(picture.size) == 1600
    assert one.page.evaluate("inStore('readonly', ({ photos }) => asked(photos.count()))") == 0


def test_what_is_no_photo_is_said_and_the_answer_stays(phone):
    one = phone()
    one.begin()
    one.touch(".answers .not")
    one.page.wait_for_selector("#camera")
    one.page.locator("#camera").set_input_files({"name": "p.jpg", "mimeType": "image/jpeg", "buffer": b"no photo"})
    one.until("document.getElementById('trouble').textContent !== ''")
    assert "cannot read that photo" in one.trouble
    assert one.page.evaluate("walk.state.done") == 1


@pytest.mark.parametrize(("typed", "how"), [(PIN, "pin"), ("314159", "said"), ("", "said")])
def test_somebody_else_signs_with_a_pin_of_their_own_that_lies_on_the_phone_in_no_form(phone, walks, typed, how):
    one = phone("halloran")
    one.begin()
    one.run_to()
    one.page.context.set_offline(True)
    one.button("Sign")
    one.page.get_by_label("Somebody else signs here").select_option(label="Maren Okafor-Lind")
    one.page.get_by_label(re.compile("^Their own PIN")).fill(typed)
    one.button("They sign")
    one.until("walk.state.signed.length === 1")
    assert PIN not in str(one.acts())
    one.page.context.set_offline(False)
    one.wait_handed_over()
    (signed,) = walks()[last_walk(one)].signed
    assert (signed.act.signer, signed.act.how, signed.by) == ("okafor-lind", how, "halloran")


def test_a_commander_accepts_anothers_walk_after_looking_again_at_what_is_named(phone, walks, at_folder, desk):
    one = phone("sunde")
    one.begin("each flight")
    one.run_to()
    one.sign()
    one.wait_handed_over()
    walk = last_walk(one)
    other = phone("okafor-lind")
    other.button(re.compile("^Accept the walk of Tobiah Sunde"))
    other.page.wait_for_selector(".marks")
    names = other.page.evaluate("walk.spots.map((item) => item.id)")
    assert len(names) == 3
    for name in names:
        assert other.item == name
        other.answer()
    other.page.wait_for_selector("text=looked at again")
    other.button(re.compile("^Accept"))
    other.wait_handed_over()
    with at_folder(desk.folder, is_demo=True):
        accepted = [each for each in find_records(about=AIRCRAFT, kinds=("walk-accepted",)) if each.act.walk == walk]
    assert [(each.by, list(each.act.spots)) for each in accepted] == [("okafor-lind", names)]
    assert walks()[walk].double == ()


@pytest.mark.parametrize("walk_list", ["start", "post-flight", "after-maintenance", "season", "special"])
def test_every_other_list_opens_begins_and_asks(phone, walk_list):
    one = phone("arrowood", walk_list)
    toggles = one.page.locator(".field .word")
    if toggles.count():
        one.touch(toggles.first)
    one.button("Begin")
    one.page.wait_for_selector(".marks")
    one.answer("could not look")
    one.page.wait_for_selector(".marks")
    assert one.count[0] == 1
