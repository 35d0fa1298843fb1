"""The kit itself: real desks, real people at them, touches counted, complaints heard."""

from __future__ import annotations

import pytest

from kit.browser import DESK, PHONE


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_person_of_the_demonstration_comes_in_and_sees_their_day(demo_desk, visitor, width):
    sunde = visitor(demo_desk, "sunde", width=width)
    assert sunde.page.evaluate("innerWidth") == width
    assert "Flights asked for today" in sunde.words
    assert sunde.touches == 0
    sunde.touch(sunde.page.locator("ul.day a").first, then="**/flight/*")
    assert sunde.page.get_by_role("heading", level=1).inner_text().startswith("May Tobiah Sunde")
    assert sunde.touches == 1


def test_an_operations_own_desk_asks_for_a_password(own_desk, visitor, own_password, at_folder):
    ivo = visitor(own_desk).log_in("ivo", own_password)
    assert "Ivo Brandt" in ivo.page.locator("header").inner_text()
    from gyrewright.desk.book.reading import find_records

    with at_folder(own_desk.folder, is_demo=False):
        assert len(find_records(kinds=("account-opened",))) == 4


def test_what_a_page_complains_of_is_heard(demo_desk, visitor):
    one = visitor(demo_desk, "sunde")
    assert one.unmeant() == []
    one.page.evaluate("() => { document.body.insertAdjacentHTML('beforeend', '<p style=\"color:red\">x</p>') }")
    one.page.evaluate("() => { setTimeout(() => { throw new Error('planted') }, 0) }")
    one.page.evaluate("() => { console.error('said so') }")
    one.go("/nowhere")
    heard = " ".join(one.unmeant())
    for each in ("content policy: style-src-attr", "script: planted", "said so", "status of 404"):
        assert each in heard
    one.allow(".")
