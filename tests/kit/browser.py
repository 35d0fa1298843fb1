"""A person at a browser: what they touch is counted, and what the page complains of is kept."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Locator, Page, Response

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE, DESK = 390, 1280
HIGH = {PHONE: 844, DESK: 900}
LONGEST_MS = 15_000

# Runs before any script of the page and is no part of it, so the content policy does not reach it.
_LISTEN = """
addEventListener("securitypolicyviolation", (event) => {
  console.error(`content policy: ${event.violatedDirective} ${event.blockedURI} ${event.sample}`);
});
addEventListener("submit", (event) => { window.isBeingLeft = !event.defaultPrevented; });
addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  const isElsewhere = link && !link.hash && !link.download && !link.target;
  if (isElsewhere && !event.defaultPrevented) window.isBeingLeft = true;
});
"""
_HAS_COME_ELSEWHERE = "() => !window.isBeingLeft && document.readyState !== 'loading'"

# A part that is still to come holds only the link behind which it stands without a script. A picture that comes only
# when it is scrolled to moves everything below it.
_HAS_COME = """
() => {
  const pictures = [...document.images];
  pictures.forEach((each) => { each.loading = "eager"; });
  return pictures.every((each) => each.complete)
    && [...document.querySelectorAll("[data-part]")].every((each) => !each.querySelector(":scope > p > a"));
}
"""


class Visitor:
    """One person in one window of a browser, at one desk.

    `touches` counts what issue and trade call a touch: one tap, click or filled field. `complaints` holds every error
    on the console, every script error, every breach of the content policy and every answer above 499.
    """

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address, self.touches = page, address, 0
        self.complaints: list[str] = []
        self._allowed: list[str] = []
        page.set_default_timeout(LONGEST_MS)
        page.add_init_script(_LISTEN)
        page.on("console", self._console)
        page.on("pageerror", lambda error: self._complain(f"script: {error}"))
        page.on("response", self._response)

    def _complain(self, text: str) -> None:
        self.complaints.append(f"{self.page.url}: {text}")

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self._complain(f"console: {message.text}")

    def _response(self, response: Response) -> None:
        if response.status >= 500:
            self._complain(f"{response.status} from {response.url}")

    def allow(self, pattern: str) -> None:
        """Take a complaint as meant: a test that asks for a refusal gets an error on the console as well."""
        self._allowed.append(pattern)

    def unmeant(self) -> list[str]:
        """Return the complaints that nothing allows."""
        return [each for each in self.complaints if not any(re.search(one, each) for one in self._allowed)]

    def go(self, path: str) -> Visitor:
        """Open an address of the desk by its path; no touch, since a test stands for where the person is already."""
        self.page.goto(self.address + path)
        return self

    def come_in_as(self, person: str) -> Visitor:
        """Come in by the demonstration's door as a person, by id; ends on Today. Not counted."""
        self.go("/door")
        self.page.locator("form", has=self.page.locator(f'input[name="person"][value="{person}"]')).get_by_role(
            "button"
        ).click()
        self.page.wait_for_url("**/today/")
        return self

    def log_in(self, name: str, password: str) -> Visitor:
        """Come in by name and password. Not counted."""
        self.go("/door")
        self.page.get_by_label("Name").fill(name)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Log in").click()
        self.page.wait_for_url(lambda url: not url.endswith("/door"))
        return self

    def touch(self, what: Locator | str, *, then: str | re.Pattern[str] = "") -> None:
        """Touch one thing: a locator, or the only link, button or summary with these words.

        Where it leads to another page, that one is there afterwards; `then` is its address where a test knows it.
        """
        self._found(what).click()
        self.touches += 1
        # The old page stays until the new one comes; what is looked at next must not be the old one.
        self.page.wait_for_function(_HAS_COME_ELSEWHERE)
        if then:
            self.page.wait_for_url(then)

    def fill(self, what: Locator | str, text: str) -> None:
        """Fill one field: a locator, or the field with this label."""
        where = self.page.get_by_label(what, exact=True) if isinstance(what, str) else what
        where.fill(text)
        self.touches += 1

    def choose(self, what: Locator | str, option: str) -> None:
        """Choose one option of a field by its words."""
        where = self.page.get_by_label(what, exact=True) if isinstance(what, str) else what
        where.select_option(label=option)
        self.touches += 1

    def _found(self, what: Locator | str) -> Locator:
        if not isinstance(what, str):
            return what
        name: Any = what
        by_role = [self.page.get_by_role(role, name=name, exact=True) for role in ("button", "link")]  # type: ignore[arg-type]
        summary = self.page.locator("summary", has_text=what)
        return by_role[0].or_(by_role[1]).or_(summary)

    def settle(self) -> Visitor:
        """Wait until every part that loads after the page has come."""
        self.page.wait_for_function(_HAS_COME)
        return self

    @property
    def words(self) -> str:
        """What the page's main part shows, with single spaces."""
        return " ".join(self.page.locator("main").inner_text().split())
