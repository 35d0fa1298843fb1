"""Fixture F: the invented field, aircraft, people and house rules of the acceptance scenarios, as files.

Reading rule SR1 (a fact that a scenario does not mention is present, fresh and within every limit) is carried out here,
in the test's own text: `flight` spells out every fact of a good day, and a scenario changes what it tells of. In the
tool itself silence stays unknown.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from gyrewright.air.course import Course, largest, minutes
from gyrewright.finding import Finding, Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.files import read_question
from gyrewright.release.question import Question
from gyrewright.units import to_unit

HERE = Path(__file__).parent / "fixture_f"
KT = 1852.0 / 3600.0
FT = 0.3048
FT_MIN = 0.3048 / 60.0

DENSITY_ALTITUDE_FT, CLIMB_FT_MIN, DISTANCE_M, MASS_KG, CG_M = 150.0, 15.0, 15.0, 0.1, 0.002
"""The tolerances that the scenarios give for their numbers."""

ROOMS: frozenset[str] = frozenset(
    ("loading", "fuel", "performance", "wind", "weather", "light", "acts", "clock", "aircraft", "cautions", "time")
)
"""The rooms of the numbers: `against` names theirs, so that a scenario about numbers need not list what the law says of
the same numbers. The verdict is always that of the whole answer."""

DECLARED = (
    "briefing_taken",
    "restrictions_clear",
    "radio_and_clearance_arranged",
    "heights_planned",
    "flow_avoided",
    "belts_briefed",
    "nature_advised",
    "instructor_scope_stated",
)
PLANNED = {
    "commander_finds_safe": "true",
    "ground_in_sight": "true",
    "planned_height": '"700 ft"',
    "planned_altitude": '"2850 ft"',
    "farthest_from_start": '"5 km"',
    "lands_elsewhere": "false",
}
"""What a flight declares and plans on a good day."""

_LONG = {"d": "days", "h": "hours", "min": "minutes"}


def filled(text: str, asked_at: datetime) -> str:
    """Return a text in which AGO_20min, AGO_4d_LESS_13min, DAY_AGO_22 and DAY_AHEAD_30 are moments and dates."""

    def moment(found: re.Match[str]) -> str:
        back = timedelta(**{_LONG[found[2]]: int(found[1])})
        less = timedelta(**{_LONG[found[4]]: int(found[3])}) if found[3] else timedelta(0)
        return (asked_at - back + less).isoformat()

    def day(found: re.Match[str]) -> str:
        sign = 1 if found[1] == "AHEAD" else -1
        return (asked_at + sign * timedelta(days=int(found[2]))).date().isoformat()

    text = re.sub(r"\bDAY_(AGO|AHEAD)_(\d+)\b", day, text)
    return re.sub(r"\bAGO_(\d+)(d|h|min)(?:_LESS_(\d+)(d|h|min))?\b", moment, text)


@dataclass
class Row:
    """The weather at one time: direction and speeds in degrees and knots, as the scenarios tell it."""

    at: str
    wind: tuple[int, int, int | None] | None = (250, 8, None)
    temperature: str | None = "18 C"
    altimeter: str | None = "1018 hPa"
    visibility: str | None = "10 km"
    cloud: str | None = "none"

    def lines(self) -> str:
        out = [f"at = {self.at}", 'by = "station"']
        if self.wind is not None:
            direction, mean, gust = self.wind
            out += [f'wind_from = "{direction} deg"', 'reference = "true"', f'wind = "{mean} kt"']
            out.append(f'gust = "{gust} kt"' if gust is not None else 'gust = "none"')
        for key in ("temperature", "altimeter", "visibility"):
            if getattr(self, key) is not None:
                out.append(f'{key} = "{getattr(self, key)}"')
        if self.cloud is not None:
            out.append(f'cloud_base = "{self.cloud}"')
        out += ["weather = []"]
        return "\n".join(out)


@dataclass
class Flight:
    """A flight of the fixture; the defaults are those of the ordinary good day, A15."""

    asked_at: str = "2027-07-14T08:30:00-05:00"
    depart: str = ""
    block_h: float | str = 1.0
    aircraft: str = "G1"
    purpose: str = "instruction"
    lesson: str = "circuits"
    seats: dict[str, str] = field(default_factory=lambda: {"front": "S1", "rear": "I1"})
    parts: dict[str, str] = field(default_factory=lambda: {"commander": "I1", "instructor": "I1", "student": "S1"})
    runway: str = "27"
    fuel_l: float | None = 40.0
    loads: dict[str, str] | None = None
    observed: Row | None = None
    rows: list[Row] = field(default_factory=list)
    take_offs: str = "throughout"
    extra: str = ""
    house: str = ""
    present: tuple[str, ...] = ("I1",)
    named: tuple[str, ...] = ()
    people: tuple[str, str] = ("", "")
    edits: tuple[tuple[str, str, str], ...] = ()
    law: dict[str, str] = field(default_factory=dict)

    def text(self) -> str:
        asked = datetime.fromisoformat(self.asked_at)
        depart = self.depart or self.asked_at
        observed = self.observed or Row((asked - timedelta(minutes=12)).isoformat())
        loads = (
            self.loads
            if self.loads is not None
            else dict.fromkeys(("ballast",) if self.aircraft == "G1" else ("locker", "ballast"), "0 kg")
        )
        quoted = [f'{key} = "{value}"' for key, value in self.parts.items()]
        lines = [
            'kind = "flight"',
            'operation = "operation.toml"',
            f"asked_at = {self.asked_at}",
            f'aircraft = "{self.aircraft}"',
            f'purpose = "{self.purpose}"',
            f'lesson = "{self.lesson}"',
            f'runway = "{self.runway}"',
            'runway_state = "dry"',
            "configuration = []",
            f"present = {list(self.present)}",
            f"named = {list(self.named)}",
            "[time]",
            f"depart = {depart}",
            f'block = "{self.block_h} h"' if self.block_h != "open" else 'block = "open"',
            f'take_offs = "{self.take_offs}"',
            "[seats]",
            *(f'{seat} = "{person}"' for seat, person in self.seats.items()),
            "[parts]",
            *quoted,
            "[loads]",
            *(
                f'{place} = "{mass}"' if not mass.startswith("{") else f"{place} = {mass}"
                for place, mass in loads.items()
            ),
            "[fuel]",
        ]
        if self.fuel_l is not None:
            lines += [f'gauge = "{self.fuel_l} L"', f'stick = {{ value = "{self.fuel_l} L", at = {self.asked_at} }}']
        lines += [self.extra, "[weather]", "reports = []", "forecasts = []", *([] if self.rows else ["row = []"])]
        lines += ["[weather.observation]", observed.lines()]
        for row in self.rows:
            lines += ["[[weather.row]]", row.lines()]
        law = {**dict.fromkeys(DECLARED, "{ said = true, at = AGO_10min }"), **PLANNED, **self.law}
        lines += ["[law]", *(f"{key} = {said}" for key, said in law.items() if said)]
        return filled("\n".join(lines), asked)


def question(flight: Flight) -> Question:
    """Return the question that a flight of the fixture asks, read from its files."""

    def fetch(path: str) -> str:
        if path == "flight.toml":
            return flight.text()
        asked = datetime.fromisoformat(flight.asked_at)
        text = (HERE / path).read_text()
        for file, old, new in (("people.toml", *flight.people), *flight.edits):
            if file == path:
                assert old in text, f"{old!r} is not in {path}"
                text = text.replace(old, new) if old else text + new
        return filled(text + flight.house if path == "operation.toml" else text, asked)

    return read_question("flight.toml", fetch)


def answer(flight: Flight) -> Answer:
    """Return what is decided about a flight of the fixture."""
    return decide(question(flight))


def verdict_of(answer: Answer) -> Verdict:
    """Return the verdict of the whole answer."""
    return answer.verdict


def verdict_of_rooms(answer: Answer) -> Verdict:
    """Return the worst verdict among the findings of `ROOMS`."""
    return max(each.verdict for each in answer.findings if each.id.partition(".")[0] in ROOMS)


def against(answer: Answer) -> set[str]:
    """Return the ids of the findings of `ROOMS` that are reasons against the flight, or conditions on it."""
    return {each.id for each in answer.findings if each.verdict > Verdict.GO and each.id.partition(".")[0] in ROOMS}


def all_against(answer: Answer) -> set[str]:
    """Return the ids of every finding that is a reason against the flight, or a condition on it."""
    return {each.id for each in answer.findings if each.verdict > Verdict.GO}


def at(answer: Answer, name: str, when: str) -> float:
    """Return a course of the answer's sheet at one moment, inside units."""
    course: Course = answer.situation.sheet.value(name)
    minute = minutes(datetime.fromisoformat(when))
    found = largest(course, minute, minute)
    assert isinstance(found, float)
    return found


def finding(answer: Answer, id: str, about: str = "") -> Finding:
    """Return the one finding of an id."""
    (found,) = [each for each in answer.findings if each.id == id and (not about or each.about == about)]
    return found


def value(answer: Answer, name: str, dimension: str, symbol: str) -> float:
    """Return a number of the answer's sheet in a unit."""
    return float(to_unit(dimension, answer.situation.sheet.value(name), symbol))
