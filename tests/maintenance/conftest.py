"""A machine from a few lines of program and books, and what the checks find on one flight of it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from functools import cache
from importlib.resources import files
from typing import Any

import pytest

from gyrewright import maintenance
from gyrewright.check import Check
from gyrewright.fact import Fact
from gyrewright.finding import Finding, Verdict
from gyrewright.reading import Problems, section_of
from gyrewright.sheet import Plan, Sheet
from gyrewright.words.catalogue import Template, template

ZONE = timezone(timedelta(hours=-7))

HOUSE = """
interval_allowance = "0.1 h"
meter_reading_stands = "7 days"
mandatory_areas = ["rotor", "hub", "mast", "controls"]
second_look_areas = ["rotor", "controls", "rotor brake", "pre-rotator drive"]
repeat_times = 3
repeat_days = 60
flown_past_bars = ["test"]
no_over_for = ["instruction"]
directives_stand = "60 days"
alone_after_event = "24 h"
"""

PROGRAM = """
papers = ["airworthiness certificate"]
[[task]]
id = "100h"
name = "100 h check"
kind = "inspection"
clock = [{ meter = "tachometer", every = "100 h" }]
"""

RECORDS = """
aircraft = "G1"
directives_read_on = 2027-06-01
booking = []
defect = []
event = []
work = []
[[meter]]
name = "tachometer"
[[meter.reading]]
at = 2027-06-12T06:00:00-07:00
shows = "1200.0 h"
[[done]]
task = "100h"
on = 2027-01-04
at = { tachometer = "1190.0 h" }
signed_by = "M1"
[[paper]]
name = "airworthiness certificate"
expires_on = "never"
aboard = true
"""

ENTITLED = {
    "assess a defect": frozenset({"M1", "M2"}),
    "defer a defect": frozenset({"M1", "M2"}),
    "close a defect": frozenset({"M1", "M2"}),
    "close a third report": frozenset({"M1"}),
    "sign work": frozenset({"M1", "M2"}),
    "second look": frozenset({"M1", "M2", "I1"}),
    "condition inspection": frozenset({"M1"}),
    "event inspection": frozenset({"M1", "M2"}),
    "sign flights beyond an interval": frozenset({"AM"}),
    "decide on a notice": frozenset({"AM"}),
    "fly a check flight": frozenset({"I1"}),
}


def at(text: str) -> datetime:
    """Return a moment of local time."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


def read_all(
    program: str, records: str, house: str
) -> tuple[maintenance.Program, maintenance.Records, dict[str, Fact]]:
    problems = Problems()
    top = section_of(program, file="program.toml", problems=problems)
    made = maintenance.read_program(top)
    top.finish()
    books_top = section_of(records, file="records.toml", problems=problems)
    books = maintenance.read_records(books_top)
    books_top.finish()
    facts = maintenance.read_house(section_of(house, file="house.toml", problems=problems))
    problems.stop_if_any()
    return made, books, facts


def flight(**given: Any) -> dict[str, Any]:
    """Return the words of an ordinary lesson on 12 June 2027 at 08:00, changed as given."""
    plan: dict[str, Any] = {
        "asked_at": at("2027-06-12T07:50"),
        "depart_at": at("2027-06-12T08:00"),
        "block_h": 1.0,
        "purpose": "instruction",
        "lesson": "circuits",
        "aboard_count": 2,
        "commander": "I1",
        "configuration": frozenset(),
        "entitled": ENTITLED,
        "sunrise_at": at("2027-06-12T05:20"),
        "sunset_at": at("2027-06-12T20:44"),
    }
    plan.update(given)
    start: datetime = plan["depart_at"]
    plan.setdefault("flight_on", start.date())
    block = plan["block_h"]
    plan.setdefault("land_at", None if block is None else start + timedelta(hours=block))
    return plan


def run(check: Check, sheet: Sheet) -> tuple[Finding, ...]:
    cells = [sheet.cell(name) for name in check.inputs]
    lacking = tuple(dict.fromkeys(lack for cell in cells for lack in cell.lacking))
    if lacking:
        return (Finding(check.id, Verdict.UNKNOWN, "unknown", lacking=lacking),)
    found = check.judge(*(cell.value for cell in cells))
    if found is None:
        return ()
    return found if isinstance(found, tuple) else (found,)


@cache
def words() -> dict[str, dict[str, Template]]:
    """Return the room's own sentences, as the catalogue reads them."""
    text = (files("gyrewright.words") / "en-US" / "maintenance.toml").read_text(encoding="utf-8")
    return {name: {key: template(each) for key, each in table.items()} for name, table in tomllib.loads(text).items()}


def check_words(found: Finding) -> None:
    """Fail where a finding, a condition or a cure has no sentence, or one that asks for what it does not bring."""
    tables = words()
    sentence = tables[found.id][found.why]
    assert sentence.names <= {*found.params, "lacking"}, (found.id, found.why, sentence.names - found.params.keys())
    for table, things in (("condition", found.conditions), ("cure", found.cures)):
        for thing in things:
            assert tables[table][thing.id].names <= thing.params.keys(), thing
    for name in found.lacking:
        assert name in RELEASES_OWN or name in tables["fact"] or name.split(":")[0] + ":" in tables["fact"], name


# Facts of the flight itself, worded where they are made.
RELEASES_OWN = {
    "block_h",
    "purpose",
    "depart_at",
    "asked_at",
    "flight_on",
    "land_at",
    "lesson",
    "aboard_count",
    "configuration",
    "commander",
    "sunrise_at",
    "sunset_at",
}


class Answer:
    """What every check of the room finds on one flight."""

    def __init__(self, findings: tuple[Finding, ...], sheet: Sheet) -> None:
        for found in findings:
            check_words(found)
        self.findings = findings
        self.sheet = sheet

    @property
    def verdict(self) -> Verdict:
        return max(found.verdict for found in self.findings)

    def of(self, id: str, about: str = "") -> list[Finding]:
        return [found for found in self.findings if found.id == id and (not about or found.about == about)]

    def one(self, id: str, about: str = "") -> Finding:
        found = self.of(id, about)
        assert len(found) == 1, found
        return found[0]

    @property
    def refused(self) -> set[tuple[str, str, str]]:
        return {(one.id, one.about, one.why) for one in self.findings if one.verdict >= Verdict.UNKNOWN}


def ask(
    program: str = PROGRAM,
    records: str = RECORDS,
    house: str = HOUSE,
    without: tuple[str, ...] = (),
    counts: dict[str, float] | None = None,
    change: Callable[[maintenance.Records], maintenance.Records] | None = None,
    **given: Any,
) -> Answer:
    made, books, facts = read_all(program, records, house)
    if change is not None:
        books = change(books)
    facts = {
        **facts,
        **maintenance.facts(made, books, counts_planned=counts, where="records.toml"),
        **{name: Fact(name, value) for name, value in flight(**given).items()},
    }
    for name in without:
        facts[name] = replace(facts[name], value=None, doubt="missing")
    sheet = Sheet(facts, Plan((*maintenance.RECIPES, *maintenance.LAW_RECIPES)))
    return Answer(tuple(found for check in maintenance.CHECKS for found in run(check, sheet)), sheet)


@pytest.fixture
def asked() -> Callable[..., Answer]:
    """The question: `asked(program, records, house, **flight)`."""
    return ask


@pytest.fixture
def books() -> dict[str, str]:
    """The plain program, books and house of a machine on which nothing is due."""
    return {"program": PROGRAM, "records": RECORDS, "house": HOUSE}


@pytest.fixture
def local() -> Callable[[str], datetime]:
    return at


@pytest.fixture
def day() -> date:
    return date(2027, 6, 12)
