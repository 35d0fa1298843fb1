"""A phone at a walk-round: its browser trusts one authority and keeps what it has when it is ended."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kit.browser import CHROMIUM, FLAGS, HIGH, PHONE
from kit.phones_desk import NAME
from kit.trust import home_that_trusts

MAPPED = f"--host-resolver-rules=MAP {NAME} 127.0.0.1"
OWN = "four words do better still"
SETTLED_S = 0.6
"""The page takes no touch right after it has changed: one meant for the screen before must not answer the next."""

HELD = """() => new Promise((done, fail) => {
    const opening = indexedDB.open("gyrewright", 1);
    opening.onerror = () => fail(opening.error);
    opening.onsuccess = () => {
        const store = opening.result;
        const all = store.transaction("acts").objectStore("acts").index("waiting").getAll(1);
        all.onsuccess = () => { store.close(); done(all.result.map((each) => each.id).sort()); };
    };
})"""


def until(what: str, is_so: Callable[[], bool], longest_s: float = 60.0) -> None:
    """Wait until something is so."""
    end = time.monotonic() + longest_s
    while not is_so():
        assert time.monotonic() < end, f"never: {what}"
        time.sleep(0.1)


class KeptPhone:
    """One phone. `kind` starts a browser; `trust` is what installing an authority does."""

    def __init__(self, kind: Any, folder: Path, authority: Path) -> None:
        self.kind, self.home, self.profile = kind, folder / "home", folder / "profile"
        self.context: Any = None
        self.page: Any = None
        self.trust(authority)

    def trust(self, authority: Path) -> None:
        """Take an authority in, in the place of the one before."""
        home_that_trusts(self.home, authority)

    def start(self) -> KeptPhone:
        """Open the browser, with what it kept."""
        self.context = self.kind.launch_persistent_context(
            self.profile,
            executable_path=CHROMIUM,
            headless=True,
            args=[*FLAGS, MAPPED],
            env={**os.environ, "HOME": str(self.home)},
            viewport={"width": PHONE, "height": HIGH[PHONE]},
            has_touch=True,
        )
        self.page = self.context.pages[0]
        self.page.set_default_timeout(20_000)
        return self

    def end(self) -> None:
        """End the browser."""
        self.context.close()
        self.context = None

    def kill(self) -> None:
        """End the browser where it is still there."""
        if self.context is not None:
            self.end()

    def log_in(self, address: str, name: str, password: str) -> None:
        """Come in with a password for one log-in, and choose an own one."""
        self.page.goto(f"{address}/door")
        self._door(name, password)
        self.page.wait_for_url("**/own-password")
        for field, text in zip(self.page.locator("input[type=password]").all(), (password, OWN, OWN), strict=True):
            field.fill(text)
        self.page.locator("main form button").click()
        self.page.wait_for_url(lambda url: "own-password" not in url)

    def come_in(self, name: str) -> None:
        """Come in at the door that the browser shows, with one's own password."""
        self._door(name, OWN)
        self.page.wait_for_url(lambda url: "/door" not in url)

    def _door(self, name: str, password: str) -> None:
        self.page.get_by_label("Name").fill(name)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Log in").click()

    def open_walk(self, address: str) -> None:
        """Open a walk-round, and once more so that the page is in the phone's own memory."""
        self.page.goto(address)
        self.page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
        self.page.reload()
        self.page.wait_for_function("navigator.serviceWorker.controller !== null")

    def touch(self, word: str) -> None:
        """Touch a button of the walk-round."""
        button = self.page.get_by_role("button", name=word, exact=True)
        button.wait_for()
        time.sleep(SETTLED_S)
        button.click()

    def cannot_look(self) -> None:
        """Answer the item on the screen, and go on to the next: the answer is stored before its words are asked."""
        self.touch("Could not look")
        self.touch("Next")

    def go_on(self) -> None:
        """Answer what the page asks after a break: nothing happened."""
        self.page.locator("main h1").wait_for()
        nothing = self.page.get_by_role("button", name="Nothing: I was at this item all the time")
        if nothing.count():
            time.sleep(SETTLED_S)
            nothing.click()

    def network_is_back(self) -> None:
        """Tell the page what a phone tells it when it finds its network again: it need not wait for its timer."""
        self.page.evaluate("dispatchEvent(new Event('online'))")

    @property
    def status(self) -> str:
        """What the page says at its foot of what is kept and heard."""
        return " ".join(self.page.locator("#status").inner_text().split())

    def held(self) -> list[str]:
        """Return the ids of the acts that the desk has not named yet."""
        return list(self.page.evaluate(HELD))

    def saved_file(self) -> str:
        """Return the file that the page saves of what it holds, from the overview of the walk."""
        time.sleep(SETTLED_S)
        self.page.locator("button.place").click()
        self.page.get_by_role("button", name="Save what is kept here as a file").wait_for()
        time.sleep(SETTLED_S)
        with self.page.expect_download() as download:
            self.page.get_by_role("button", name="Save what is kept here as a file").click()
        return Path(download.value.path()).read_text(encoding="utf-8")
