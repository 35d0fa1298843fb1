"""The desk on a year of records: first answer, memory, 50 people with think time, what-if, and at the browser."""

from __future__ import annotations

import importlib.util
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median, quantiles

from bench.desk_process import Client, Desk

PEOPLE = ("sunde", "okafor-lind", "halloran", "castellane", "arrowood")
CLIENTS, THINK_S, LASTS_S = 50, 2.0, 40.0
STARTS, WHAT_IFS = 3, 20
TYPES_S = 2.0
"""How long a person takes to write a figure and reach the button."""
CHROMIUM = Path("/usr/bin/chromium")


def lines() -> Iterator[str]:
    """Yield what the desk takes."""
    with tempfile.TemporaryDirectory(prefix="gyrewright-bench-") as folder:
        data = Path(folder) / "data"
        begun = time.perf_counter()
        records = _made_apart(data)
        size_mb = (data / "book.sqlite3").stat().st_size / 1e6
        yield f"a year of the demonstration: {records:,} records, {size_mb:.0f} MB, made in {_s(begun):.0f} s"
        starts = []
        for _ in range(STARTS):
            with Desk(data) as desk:
                starts.append(desk.first_answer_s)
        yield f"first answer after start: {median(starts):.2f} s (median of {STARTS}; {_load()})"
        with Desk(data) as desk:
            time.sleep(2.0)
            yield f"memory at rest, whole process group: {desk.memory_mb():.0f} MB after start"
            one = Client(desk, "sunde")
            today = one.ask("/today/").decode()
            flights = re.findall(r'href="(/flight/[0-9a-f-]{36})"', today)
            for each in flights:
                one.ask(each)
            yield f"  {desk.memory_mb():.0f} MB after one person has looked at the day and at every flight"
            yield from _load_lines(desk, flights)
            yield f"  {desk.memory_mb():.0f} MB after that"
            one.close()
            yield from _what_if_lines(Client(desk, "sunde"), flights[0])
            yield from _browser_lines(desk, flights[0])


def _made_apart(folder: Path) -> int:
    """Make the book in a process of its own: this one stays free of the desk's settings."""
    code = "import pathlib, sys; from bench.desk_year import make_year; print(make_year(pathlib.Path(sys.argv[1])))"
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    ran = subprocess.run([sys.executable, "-c", code, str(folder)], check=True, capture_output=True, env=environ)
    return int(ran.stdout.split()[-1])


def _s(begun: float) -> float:
    return time.perf_counter() - begun


def _load() -> str:
    return f"load {os.getloadavg()[0]:.1f}"


def _load_lines(desk: Desk, flights: list[str]) -> Iterator[str]:
    """Yield the times of pages and of a file while 50 people look around, each thinking between two pages."""
    took: dict[str, list[float]] = {"Today": [], "Flight": [], "a file from the same server": []}
    failed: list[str] = []
    ends = time.perf_counter() + LASTS_S
    lock = threading.Lock()
    style = re.search(r'href="(/static/desk\.css[^"]*)"', Client(desk, "sunde").ask("/today/").decode())
    file = style.group(1) if style else "/static/desk.css"

    def look_around(number: int) -> None:
        drawn = random.Random(number)
        person = PEOPLE[number % len(PEOPLE)]
        try:
            client = Client(desk, person)
            mine = re.findall(r'href="(/flight/[0-9a-f-]{36})"', client.ask("/today/").decode()) or flights[:1]
            time.sleep(drawn.uniform(0.0, THINK_S))
            while time.perf_counter() < ends:
                kind = drawn.choices(list(took), weights=(45, 45, 10))[0]
                path = {"Today": "/today/", "Flight": drawn.choice(mine)}.get(kind, file)
                begun = time.perf_counter()
                client.ask(path)
                with lock:
                    took[kind].append(time.perf_counter() - begun)
                time.sleep(drawn.expovariate(1.0 / THINK_S))
            client.close()
        except Exception as error:
            failed.append(f"{type(error).__name__}: {error}")

    processor = desk.processor_s()
    several = [threading.Thread(target=look_around, args=(number,)) for number in range(CLIENTS)]
    begun = time.perf_counter()
    for each in several:
        each.start()
    for each in several:
        each.join()
    lasted = _s(begun)
    count = sum(len(each) for each in took.values())
    share = (desk.processor_s() - processor) / lasted
    yield (
        f"{CLIENTS} people, {count / lasted:.1f} requests a second over {lasted:.0f} s ({_load()};"
        f" the desk used {share:.2f} of one core):"
    )
    for kind, times in took.items():
        middle, p95, most = (1e3 * each for each in (median(times), quantiles(times, n=20)[-1], max(times)))
        yield f"  {kind}: median {middle:.0f} ms, p95 {p95:.0f} ms, most {most:.0f} ms ({len(times)})"
    if failed:
        yield f"  {len(failed)} people met an error: {failed[0]}"


def _what_if_lines(client: Client, flight: str) -> Iterator[str]:
    times = []
    for number in range(WHAT_IFS):
        begun = time.perf_counter()
        client.ask(f"{flight}?fuel={30 + number}.5+L")
        times.append(_s(begun) * 1e3)
    p95 = quantiles(times, n=20)[-1]
    said = f"median {median(times):.0f} ms, p95 {p95:.0f} ms ({WHAT_IFS}, each with other fuel; {_load()})"
    yield f"what-if, at the server: {said}"


def _browser_lines(desk: Desk, flight: str) -> Iterator[str]:
    """Yield the same at a browser: from the touch on until the answer stands on the page."""
    if not CHROMIUM.exists() or importlib.util.find_spec("playwright") is None:
        yield "what-if, at the browser: not run, there is no browser here"
        return
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, headless=True, args=flags)
        page = browser.new_page(viewport={"width": 390, "height": 844})
        address = f"http://127.0.0.1:{desk.port}"
        page.goto(f"{address}/door")
        page.locator("form", has=page.locator('input[value="sunde"]')).get_by_role("button").click()
        page.wait_for_url("**/today/")
        page.goto(address + flight)
        took: dict[str, list[float]] = {f"touched {TYPES_S:g} s after the page came": [], "touched at once": []}
        for waits, times in zip((True, False), took.values(), strict=True):
            for number in range(WHAT_IFS):
                # Coming to the field lets the pictures below it come too, as it does for a person who types.
                page.get_by_label("Fuel", exact=True).fill(f"{30 + number}.{25 if waits else 75} L")
                page.wait_for_timeout(1e3 * TYPES_S if waits else 0.0)
                with page.expect_navigation(wait_until="domcontentloaded"):
                    page.get_by_role("button", name="Ask again").click()
                entry = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"
                times.append(float(page.evaluate(entry)))
        browser.close()
    for when, times in took.items():
        p95 = quantiles(times, n=20)[-1]
        said = f"median {median(times):.0f} ms, p95 {p95:.0f} ms ({WHAT_IFS}; {_load()})"
        yield f"what-if, at the browser, {when}: {said}"
