"""What a phone shows of an answer with no network: when the desk was last heard, until when it holds, and no longer."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from kit.browser import PHONE

PAGE = "/walk/at/N0-101D/walk-round"


def test_an_answer_in_the_phones_own_memory_says_its_age_and_dies_with_its_shortest_lived_fact(demo_desk, visitor):
    one = visitor(demo_desk, "sunde", width=PHONE).go(PAGE)
    one.page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    with one.page.expect_response("**/walk/hand-over"):
        one.page.reload()
    one.page.get_by_role("button", name="Begin").wait_for()
    assert re.search(r"The 06:30 flight: .+ Computed 06:1\d, expires \d\d:\d\d\.", one.words)
    data = one.page.evaluate("JSON.parse(document.getElementById('data').textContent).flight")
    expires, computed = (datetime.fromisoformat(data[each]) for each in ("expires", "computed"))
    assert timedelta(0) < expires - computed < timedelta(hours=2)
    assert "mass" not in str(data)

    one.page.context.set_offline(True)
    one.allow("ERR_INTERNET_DISCONNECTED|Failed to load resource|Failed to fetch")
    one.page.reload()
    one.page.get_by_role("button", name="Begin").wait_for()
    assert re.search(r"Desk last heard 06:1\d", one.words)
    assert "expires" in one.words

    # By the phone's own clock, once that moment is past.
    one.page.clock.set_fixed_time(datetime.now().astimezone() + (expires - computed) + timedelta(minutes=5))
    one.page.reload()
    one.page.get_by_role("button", name="Begin").wait_for()
    assert re.search(r"The 06:30 flight: what the desk said at 06:1\d has expired", one.words)
    assert data["mark"] not in one.words.split("has expired")[0].partition("The 06:30 flight")[2]
    one.page.context.set_offline(False)
