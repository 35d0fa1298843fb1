"""What a request may be: its size, its host, its form, its method; and one sentence for each that is not taken."""

from __future__ import annotations

import http.client
import re
import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from gyrewright.desk.access import EVERYONE, OPEN, ROUTES
from gyrewright.desk.book.reading import head
from gyrewright.desk.services.records import new_id
from gyrewright.desk.urls import urlpatterns
from kit.desk_process import RunningDesk

MEGABYTE = 1_000_000
NOBODYS = ("walk-later",)
"""Routes that hold nothing of anybody: a browser may keep what they answer."""


def words(text):
    return " ".join(re.sub(r"<[^>]*>", " ", text).split())


@pytest.fixture
def served(_demo_folder, tmp_path):
    folder = tmp_path / "served"
    folder.mkdir()
    for name in ("book.sqlite3", "head"):
        shutil.copyfile(_demo_folder / name, folder / name)
    desk = RunningDesk(folder, is_demo=True).start()
    yield desk
    desk.stop()


def addresses():
    """Yield every route with an address of it."""
    given = {"id": new_id(), "name": "wind"}
    for each in urlpatterns:
        kwargs = {name: given.get(name, "x") for name in each.pattern.converters}
        yield each.name, reverse(each.name, kwargs=kwargs)


def test_an_upload_of_200_megabytes_is_refused_in_one_sentence_and_kept_nowhere(served):
    line = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
    line.putrequest("POST", "/records/clock")
    line.putheader("Content-Type", "multipart/form-data; boundary=b")
    line.putheader("Content-Length", str(200 * MEGABYTE))
    line.endheaders()
    free = shutil.disk_usage("/tmp").free
    for _ in range(200):
        line.send(b"x" * MEGABYTE)
    answer = line.getresponse()
    page = words(answer.read().decode())
    line.close()
    assert answer.status == 413
    assert "This is 200 MB and at most 12 MB are taken in at once; nothing was kept." in page
    assert free - shutil.disk_usage("/tmp").free < 100 * MEGABYTE
    for pid in _group(served.process.pid):
        peak = re.search(r"^VmHWM:\s+(\d+)", Path(f"/proc/{pid}/status").read_text(), re.MULTILINE)
        assert int(peak.group(1)) < 250_000, "the upload was held in memory"


def _group(leader):
    for each in Path("/proc").iterdir():
        if each.name.isdigit():
            parts = (each / "stat").read_text().rpartition(")")[2].split() if (each / "stat").exists() else []
            if parts and int(parts[2]) == leader:
                yield int(each.name)


@pytest.mark.parametrize("host", ["elsewhere.example", "127.0.0.1.elsewhere.example", "[::1]:80", "a b"])
def test_another_host_is_refused_in_one_sentence(demo_day, host):
    answer = Client(raise_request_exception=False).get(reverse("door"), headers={"host": host})
    assert answer.status_code == 400
    assert "open the desk by the address it printed" in words(answer.content.decode())


def test_every_act_without_its_forms_token_is_refused(demo_day):
    client = Client(SERVER_NAME="localhost", enforce_csrf_checks=True)
    page = client.get(reverse("door")).content.decode()
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page).group(1)
    client.post(reverse("demo-door"), {"person": "okafor-lind", "csrfmiddlewaretoken": token})
    before = head()
    changes = [name for name, row in ROUTES.items() if row.changes] + [*EVERYONE, "door", "demo-door"]
    tried = 0
    for name, address in addresses():
        if name in changes:
            tried += 1
            answer = client.post(address, {"id": new_id()})
            assert (name, answer.status_code) == (name, 403)
    assert tried == len(changes)
    assert head() == before
    assert client.get(reverse("today")).status_code == 200, "the session was ended without the form's token"


def test_asking_for_a_page_changes_nothing(demo_day):
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    client.post(reverse("demo-door"), {"person": "okafor-lind"})
    before = head()
    for name, address in addresses():
        assert client.get(address).status_code < 500, name
        assert client.head(address).status_code < 500, name
        assert client.put(address).status_code < 500, name
    assert head() == before


@pytest.mark.parametrize("name", [*OPEN, *EVERYONE, *ROUTES])
def test_every_answer_carries_what_holds_a_browser_to_this_desk(demo_day, name):
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    client.post(reverse("demo-door"), {"person": "okafor-lind"})
    answer = client.get(dict(addresses())[name])
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy.split("; ")
    assert "unsafe" not in policy
    assert "http:" not in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.headers["X-Frame-Options"] == "DENY"
    if name not in NOBODYS:
        assert "no-store" in answer.headers["Cache-Control"] or "no-cache" in answer.headers["Cache-Control"]


def test_a_form_with_too_many_or_too_large_fields_is_refused_in_one_sentence(demo_day):
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    client.post(reverse("demo-door"), {"person": "okafor-lind"})
    for fields in ({f"f{each}": "x" for each in range(1500)}, {"read_from": "x" * 3 * MEGABYTE}):
        encoded = "&".join(f"{key}={value}" for key, value in fields.items())
        answer = client.post(reverse("clock-confirm"), encoded, content_type="application/x-www-form-urlencoded")
        assert answer.status_code == 400
        assert 'role="alert"' in answer.content.decode()


def test_what_breaks_inside_is_said_in_one_sentence_without_a_trace(demo_day, monkeypatch):
    from gyrewright.desk.pages import today

    def breaks(*_):
        raise RuntimeError("secret inside")

    monkeypatch.setattr(today.state, "asking_at", breaks)
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    client.post(reverse("demo-door"), {"person": "okafor-lind"})
    answer = client.get(reverse("today"))
    assert answer.status_code == 500
    page = words(answer.content.decode())
    assert "The desk itself is at fault here" in page
    assert "secret inside" not in page


def test_an_address_that_leads_nowhere_says_so(demo_day):
    answer = Client(SERVER_NAME="localhost").get("/nowhere/%00")
    assert answer.status_code == 404
    assert "no page at this address" in words(answer.content.decode())


def test_a_session_ends_by_itself_and_for_good_when_one_goes(demo_day, monkeypatch):
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("demo-door"), {"person": "sunde"})
    name = next(each for each in client.cookies if not each.endswith("_form"))
    cookie = client.cookies[name]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"
    now = timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: now + timedelta(hours=11, minutes=59))
    assert client.get(reverse("today")).status_code == 200
    monkeypatch.setattr(timezone, "now", lambda: now + timedelta(hours=12, minutes=1))
    assert client.get(reverse("today")).status_code == 302
    monkeypatch.setattr(timezone, "now", lambda: now)
    client.post(reverse("demo-door"), {"person": "sunde"})
    stolen = client.cookies[name].value
    client.post(reverse("out"))
    other = Client(SERVER_NAME="localhost")
    other.cookies[name] = stolen
    assert other.get(reverse("today")).status_code == 302, "the session outlived its end"


def test_coming_in_makes_a_new_session(demo_day):
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("demo-door"), {"person": "sunde"})
    name = next(each for each in client.cookies if not each.endswith("_form"))
    first = client.cookies[name].value
    client.post(reverse("demo-door"), {"person": "halloran"})
    assert client.cookies[name].value != first
