"""The phone's page as it is served: what it weighs, what its policy lets in, what no text in it can break."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.pages import phone_page
from gyrewright.desk.services import walks
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.walk_lists import lists_of

MOST_BYTES = 25 * 1024
FLEET = ("N0-101D", "N0-202W", "N0-303S")
LISTS = ("special", "after-maintenance", "season", "walk-round", "start", "post-flight")


@pytest.fixture
def client(demo_day):
    made = Client(SERVER_NAME="localhost")
    made.post(reverse("demo-door"), {"person": "sunde"})
    return made


def data_of(response):
    return json.loads(re.search(r'id="data">(.*?)</script>', response.content.decode(), re.S)[1])


@pytest.mark.parametrize("walk_list", LISTS)
def test_a_page_weighs_at_most_twenty_five_kilobytes(client, walk_list):
    for aircraft in FLEET:
        page = client.get(reverse("walk-page", args=[aircraft, walk_list]))
        assert len(gzip.compress(page.content, 9)) <= MOST_BYTES, aircraft


def test_every_list_has_its_page_and_an_unknown_one_has_none(client):
    assert {each.id for each in lists_of("N0-101D", clock.now())} == set(LISTS)
    assert client.get(reverse("walk-page", args=["N0-101D", "no-list"])).status_code == 404
    assert client.get(reverse("walk-page", args=["N0-999X", "walk-round"])).status_code == 404


def test_the_policy_lets_in_the_pages_own_parts_by_their_hash_and_nothing_inline_beside_them(client):
    page = client.get(reverse("walk-page", args=["N0-101D", "walk-round"]))
    policy = page["Content-Security-Policy"]
    text = page.content.decode()
    for name, element in (("script", phone_page.script_element()), ("style", phone_page.style_element())):
        assert str(element) in text
        inside = re.search(rf"<{name}>(.*)</{name}>", str(element), re.S)[1]
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy
    assert "unsafe" not in policy
    assert policy.startswith("default-src 'none'")
    assert re.findall(r"<script[^>]*>", text) == ['<script type="application/json" id="data">', "<script>"]


def test_no_text_of_anybody_ends_the_data_block(client):
    hostile = "</script><script>alert(1)</script><!-- & \u2028 end"
    walks.say_odd_but_right(id=new_id(), aircraft="N0-101D", item="K08", words=hostile, by="arrowood")
    page = client.get(reverse("walk-page", args=["N0-101D", "walk-round"]))
    assert data_of(page)["odd"]["K08"] == [hostile]
    assert page.content.decode().count("<script>") == 1


def test_nothing_is_answered_beforehand_and_no_earlier_reading_is_in_the_page(client):
    data = data_of(client.get(reverse("walk-page", args=["N0-101D", "walk-round"])))
    assert "last" not in data
    assert "earlier" not in data
    assert not {"answer", "given", "chosen"} & set(data["items"])


def test_the_list_is_kept_as_it_was_shown_and_only_once(client):
    for _ in range(2):
        client.get(reverse("walk-page", args=["N0-101D", "start"]))
    kept = [each.act for each in find_records(kinds=("list-kept",)) if each.act.list == "start"]
    assert len(kept) == 1
    assert json.loads(kept[0].text)["id"] == "start"


def test_the_worker_is_asked_for_anew_each_time_and_the_later_script_is_kept_for_good(client):
    assert client.get(reverse("walk-worker"))["Cache-Control"] == "no-cache"
    later = client.get(reverse("walk-later"))
    assert "immutable" in later["Cache-Control"]
    assert (
        phone_page.later_version()
        in data_of(client.get(reverse("walk-page", args=["N0-101D", "start"])))["addresses"]["later"]
    )


def test_go_is_a_word_nowhere_on_the_phone():
    for text in (phone_page.script(), phone_page.later_script()):
        assert not re.search(r"\bGO\b|GO-IF", text)


def test_the_scripts_have_no_comment_left_and_the_sources_say_what_they_are():
    assert not re.search(r"^\s*//", phone_page.script(), re.M)
    for folder, names in (("first", phone_page.FIRST), ("later", phone_page.LATER)):
        for name in names:
            source = (phone_page._FOLDER / folder / f"{name}.js").read_text(encoding="utf-8")
            assert source.startswith("// "), name


def test_a_demonstration_says_so_on_the_phone_too(client):
    notice = data_of(client.get(reverse("walk-page", args=["N0-101D", "walk-round"])))["notice"]
    assert notice.startswith("Demonstration: invented people")
    assert notice.endswith("local law and licensed people decide.")
