"""A newcomer's first hour: from an empty data folder to an own aircraft's first release, every touch counted."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.urls import reverse

from gyrewright.desk.services import state
from kit.desk_process import RunningDesk, plain_environ
from kit.phone import Phone, Walker

from .first_hour import PAGES, TICK, dated

WEATHER = {
    "Wind from": "90 deg",
    "Wind, mean": "6 kt",
    "Gust": "none",
    "Visibility": "20 km",
    "Cloud base": "none",
    "Temperature": "12 C",
    "Dew point": "4 C",
    "Altimeter": "29.98 inHg",
}
NEW_PASSWORD = "gorse hill in may"


def opened(folder):
    """Open an own book by its command, as the guide says, and return the password that it prints."""
    said = subprocess.run(
        [Path(sys.executable).with_name("gyrewright"), "open", "Gorse Hill", "ost", "Ada Ost", "--data", folder],
        check=True,
        capture_output=True,
        text=True,
        env=plain_environ(),
        timeout=60,
    ).stdout
    return said.split()[-1]


def answer(newcomer, values):
    """Answer the questions of a page, by the names of their fields."""
    page = newcomer.page
    for name, value in values.items():
        if value == TICK:
            key, _, word = name.partition("=")
            newcomer.touch(page.locator(f'[name="{key}"][value="{word}"]'))
        elif isinstance(value, tuple):
            newcomer.choose(page.locator(f'[name="{name}"]'), value[1])
        else:
            newcomer.fill(page.locator(f'[name="{name}"]'), value)


def enter(newcomer, path, values):
    """Go to a page from the opening by its link, answer it, and enter it; ends on the opening."""
    page = newcomer.page
    link = page.locator(f'a[href="/opening/{path}"]')
    if not link.first.is_visible():
        newcomer.touch(page.locator("details", has=link).locator("summary"))
    newcomer.touch(link.first)
    answer(newcomer, values)
    newcomer.touch("Enter this page")
    page.wait_for_load_state()
    assert page.url.endswith("/opening/"), newcomer.words


def noon_field():
    """Return where it is about eleven in the morning now, and how many hours ahead: the first flight is by day."""
    hour = datetime.now(UTC).hour
    ahead = (11 - hour + 12) % 24 - 12
    east = ahead * 15
    zone = f"Etc/GMT{-ahead:+d}" if ahead else "Etc/GMT"
    return {"latitude": "12.00 N", "longitude": f"{abs(east)}.00 {'E' if east >= 0 else 'W'}", "time_zone": zone}, ahead


def test_a_newcomer_reaches_a_first_release(tmp_path, visitor, at_folder, capsys):
    folder = tmp_path / "own"
    password = opened(folder)
    desk = RunningDesk(folder, is_demo=False).start()
    try:
        newcomer = visitor(desk)
        page = newcomer.page
        newcomer.go("/")
        newcomer.fill("Name", "ost")
        newcomer.fill("Password", password)
        newcomer.touch("Log in")
        newcomer.fill("Password now", password)
        newcomer.fill("New password", NEW_PASSWORD)
        newcomer.fill("New password again", NEW_PASSWORD)
        newcomer.touch("Change it")
        assert page.url.endswith("/opening/")
        here, ahead = noon_field()
        local = datetime.now(UTC) + timedelta(hours=ahead)

        def day(ago):
            return (local - timedelta(days=ago)).date().isoformat()

        for path, values in (*PAGES, *dated(day, local.strftime("%Y-%m-%dT%H:%M"))):
            enter(newcomer, path, values | here if path.endswith("field/place") else values)
        assert "Nothing but the day itself is lacking" in newcomer.words
        entered = newcomer.touches
        ask(newcomer, start=local + timedelta(minutes=25))
        flight = page.url.rpartition("/")[2]
        give(newcomer)
        touched = newcomer.touches
        walked = walk_round(newcomer, folder, at_folder)
        newcomer.go(f"/flight/{flight}")
        while newcomer.page.get_by_role("button", name="I sign all of this").count():
            newcomer.touch("I sign all of this")
        newcomer.fill(page.locator("#why-together"), "read again in the manual, page by page, this morning")
        newcomer.touch(page.get_by_role("button", name=re.compile("I judge all")))
        assert page.get_by_role("button", name="I release this flight").count(), newcomer.words
        newcomer.touch("I release this flight")
        assert re.search(r"/release/[0-9a-f-]{36}$", page.url), newcomer.words
        assert "Ada Ost" in newcomer.words
        newcomer.go("/")
        assert page.url.endswith("/today/"), "the opening is over"
        with capsys.disabled():
            print(
                f"\nan own aircraft's first release: {newcomer.touches} touches, {entered} of them to enter house, "
                f"field, aircraft, logs and papers page by page, {touched - entered} to ask and give the day's facts, "
                f"{newcomer.touches - touched} to sign, judge and release; the walk-round has {walked} more"
            )
    finally:
        desk.stop()


def ask(newcomer, start):
    """Ask for a short flight alone."""
    newcomer.touch("Today")
    newcomer.touch("Ask for a flight")
    newcomer.touch("Kittiwake N0-404K")
    newcomer.choose("What for", "private")
    newcomer.fill("Lesson", "local flight")
    newcomer.choose("Commander", "Ada Ost")
    newcomer.choose("Seat: front", "Ada Ost")
    newcomer.choose("Seat: rear", "empty")
    newcomer.fill("Start, by the field's clock", start.strftime("%H:%M"))
    newcomer.fill("Length, engine running", "0.7 h")
    newcomer.choose("Take-offs", "first only")
    newcomer.choose("Runway", "09")
    newcomer.choose("Runway is", "dry")
    newcomer.fill("Height above ground", "800 ft")
    newcomer.choose("Lands elsewhere", "no")
    newcomer.touch("May it?")


def give(newcomer):
    """Give what is read at the field: it has no report and no forecast."""
    newcomer.fill("Fuel by stick", "40 L")
    for label, text in WEATHER.items():
        newcomer.fill(label, text)
    newcomer.choose("by", "magnetic")
    for label in ("There is no report for this field", "There is no forecast for it"):
        newcomer.touch(newcomer.page.get_by_label(label))
    newcomer.touch("This is what I read now")


def walk_round(newcomer, folder, at_folder):
    """Hand over a whole walk-round as this browser's phone page would, and return how many answers it had."""
    newcomer.go("/walk/")
    newcomer.touch(newcomer.page.get_by_role("link", name="Kittiwake"))
    cookies = {each["name"]: each["value"] for each in newcomer.page.context.cookies()}
    with at_folder(folder, is_demo=False):
        now = datetime.now(UTC)
        walker = Walker(Phone("ost", device=cookies["gyrewright_phone"]), "N0-404K", now - timedelta(minutes=40))
        walker.begin(state.machine("N0-404K", now).aircraft.definition.equipment)
        walker.answer_all()
        walker.sign()
        assert walker.at < now, "the answers would lie ahead of the clock"
        sent = walker.phone.sent(datetime.now(UTC))
    request = newcomer.page.request
    token = request.get(f"{newcomer.address}{reverse('walk-token')}").json()["token"]
    reply = request.post(
        f"{newcomer.address}{reverse('walk-hand-over')}",
        data=sent,
        headers={"content-type": "application/json", "x-csrftoken": token},
    )
    assert reply.status == 200, reply.text()
    assert {each["outcome"] for each in reply.json()["results"]} == {"kept"}
    return len(walker.phone.acts)
