"""`--phones`: three listeners as one family, each with hosts, cookies and pages of its own."""

from __future__ import annotations

import html
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.parse
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from gyrewright.desk.phones.authority import authority_in, fingerprint_of, leaf_in, make_leaf
from kit.desk_process import plain_environ
from kit.phones_desk import NAME, PhonesDesk, copied, passing_word

LONGEST_S = 20.0


@pytest.fixture(scope="module")
def folder(_demo_folder, tmp_path_factory):
    return copied(_demo_folder, tmp_path_factory.mktemp("phones") / "data")


@pytest.fixture(scope="module")
def sundes(folder):
    return passing_word(folder, "sunde")


@pytest.fixture(scope="module")
def desk(folder, sundes):
    made = PhonesDesk(folder).start()
    yield made
    assert made.stop() == 0, made.said


def gone(pids):
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        stats = [Path(f"/proc/{pid}/stat") for pid in pids]
        if not [each for each in stats if each.exists() and " Z " not in each.read_text()]:
            return True
        time.sleep(0.02)
    return False


def words(page):
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_it_says_where_each_kind_of_phone_goes(desk):
    assert f"phones that trust its authority: https://{NAME}:{desk.https}/" in desk.said
    assert f"http://{NAME}:{desk.plain}/" in desk.said


def test_a_phone_that_trusts_the_authority_meets_the_door_in_https(desk):
    status, headers, page = desk.ask("https", "/door")
    given = dict(headers)
    assert status == 200
    assert "Password" in page
    assert given["strict-transport-security"] == "max-age=7776000"
    assert given["set-cookie"].strip().startswith("__Host-gyrewright_demo_form=")
    assert "Secure" in given["set-cookie"]
    assert "demo-door" not in page
    assert "this machine alone" not in page


def test_whoever_does_not_trust_it_is_refused_by_their_own_browser(desk):
    with (
        pytest.raises(ssl.SSLCertVerificationError),
        socket.create_connection(("127.0.0.1", desk.https)) as line,
        ssl.create_default_context().wrap_socket(line, server_hostname=NAME),
    ):
        pass


@pytest.mark.parametrize(
    ("where", "host", "status"),
    [
        ("https", NAME, 200),
        ("https", f"{NAME}:9", 200),
        ("https", "localhost", 400),
        ("https", "127.0.0.1", 400),
        ("https", "evil.example", 400),
        ("plain", NAME, 302),
        ("plain", "localhost", 400),
        ("plain", "evil.example", 400),
        ("here", "127.0.0.1", 200),
        ("here", NAME, 400),
    ],
)
def test_each_listener_answers_to_its_own_hosts(desk, where, host, status):
    path = "/" if where == "plain" else "/door"
    assert desk.ask(where, path, host=host)[0] == status


@pytest.mark.parametrize("path", ["/demo-door", "/phones/", "/phones/forget", "/phones/asked"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_what_belongs_to_the_laptop_is_not_answered_to_phones(desk, path, method):
    for where in ("https", "plain"):
        status, _, page = desk.ask(where, path, method=method, body="person=sunde" if method == "POST" else None)
        assert status == 403, page
    assert desk.ask("here", "/demo-door", method="GET", host="127.0.0.1")[0] == 405


@pytest.mark.parametrize("path", ["/door", "/today/", "/records/", "/accounts/", "/own-password", "/flight/"])
def test_plain_http_shows_no_page_of_the_desk(desk, path):
    status, headers, page = desk.ask("plain", path)
    assert status == 403
    assert "can be read by anybody in the network" in words(page)
    assert "set-cookie" not in dict(headers)


def test_plain_http_gives_out_the_authority_and_never_its_key(desk):
    assert dict(desk.ask("plain", "/")[1])["location"] == "/phone/"
    status, headers, page = desk.ask("plain", "/phone/")
    assert status == 200
    assert "set-cookie" not in dict(headers)
    assert "on the laptop's screen" in words(page)
    assert "do not go on past the warning" in words(page)
    status, headers, _ = desk.ask("plain", "/phone/authority.crt")
    assert (status, dict(headers)["content-type"]) == (200, "application/x-x509-ca-cert")
    for path in ("/phones/authority.key", "/phone/authority.key", "/static/../phones/authority.key", "/phone/desk.key"):
        status, _, page = desk.ask("plain", path)
        assert status in (403, 404)
        assert "PRIVATE KEY" not in page


def test_the_file_is_the_authority_whose_fingerprint_the_laptop_shows(desk):
    import urllib.request

    asked = urllib.request.Request(
        f"http://127.0.0.1:{desk.plain}/phone/authority.crt", headers={"Host": f"{NAME}:{desk.plain}"}
    )
    with urllib.request.urlopen(asked, timeout=LONGEST_S) as answer:
        given = x509.load_der_x509_certificate(answer.read())
    assert given == authority_in(desk.files)
    shown = words(_phones_page(desk))
    assert fingerprint_of(given).upper() in shown.replace(" ", "")


def _phones_page(desk):
    _, headers, page = desk.ask("here", "/door", host="127.0.0.1")
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page).group(1)
    cookies = [dict(headers)["set-cookie"].partition(";")[0].strip()]
    form = urllib.parse.urlencode({"person": "okafor-lind", "csrfmiddlewaretoken": token})
    given = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookies[0]}
    _, headers, _ = desk.ask("here", "/demo-door", method="POST", host="127.0.0.1", body=form, headers=given)
    cookies += [value.partition(";")[0].strip() for name, value in headers if name == "set-cookie"]
    status, _, page = desk.ask("here", "/phones/", host="127.0.0.1", headers={"Cookie": "; ".join(cookies)})
    assert status == 200
    return page


def test_the_page_at_the_laptop_has_both_codes_and_says_what_is_allowed(desk):
    page = _phones_page(desk)
    assert page.count('class="qr"') == 2
    said = words(page)
    for each in (
        "Whoever takes the key from this laptop can forge exactly that",
        "Written from memory and not tried on a real phone",
        "do not go on past the warning",
        "How to remove it",
        "When this laptop is lost or replaced",
        f"https://{NAME}:{desk.https}/",
    ):
        assert each in said


def test_a_person_logs_in_on_a_phone_by_name_and_password(desk, sundes):
    _, headers, page = desk.ask("https", "/door")
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page).group(1)
    cookie = dict(headers)["set-cookie"].partition(";")[0].strip()
    form = urllib.parse.urlencode({"name": "Tobiah Sunde", "password": sundes, "csrfmiddlewaretoken": token})
    given = {
        "Content-Type": "application/x-www-form-urlencoded",
        "Cookie": cookie,
        "Origin": desk.phone_address,
        "Referer": f"{desk.phone_address}/door",
    }
    status, headers, page = desk.ask(
        "https", "/door", method="POST", body=form, headers=given, host=f"{NAME}:{desk.https}"
    )
    assert status == 302, words(page)
    session = next(value for name, value in headers if name == "set-cookie" and "__Host-gyrewright_demo=" in value)
    assert "Secure" in session
    assert "HttpOnly" in session
    assert "SameSite=Strict" in session
    foreign = given | {"Origin": "https://evil.example", "Referer": "https://evil.example/"}
    status, _, _ = desk.ask("https", "/door", method="POST", body=form, headers=foreign, host=f"{NAME}:{desk.https}")
    assert status == 403


def test_all_listeners_share_one_clock(desk):
    shown = {
        re.search(r"by its own clock (\d+ \w+ \d+ \d\d:\d\d)", words(desk.ask(where, "/door", host=host)[2])).group(1)
        for where, host in (("https", NAME), ("here", "127.0.0.1"))
    }
    assert len(shown) <= 2
    at = [datetime.strptime(each, "%d %b %Y %H:%M").replace(tzinfo=UTC) for each in shown]
    assert max(at) - min(at) <= timedelta(minutes=1)


def test_a_new_certificate_is_shown_without_a_stop(desk):
    before = leaf_in(desk.files)
    make_leaf(desk.files, names=(NAME,), addresses=(), at=datetime.now(UTC))
    desk.show_new_certificate()
    assert leaf_in(desk.files) != before
    assert desk.ask("https", "/door")[0] == 200


def test_the_whole_family_ends_on_a_signal(folder, desk, tmp_path):
    other = PhonesDesk(copied(folder, tmp_path / "data")).start()
    members = other.members()
    assert len(members) == 6
    # SIGTERM is how the module's desk ends.
    other.process.send_signal(signal.SIGINT)
    assert other.process.wait(LONGEST_S) == 0, other.said
    assert gone(members)
    other.stop()


def test_nothing_outlives_a_desk_that_is_killed(folder, desk, tmp_path):
    other = PhonesDesk(copied(folder, tmp_path / "data")).start()
    members = other.members()
    os.kill(other.process.pid, signal.SIGKILL)
    assert gone(members)
    other.stop()


def test_a_port_that_is_taken_is_one_message(folder, desk, tmp_path):
    other = PhonesDesk(copied(folder, tmp_path / "data"), environ={"GYREWRIGHT_PHONES_PORT": str(desk.https)})
    with pytest.raises(
        AssertionError, match=f"port {desk.https} is taken by another program; give another with GYREWRIGHT_PHONES_PORT"
    ):
        other.start()
    other.stop()


@pytest.mark.parametrize("which", ["phones", "plain"])
def test_the_deployment_check_is_clean_for_each_listener(folder, which, tmp_path):
    ran = subprocess.run(
        [sys.executable, "-m", "django", "check", "--deploy", "--fail-level", "WARNING"],
        env=plain_environ()
        | {
            "DESK_LISTENER": which,
            "DJANGO_SETTINGS_MODULE": "gyrewright.desk.settings",
            "GYREWRIGHT_DATA": str(tmp_path),
        },
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ran.returncode == 0, ran.stderr
