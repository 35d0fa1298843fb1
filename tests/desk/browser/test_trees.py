"""What a screen reader is told of every main page, kept as text: a change of it is a change that somebody has to read.

After a change that is meant: `RENEW_TREES=yes pytest tests/desk/browser/test_trees.py`, and read what changed.
"""

from __future__ import annotations

import difflib
import os
from pathlib import Path

from django.urls import resolve

from gyrewright.desk.pages.context import PAGES
from kit.looking import tree

KEPT = Path(__file__).parent / "trees"


def test_the_main_pages_are_told_as_they_were(main_pages, visitor):
    desk, pages = main_pages
    seated, told = {}, {}
    for name, page in pages.items():
        if page.person not in seated:
            seated[page.person] = visitor(desk, page.person)
            seated[page.person].allow("status of 40[0-9]")
        here = seated[page.person].go(page.path).settle().page
        told[name.replace(" ", "-")] = tree(here)
    if os.environ.get("RENEW_TREES") == "yes":
        KEPT.mkdir(exist_ok=True)
        for old in KEPT.glob("*.txt"):
            old.unlink()
        for name, text in told.items():
            (KEPT / f"{name}.txt").write_text(text, encoding="utf-8")
    kept = {each.stem: each.read_text(encoding="utf-8") for each in KEPT.glob("*.txt")}
    assert set(kept) == set(told)
    changed = [
        line
        for name, text in told.items()
        for line in difflib.unified_diff(
            kept[name].splitlines(), text.splitlines(), f"{name}, as kept", f"{name}, as told", lineterm="", n=1
        )
    ]
    assert changed == [], "\n".join(changed[:60])
    for name, text in told.items():
        assert text.count("heading") >= 1, name
        assert "- main" in text, name


def test_no_page_that_stands_on_top_is_left_out(main_pages):
    """The opening has a desk of its own, and is told there."""
    _, pages = main_pages
    routes = {resolve(page.path.partition("?")[0]).view_name for page in pages.values()}
    # Flight on top only sends on to the next flight.
    assert {route for route, _ in PAGES} - {"opening", "flight-next"} <= routes
