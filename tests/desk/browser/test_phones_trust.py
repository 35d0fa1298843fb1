"""A phone's browser and the desk's authority: trusted for the desk's name alone, and no way past a warning."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.desk.phones.authority import make_leaf
from kit.browser import PHONE
from kit.phones_desk import NAME, PhonesDesk, copied, passing_word
from kit.trust import home_that_trusts


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


MAPPED = f"--host-resolver-rules=MAP {NAME} 127.0.0.1, MAP bank.example 127.0.0.1"


@pytest.fixture(scope="module")
def phone(launch, desk, tmp_path_factory):
    home = home_that_trusts(tmp_path_factory.mktemp("home"), desk.files.authority)
    return launch(more=[MAPPED], home=home)


@pytest.fixture(scope="module")
def stranger(launch, desk, tmp_path_factory):
    return launch(more=[MAPPED], home=tmp_path_factory.mktemp("stranger"))


def test_a_phone_that_trusts_it_opens_the_desk_and_has_what_a_page_needs_without_a_network(desk, phone, visitor):
    one = visitor(desk, browser=phone, width=PHONE, address=desk.phone_address).go("/door")
    assert one.page.get_by_label("Password").is_visible()
    assert one.page.evaluate("isSecureContext && 'serviceWorker' in navigator && !!crypto.subtle")
    assert one.page.evaluate("location.protocol") == "https:"


def test_the_same_name_in_http_has_none_of_it(desk, stranger, visitor):
    one = visitor(desk, browser=stranger, width=PHONE, address=f"http://{NAME}:{desk.plain}").go("/")
    assert "Anybody in this network can read and change" in one.words
    assert not one.page.evaluate("isSecureContext || 'serviceWorker' in navigator")


def opened(browser, address):
    """Return what a browser says when it is sent to an address, empty where the page opens."""
    context = browser.new_context()
    try:
        context.new_page().goto(address)
    except Exception as error:  # the browser's own words
        return str(error).split(" at ")[0].rpartition("net::")[2]
    finally:
        context.close()
    return ""


def test_a_browser_without_the_authority_refuses(desk, stranger):
    assert opened(stranger, desk.phone_address) == "ERR_CERT_AUTHORITY_INVALID"


def test_neither_a_name_outside_the_constraints_nor_an_ended_certificate_opens_and_a_fresh_one_does(desk, phone):
    leaf, key = desk.files.leaf.read_bytes(), desk.files.leaf_key.read_bytes()
    # Both under the authority's own hand: what its key could forge, and what it once was right to sign.
    tried = (
        ("bank.example", datetime.now(UTC), "ERR_CERT_INVALID"),
        (NAME, datetime.now(UTC) - timedelta(days=91), "ERR_CERT_DATE_INVALID"),
    )
    try:
        for name, at, said in tried:
            make_leaf(desk.files, names=(name,), addresses=(), at=at)
            desk.show_new_certificate()
            assert opened(phone, f"https://{name}:{desk.https}/door") == said
    finally:
        desk.files.leaf_key.write_bytes(key)
        desk.files.leaf.write_bytes(leaf)
        desk.show_new_certificate()
    assert opened(phone, f"{desk.phone_address}/door") == ""


def test_once_met_the_browser_itself_keeps_to_https_and_offers_no_way_past(desk, phone):
    context = phone.new_context()
    page = context.new_page()
    page.goto(f"{desk.phone_address}/door")
    # Sent to http under the same name the browser goes to https by itself, where the plain listener cannot answer.
    with pytest.raises(Exception, match="ERR_SSL_PROTOCOL_ERROR"):
        page.goto(f"http://{NAME}:{desk.plain}/phone/")
    context.close()


def test_logging_in_on_a_phone_by_password(desk, phone, visitor, sundes):
    one = visitor(desk, browser=phone, width=PHONE, address=desk.phone_address)
    one.log_in("Tobiah Sunde", sundes)
    assert one.page.url.endswith("/own-password")
    one.go("/phones/").allow("status of 403")
    assert "open it there" in one.words


def test_the_page_at_the_laptop_reads_the_codes_it_shows(desk, visitor, tmp_path):
    import zxingcpp
    from PIL import Image

    one = visitor(desk, "okafor-lind").go("/phones/")
    for number, wanted in enumerate((f"http://{NAME}:{desk.plain}/phone/", f"https://{NAME}:{desk.https}/")):
        file = tmp_path / f"{number}.png"
        one.page.locator(".qr").nth(number).screenshot(path=file)
        (found,) = zxingcpp.read_barcodes(Image.open(file))
        assert found.text == wanted


def test_a_phone_without_the_authority_keeps_its_answers_and_hands_them_over(desk, stranger, visitor, at_folder):
    from kit.kept_phone import HELD, SETTLED_S, until

    one = visitor(desk, "okafor-lind").go("/phones/")
    one.page.get_by_label("Aircraft").select_option("N0-101D")
    one.touch("Make a pass for my phone")
    address = one.page.locator("section[aria-labelledby=told] figure .code").inner_text()
    context = stranger.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto(address)
    assert "Keep this page open" in page.locator("main").inner_text()
    assert page.evaluate("document.cookie").startswith("gyrewright_phone=")
    for word in ("first of the day", "Begin"):
        page.wait_for_timeout(SETTLED_S * 1000)
        page.get_by_role("button", name=word, exact=True).click()
    context.set_offline(True)
    for word in ("Could not look", "Next", "Could not look"):
        page.get_by_role("button", name=word, exact=True).wait_for()
        page.wait_for_timeout(SETTLED_S * 1000)
        page.get_by_role("button", name=word, exact=True).click()
    until("two answers are kept", lambda: len(page.evaluate(HELD)) >= 2)
    with pytest.raises(Exception, match="ERR_INTERNET_DISCONNECTED"):
        page.reload()
    context.set_offline(False)
    page.goto(address)
    until("they were handed over after all", lambda: page.evaluate(HELD) == [])
    context.close()
    one.go("/phones/")
    assert "held by Maren Okafor-Lind" in one.words
    one.touch("Nothing about N0-101D is open on my phone")
    assert "Every phone that opened a walk-round has reported since" in one.words


def test_the_phones_page_and_the_plain_one_are_accessible_and_readable(desk, stranger, visitor):
    from kit.browser import DESK, HIGH
    from kit.looking import low_contrast, violations

    seated = (
        visitor(desk, "okafor-lind").go("/phones/"),
        visitor(desk, browser=stranger, address=f"http://{NAME}:{desk.plain}").go("/"),
    )
    for one in seated:
        for width in (DESK, PHONE):
            one.page.set_viewport_size({"width": width, "height": HIGH[width]})
            assert violations(one.page, colors=width == DESK) == []
            assert low_contrast(one.page) == []
            assert one.page.evaluate("document.documentElement.scrollWidth") <= width
        assert one.page.locator("h1").count() == 1
