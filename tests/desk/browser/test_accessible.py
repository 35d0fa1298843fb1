"""Every main page at phone and desk width: WCAG 2.2 AA by axe, seven to one for every text, nothing cut off."""

from __future__ import annotations

from kit.browser import DESK, HIGH, PHONE
from kit.looking import low_contrast, violations


def test_every_main_page_is_accessible_readable_and_whole(main_pages, visitor):
    desk, pages = main_pages
    seated, wrong = {}, []
    for name, page in pages.items():
        if page.person not in seated:
            seated[page.person] = visitor(desk, page.person)
            seated[page.person].allow("status of 40[0-9]")
        here = seated[page.person].go(page.path).settle().page
        here.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
        for width in (DESK, PHONE):
            here.set_viewport_size({"width": width, "height": HIGH[width]})
            # Colors do not depend on the width for axe; the stricter look at them below is taken at both.
            found = violations(here, colors=width == DESK)
            found += [f"contrast {each}" for each in low_contrast(here)]
            if here.evaluate("document.documentElement.scrollWidth") > width:
                found.append("is wider than the screen")
            wrong += [f"{name} at {width}: {each}" for each in found]
        if here.locator("h1").count() != 1:
            wrong.append(f"{name}: has {here.locator('h1').count()} headings of the first level")
    assert wrong == []


def test_what_is_wrong_is_found(demo_desk, visitor):
    page = visitor(demo_desk, "sunde").page
    assert violations(page) == []
    assert low_contrast(page) == []
    page.evaluate(
        """() => {
          document.querySelector('label[for=code]').remove();
          const told = document.createElement('p');
          told.textContent = 'hard to read';
          told.style.setProperty('color', '#6b6b6b');
          document.querySelector('h1').after(told);
          const drawn = '<svg width="200" height="40"><rect width="200" height="40" fill="#999"/>'
            + '<text x="5" y="25" fill="#111">on a gray ground</text></svg>';
          document.querySelector('h1').insertAdjacentHTML('afterend', drawn);
        }"""
    )
    assert any(each.startswith("label:") for each in violations(page))
    found = " ".join(low_contrast(page))
    assert "hard to read" in found
    assert "on a gray ground" in found
