"""A person who walks round an aircraft with its page on a phone: touches as they would, waits until it is stored."""

from __future__ import annotations

import re
import time
from typing import Any

from playwright.sync_api import Page

from kit.browser import Visitor

ANSWERS = {"as it should be": ".answers .ok", "not": ".answers .not", "could not look": ".answers .no"}
GUESS = {"date": "2026-03-02", "count": "7", "text": "4"}

_RUN = """async (first) => {
  const soon = () => new Promise((done) => setTimeout(done, 5));
  const isThere = () => current?.id.startsWith(first) || walk.state.done === walk.state.items.length;
  for (let tries = 0; tries < 400 && !isThere(); tries++) {
    for (const field of document.querySelectorAll(".field")) {
      const input = field.querySelector("input");
      if (input && !input.value) input.value = input.type === "date" ? "2026-03-02" : "4";
      if (!input && !field.querySelector('[aria-pressed="true"]')) {
        shownAt = -10000;
        field.querySelector("button").click();
      }
    }
    const before = walk.acts.length;
    for (let times = 0; times < 3 && walk.acts.length === before; times++) {
      shownAt = -10000;
      document.querySelector(".answers .ok").click();
      for (let waits = 0; waits < 20 && walk.acts.length === before; waits++) await soon();
    }
    for (let waits = 0; waits < 40 && !document.querySelector(".marks"); waits++) {
      await soon();
      shownAt = -10000;
      const next = document.querySelector(".answers .ok");
      if (next?.textContent === "Next") next.click();
    }
  }
}"""
"""Quick hands: for tests of what comes after many answers."""


class Walking:
    """Somebody at a phone's walk-round page; `touches` are counted by the visitor."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor

    @property
    def page(self) -> Page:
        return self.visitor.page

    def open(self, aircraft: str = "N0-101D", walk_list: str = "walk-round") -> Walking:
        """Open the page and wait until everything that the next opening needs is kept."""
        self.visitor.go(f"/walk/at/{aircraft}/{walk_list}")
        self.page.wait_for_selector("h1")
        kept = "caches.match(location.pathname).then((page) => page && caches.match(data.addresses.background))"
        return self.until(f"navigator.serviceWorker.controller && {kept}.then(Boolean)")

    def until(self, expression: str, longest_s: float = 30.0) -> Walking:
        """Wait until something holds on the page; its content policy lets no waiting function of the browser's in."""
        end = time.monotonic() + longest_s
        while not self.page.evaluate(expression):
            assert time.monotonic() < end, f"{expression} within {longest_s} s: {self.status}; {self.trouble}"
            self.page.wait_for_timeout(25)
        return self

    def touch(self, selector: Any) -> None:
        """Touch once the screen has settled, as a person would who reads it first."""
        # Nobody answers within the time that the page lets pass before it takes a touch; tests need not wait for it.
        self.page.evaluate("shownAt = -10000")
        where = self.page.locator(selector) if isinstance(selector, str) else selector
        where.click()
        self.visitor.touches += 1

    def button(self, name: str | re.Pattern[str]) -> None:
        self.touch(self.page.get_by_role("button", name=name, exact=isinstance(name, str)))

    def begin(self, event: str = "turnaround") -> Walking:
        self.button(event)
        self.button("Begin")
        self.page.wait_for_selector(".marks")
        return self

    @property
    def item(self) -> str:
        """The id of the item on the screen."""
        return self.page.locator(".text .soft").first.inner_text().split(" ")[0]

    @property
    def count(self) -> tuple[int, int]:
        """How many items have an answer, of how many."""
        done, all = self.page.locator(".count").inner_text().split(" of ")
        return int(done), int(all)

    @property
    def status(self) -> str:
        return " ".join(self.page.locator("#status").inner_text().split())

    def is_item(self) -> bool:
        """Whether an item is on the screen."""
        return (
            self.page.locator(".answers .no small, .answers .no b").count() > 0
            and self.page.locator(".marks").count() == 1
        )

    def fill(self) -> None:
        """Write something plausible into every reading that this item asks for and that is empty."""
        for field in self.page.locator(".field").all():
            if field.get_attribute("role") == "group":
                if field.locator('[aria-pressed="true"]').count() == 0:
                    self.touch(field.locator("button").first)
                continue
            if "(if any)" in field.inner_text():
                continue
            box = field.locator("input")
            if not box.input_value():
                kind = "date" if box.get_attribute("type") == "date" else "text"
                unit = field.locator("select")
                box.fill(self.guess(unit.input_value() if unit.count() else "", kind))
                self.visitor.touches += 1

    @staticmethod
    def guess(unit: str, kind: str) -> str:
        return {"bar": "2", "V": "12.6", "L": "40", "%": "50"}.get(unit, GUESS[kind])

    def answer(self, word: str = "as it should be") -> None:
        """Answer the item on the screen, with its readings, and go on to the next."""
        if word == "as it should be":
            self.fill()
        before = self.page.evaluate("walk.acts.length")
        self.touch(ANSWERS[word])
        if "outside" in self.trouble:
            self.touch(ANSWERS[word])
        self.until(f"walk.acts.length > {before}")
        if word != "as it should be":
            self.page.wait_for_selector("#words")
        if self.page.get_by_role("button", name="Next", exact=True).count() and not self.is_item():
            self.button("Next")

    @property
    def trouble(self) -> str:
        return str(self.page.evaluate("document.getElementById('trouble')?.textContent ?? ''"))

    def run_to(self, first: str = "the end") -> Walking:
        """Answer every item by the page's own buttons, without a pause, up to one of a zone or to the end."""
        self.page.evaluate(_RUN, first)
        return self

    def answer_all(self, **but: str) -> Walking:
        """Answer item after item until the overview says that all have one."""
        for _ in range(300):
            if self.page.get_by_role("button", name="Sign", exact=True).count():
                return self
            self.page.wait_for_selector(".marks")
            self.answer(but.get(self.item, "as it should be"))
        raise AssertionError("the walk does not end")

    def sign(self) -> Walking:
        self.button("Sign")
        self.button(re.compile("^Sign as "))
        self.page.wait_for_selector("text=Signed ")
        return self

    def wait_handed_over(self, longest_s: float = 30.0) -> Walking:
        self.page.evaluate("handOver()")
        return self.until("waiting === 0 && silentSince === 0", longest_s)

    def acts(self) -> list[dict[str, Any]]:
        """Every act that the phone's own store holds."""
        found: list[dict[str, Any]] = self.page.evaluate("inStore('readonly', ({ acts }) => asked(acts.getAll()))")
        return found
