"""A newcomer's first hour: from an empty data folder to an own aircraft's first release, every touch counted."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kit.desk_process import RunningDesk, plain_environ

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


def test_a_newcomer_reaches_a_first_release(tmp_path, visitor):
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
        newcomer.touch("Today")
        newcomer.touch("Ask for a flight")
        newcomer.touch("Kittiwake N0-404K")
        start = (local + timedelta(minutes=25)).strftime("%H:%M")
        newcomer.choose("What for", "private")
        newcomer.choose("Commander", "Ada Ost")
        newcomer.choose("Seat: front", "Ada Ost")
        newcomer.choose("Seat: rear", "empty")
        newcomer.fill("Lesson", "local flight")
        newcomer.fill("Start, by the field's clock", start)
        newcomer.fill("Length, engine running", "0.7 h")
        newcomer.choose("Take-offs", "first only")
        newcomer.choose("Runway", "09")
        newcomer.choose("Runway is", "dry")
        newcomer.fill("Height above ground", "800 ft")
        newcomer.choose("Lands elsewhere", "no")
        newcomer.touch("May it?")
        newcomer.fill("Fuel by stick", "40 L")
        for label, text in WEATHER.items():
            newcomer.fill(label, text)
        newcomer.choose("by", "magnetic")
        newcomer.touch(page.get_by_label("There is no report for this field"))
        newcomer.touch(page.get_by_label("There is no forecast for it"))
        newcomer.touch("This is what I read now")
        newcomer.touch("I sign all of this")
        print(entered, newcomer.touches, newcomer.words)
    finally:
        desk.stop()
