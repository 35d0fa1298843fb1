"""Looking at a page as people do who see little, hear it read, or use keys alone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
"""The success criteria of WCAG 2.2 at levels A and AA, by the names that the rules of axe carry."""

CONTRAST = (Path(__file__).parent / "contrast.js").read_text(encoding="utf-8")
LEAST_CONTRAST = 7.0


def violations(page: Page, *, colors: bool = True) -> list[str]:
    """Return what axe finds against WCAG 2.2 AA, one line for each element; its rule on colors is the slow one."""
    rules = {"color-contrast": {"enabled": colors}}
    options = {"runOnly": list(RULES), "resultTypes": ["violations"], "preload": False, "rules": rules}
    found = Axe().run(page, options=options).response
    assert found["passes"], "no rule was run"
    return [
        f"{each['id']}: {node['html'][:120]} ({each['help']})" for each in found["violations"] for node in each["nodes"]
    ]


def low_contrast(page: Page) -> list[str]:
    """Return every visible text below seven to one, looking at the page one screen after the other."""
    high = page.evaluate("innerHeight")
    whole = page.evaluate("document.documentElement.scrollHeight")
    low: dict[str, None] = {}
    looked = 0
    for top in range(0, whole, high):
        page.evaluate("(top) => scrollTo(0, top)", top)
        found: Any = page.evaluate(CONTRAST, LEAST_CONTRAST)
        looked += found["looked"]
        low |= dict.fromkeys(found["low"])
    assert looked, "no text was looked at"
    return list(low)


_MASKS = (
    (r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", "ID"),
    (r"\b[0-9a-f]{64}\b", "FINGERPRINT"),
    (r"\b(?:[0-9a-f]{4} ){3,}[0-9a-f]{4}\b", "CODE"),
    (r"127\.0\.0\.1:\d+", "HOST"),
    (r"\b(06|13):[012]\d\b", r"\1:MM"),
    (r"\b\d+ (min|s) old\b", r"N \1 old"),
    (r"\b\d+ letters\b", "N letters"),
    (r"\?\d+\b", "?N"),
)
"""What differs from run to run: ids, codes, the port, and what the running clock shows."""


def tree(page: Page) -> str:
    """Return the page's accessibility tree as text, without what differs from run to run."""
    text = page.locator("body").aria_snapshot()
    for pattern, name in _MASKS:
        text = re.sub(pattern, name, text)
    return text + "\n"
