"""The opening's pages at phone and desk width: WCAG 2.2 AA by axe, seven to one for every text, nothing cut off."""

from __future__ import annotations

from kit.browser import DESK, HIGH, PHONE
from kit.looking import low_contrast, violations

PATHS = (
    "/opening/",
    "/opening/house/field/place",
    "/opening/house/house/limits",
    "/opening/aircraft/aircraft/new/take-off",
    "/opening/aircraft/aircraft/new/text",
    "/opening/person/new/who",
    "/records/frozen",
)


def test_every_kind_of_page_is_accessible_readable_and_whole(own_desk, visitor, own_password):
    ada = visitor(own_desk).log_in("ada", own_password)
    wrong = []
    for path in PATHS:
        here = ada.go(path).page
        assert here.locator("h1").count() == 1
        for width in (DESK, PHONE):
            here.set_viewport_size({"width": width, "height": HIGH[width]})
            found = violations(here, colors=width == DESK)
            found += [f"contrast {each}" for each in low_contrast(here)]
            if here.evaluate("document.documentElement.scrollWidth") > width:
                found.append("is wider than the screen")
            wrong += [f"{path} at {width}: {each}" for each in found]
    assert wrong == []


def test_a_page_is_filled_by_keyboard_alone(own_desk, visitor, own_password):
    ada = visitor(own_desk).log_in("ada", own_password)
    page = ada.go("/opening/person/new/who").page
    page.locator("#name").focus()
    page.keyboard.type("Una Roe")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.value") == "student":
            page.keyboard.press("Space")
        if page.evaluate("document.activeElement.textContent") == "Enter this page":
            page.keyboard.press("Enter")
            break
    page.wait_for_url("**/opening/")
    ada.go("/accounts/")
    assert "Una Roe" in ada.words
