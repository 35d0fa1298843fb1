from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk.accounts import door
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.accounts import close_account, give_password, open_account
from gyrewright.errors import UnknownName


@pytest.fixture
def client(book, let_in):
    let_in("ada", "ivo")
    return Client(SERVER_NAME="localhost")


def come(client, name, password, **more):
    return client.post(reverse("door"), {"name": name, "password": password, **more})


def test_it_works(client, password):
    # Nothing has been released yet: whoever manages begins at the opening, everybody else at the day.
    assert come(client, "Ada", password).url == reverse("opening")
    assert client.get(reverse("front")).url == reverse("opening")
    assert come(Client(SERVER_NAME="localhost"), "ivo", password).url == reverse("today")
    assert client.get(reverse("records")).status_code == 200
    assert client.post(reverse("out")).url == reverse("door")
    assert client.get(reverse("records")).status_code == 302


def test_a_wrong_password_and_an_unknown_name_are_told_the_same(client):
    wrong, unknown = come(client, "ada", "x" * 12), come(client, "nobody", "x" * 12)
    assert wrong.status_code == unknown.status_code == 403
    said = "This name and this password do not belong together"
    assert said in wrong.content.decode()
    assert said in unknown.content.decode()


def test_after_five_wrong_passwords_the_right_one_waits_too(client, password, monkeypatch):
    for _ in range(5):
        assert come(client, "ada", "wrong wrong").status_code == 403
    assert come(client, "ADA", password).status_code == 429
    assert come(client, "ivo", password).status_code == 302
    monkeypatch.setattr(door, "_now", lambda: datetime.now(UTC) + timedelta(minutes=16))
    assert come(client, "ada", password).status_code == 302


def test_a_new_password_ends_the_wait_and_every_session(client, password):
    come(client, "ivo", password)
    assert client.get(reverse("records")).status_code == 200
    other = Client(SERVER_NAME="localhost")
    for _ in range(6):
        come(other, "ivo", "wrong wrong")
    once = give_password(name="ivo", by="ada")
    assert client.get(reverse("records")).status_code == 302
    assert come(other, "ivo", once).url == reverse("own-password")
    assert other.get(reverse("records")).url == reverse("own-password")
    form = {"old": once, "new": "another good one", "again": "another good one"}
    assert other.post(reverse("own-password"), form).url == reverse("today")
    assert other.get(reverse("records")).status_code == 200
    assert [each.act.where for each in find_records(kinds=["password-set"])] == ["page", "page"]


def test_a_manager_who_is_locked_out_gets_in_by_the_laptop(client):
    once = give_password(name="ada", by="laptop")
    assert come(client, "ada", once).url == reverse("own-password")
    assert find_records(kinds=["password-set"])[-1].act.where == "laptop"


@pytest.mark.parametrize("new", ["short", "password12345", "1234567890"])
def test_a_password_easy_to_guess_is_refused(client, password, new):
    come(client, "ivo", password)
    answer = client.post(reverse("own-password"), {"old": password, "new": new, "again": new})
    assert answer.status_code == 400
    assert "too easy to guess" in answer.content.decode()


def test_the_old_password_is_asked_for(client, password):
    come(client, "ivo", password)
    form = {"old": "not this one", "new": "another good one", "again": "another good one"}
    assert "old password is not right" in client.post(reverse("own-password"), form).content.decode()


def test_a_closed_account_is_out_at_once(client, password):
    come(client, "ivo", password)
    close_account(name="ivo", by="ada")
    assert client.get(reverse("records")).status_code == 302
    assert come(client, "ivo", password).status_code == 403
    with pytest.raises(NotAllowed, match="nobody closes their own"):
        close_account(name="ada", by="ada")


def test_one_person_has_one_account_and_one_name(client):
    with pytest.raises(Refused, match="is taken"):
        open_account(name="ADA", person="sam", password="three words do well", by="ada")
    with pytest.raises(Refused, match="has an account already"):
        open_account(name="ada2", person="ada", password="three words do well", by="ada")
    with pytest.raises(UnknownName, match="knows nobody"):
        open_account(name="ghost", person="ghost", password="three words do well", by="ada")
    with pytest.raises(UnknownName, match="accounts: ada, ivo"):
        give_password(name="ghost", by="ada")


def test_the_manager_lets_somebody_in_by_the_page(client, password):
    come(client, "ada", password)
    page = client.post(reverse("account-open"), {"name": "sam", "person": "sam"}).content.decode()
    once = re.search(r"[a-z2-9]{4}(-[a-z2-9]{4}){3}", page).group(0)
    sam = Client(SERVER_NAME="localhost")
    assert come(sam, "sam", once).url == reverse("own-password")
    assert Account.objects.get(name="sam").must_change


def test_a_second_instructor_is_entered_and_let_in_without_mail(client, password):
    come(client, "ada", password)
    new = reverse("opening-person", kwargs={"person": "new", "page": "who"})
    assert client.post(new, {"name": "Noor Vale", "roles": "instructor"}).status_code == 302
    page = client.post(reverse("account-open"), {"name": "noor", "person": "vale"}).content.decode()
    once = re.search(r"[a-z2-9]{4}(-[a-z2-9]{4}){3}", page).group(0)
    noor = Client(SERVER_NAME="localhost")
    assert come(noor, "noor", once).url == reverse("own-password")
    form = {"old": once, "new": "another good one", "again": "another good one"}
    assert noor.post(reverse("own-password"), form).url == reverse("today")
    assert noor.get(reverse("flight-ask")).status_code != 403
    assert noor.get(reverse("accounts")).status_code == 403
    # Married meanwhile: the same person with the same records under another name, and the same way in.
    who = reverse("opening-person", kwargs={"person": "vale", "page": "who"})
    assert client.post(who, {"name": "Noor Marsh"}).status_code == 302
    assert "Noor Marsh" in noor.get(reverse("records")).content.decode()
    assert come(Client(SERVER_NAME="localhost"), "noor", "another good one").url == reverse("today")


def test_the_password_is_kept_as_argon2(client):
    assert Account.objects.get(name="ada").password.startswith("argon2$argon2id$")


def test_the_door_sends_nobody_elsewhere(client, password):
    answer = come(client, "ada", password, next="https://elsewhere.example/")
    assert answer.url == reverse("opening")
    client.post(reverse("out"))
    assert come(client, "ada", password, next="/accounts/").url == "/accounts/"


def test_a_form_without_its_token_is_refused(book, let_in, password):
    let_in("ada")
    strict = Client(SERVER_NAME="localhost", enforce_csrf_checks=True)
    answer = strict.post(reverse("door"), {"name": "ada", "password": password})
    assert answer.status_code == 403
    assert "form is too old" in answer.content.decode()


def test_every_answer_carries_the_content_policy(client):
    policy = client.get(reverse("door")).headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy


def test_another_host_is_refused(client):
    assert client.get(reverse("door"), headers={"host": "elsewhere.example"}).status_code == 400


def test_hostile_text_is_shown_as_text(client, password):
    from gyrewright.desk.book.kinds.upkeep import DefectReported
    from gyrewright.desk.services.records import record_act

    hostile = "<script>alert(1)</script>\"'{{ 7 }}{% csrf_token %}"
    one = record_act(act=DefectReported(item="K08", words=hostile), by="ada", about="<b>N0</b>").record
    come(client, "ada", password)
    for address in (
        reverse("records"),
        reverse("record", args=[one.id]),
        reverse("records") + "?about=<script>&kind=<b>",
    ):
        page = client.get(address).content.decode()
        assert "<script" not in page
        assert "<b>" not in page
    assert "{{ 7 }}" in client.get(reverse("record", args=[one.id])).content.decode()
