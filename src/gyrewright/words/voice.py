"""How one answer is spoken: its language, its units, its clock and its people; any value as text.

A gap of a template is filled from what the finding brings, and else from the sheet: `{land_at}`, `{runway_name}` and
`{cg_path.aft_mass_kg}` are names of the sheet. What a gap's name cannot tell, its spec does: `{age_h:duration}`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from gyrewright.fact import Fact
from gyrewright.finding import Limit, Source
from gyrewright.release.situation import Situation
from gyrewright.sheet import Sheet
from gyrewright.words.catalogue import PARTS, Catalogue, Template, catalogue
from gyrewright.words.numbers import chosen, digits, dimension_of, shown

_REPORT = re.compile(r"(?:(?:METAR|SPECI) )?(?:COR )?[A-Z][A-Z0-9]{3} \d{6}Z")
_CAREFUL = {"duration": "", "longer": "up", "shorter": "down"}
"""To which side a length of time is rounded, by the spec of its gap."""
MIN_PER_H = 60.0
MIN_PER_DAY = 1440
LONG_MIN = 120
"""From here on a length of time reads better in hours and minutes."""
LONG_AGE_H = 48.0
"""From here on an age reads better in days."""


class Manner(NamedTuple):
    """What a sentence depends on beside the facts: the words, units and names used, the clock, and the day meant."""

    words: Catalogue
    preferred: Mapping[str, str]
    names: Mapping[str, str]
    zone: ZoneInfo
    day: date | None


@dataclass(frozen=True, slots=True)
class Voice:
    """One reader's way of hearing one answer."""

    words: Catalogue
    preferred: Mapping[str, str]
    names: Mapping[str, str]
    zone: ZoneInfo
    day: date | None
    asked_at: datetime | None
    sheet: Sheet
    moments: dict[tuple[datetime, bool], str] = field(default_factory=dict)

    def manner(self) -> Manner:
        """Return what makes this voice's sentences differ from another's about the same facts."""
        return Manner(self.words, self.preferred, self.names, self.zone, self.day)

    # --- words --------------------------------------------------------------------------------------------------------

    def word(self, table: str, key: str, /, **gaps: Any) -> str:
        """Return the words for a key of a table; a key that has none reads as itself."""
        found = self.words.word(table, key)
        if found is None:
            found = self.words.word(table, "any")
            if found is None:
                return key.replace("_", " ")
            gaps.setdefault("name", key.replace("_", " "))
        template, part = found
        if not template.names:
            return template.text
        if part:
            gaps.setdefault("part", self.part(part))
            gaps.setdefault("place", self.place(part))
        return self.fill(template, gaps.get)

    def named(self, gaps: Mapping[str, Any]) -> dict[str, Any]:
        """Return what fills gaps with every person by name."""
        return {key: self.names.get(value, value) if isinstance(value, str) else value for key, value in gaps.items()}

    def part(self, key: str) -> str:
        """Return a station, table, quantity or person in words; several are joined, a kind before its place is not."""
        if key in self.names:
            return self.names[key]
        if "+" in key:
            return self.joined(self.part(each) for each in key.split("+"))
        if ":" in key:
            kind, _, place = key.partition(":")
            return f"{self.part(kind)} on {self.part(place)}"
        found = self.words.word("part", key)
        return found[0].text if found else key.replace("_", " ")

    def check(self, name: str) -> str:
        """Return a check by its name, "id:part", in few words; one that has none of its own by its question."""
        id, _, about = name.partition(":")
        own = self.words.tables.get(id, {})
        if "name" in own and (about or not own["name"].names):
            text = self.fill(own["name"], lambda gap: self.place(about) if gap == "place" else self.part(about))
            return text if not about or own["name"].names else f"{text}, {self.part(about)}"
        if "question" in own and (about or not own["question"].names):
            return f'"{self.fill(own["question"], lambda gap: self.part(about))}"'
        return id.rpartition(".")[2].replace("_", " ")

    def layer(self, limit: Limit) -> str:
        """Return whose limit it is, and for whom or what it was written."""
        whose = self.word("layer", limit.whose.value)
        if not limit.scope or limit.scope in (whose, limit.whose.value):
            return whose
        found = self.words.word("part", limit.scope)
        return f"{whose} ({found[0].text if found else limit.scope})"

    def place(self, key: str) -> str:
        """Return a station as the place where a load is: on the front seat, in the locker."""
        if "+" in key:
            return self.joined(self.place(each) for each in key.split("+"))
        found = self.words.word("place", key)
        return found[0].text if found else self.word("place", "any", part=self.part(key))

    def joined(self, texts: Iterable[str]) -> str:
        """Return a list in words: one, two and three."""
        several = list(texts)
        if len(several) < 2:
            return several[0] if several else ""
        text = self.word("joined", "two", first=several[-2], second=several[-1])
        for each in reversed(several[:-2]):
            text = self.word("joined", "many", first=each, rest=text)
        return text

    def sentence(self, template: Template, gap: Callable[[str], Any]) -> str:
        """Return a filled template as a sentence: it begins with a capital."""
        return capital(self.fill(template, gap))

    def fill(self, template: Template, gap: Callable[[str], Any]) -> str:
        """Return a template with every gap filled; `gap` returns what a finding brings for a name, or None."""
        if template.is_plain:
            return template.parts[0][0]
        pieces = []
        for literal, name, spec in template.parts:
            pieces.append(literal)
            if name:
                value = gap(name)
                if isinstance(value, str) and not spec:
                    pieces.append(value)
                else:
                    pieces.append(self.text(name, self._of_sheet(name) if value is None else value, spec))
        return "".join(pieces)

    def _of_sheet(self, name: str) -> Any:
        base, _, rest = name.partition(".")
        if base not in self.sheet:
            return None
        value = self.sheet.value(base)
        for attribute in rest.split(".") if rest else ():
            value = getattr(value, attribute, None)
        return value

    # --- values -------------------------------------------------------------------------------------------------------

    def text(self, name: str, value: Any, spec: str = "") -> str:
        """Return any value as a person reads it; its name, or the spec, says what kind of number it is."""
        if type(value) is float:
            return self._number(name, value, spec)
        if isinstance(value, str):
            return self._named(value, spec)
        if value is None:
            return "?"
        if spec.startswith("plural:"):
            _, one, many = spec.split(":")
            return one if value == 1 else many
        if isinstance(value, datetime):
            return self.moment(value, later=spec == "later")
        if isinstance(value, date):
            return self.day_of(value)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, Fact):
            return value.typed
        if isinstance(value, Source):
            return self.source(value)
        if isinstance(value, timedelta):
            return self.duration(value.total_seconds() / 3600.0)
        if isinstance(value, int | float):
            return self._number(name, float(value), spec)
        if isinstance(value, frozenset | set):
            value = sorted(value)
        if isinstance(value, tuple | list):
            return self.joined(self.text(name, each, spec) for each in value)
        return str(value)

    def _named(self, value: str, spec: str) -> str:
        """Return a name of the code in words, as the spec says: of a fact, of a finding, else of a person."""
        if spec == "fact":
            return self.word("fact", value)
        if spec == "finding":
            return self.check(value)
        return self.names.get(value, value)

    def _number(self, name: str, value: float, spec: str) -> str:
        if spec in ("duration", "longer", "shorter"):
            return self.duration(value, careful=_CAREFUL[spec], in_days=spec == "duration")
        dimension = spec or dimension_of(name.rpartition(".")[2])
        if name.endswith("_min"):
            return f"{digits(value, 0)} min"
        if not dimension:
            return digits(value, 2)
        return self.quantity(dimension, value)

    def quantity(self, dimension: str, value: float, *typed: str, difference: bool = False, careful: str = "") -> str:
        """Return a number with its unit, in the unit that this reader prefers."""
        symbol = chosen(dimension, self.preferred, typed)
        return shown(dimension, value, symbol, difference=difference, careful=careful)

    def duration(self, value_h: float, *, careful: str = "", in_days: bool = True) -> str:
        """Return a length of time in whole minutes, hours and minutes, or days; hours of flying never in days."""
        minutes = abs(value_h) * MIN_PER_H
        whole = {"up": math.ceil(round(minutes, 6)), "down": math.floor(round(minutes, 6))}.get(careful, round(minutes))
        if whole < LONG_MIN:
            return f"{whole} min"
        hours, left = divmod(whole, 60)
        if in_days and hours >= LONG_AGE_H:
            return f"{-(-whole // MIN_PER_DAY) if careful == 'up' else whole // MIN_PER_DAY} days"
        return f"{hours} h {left} min" if left else f"{hours} h"

    def moment(self, value: datetime, *, later: bool = False) -> str:
        """Return a time by the field's clock, with its date where it is not the day of the flight."""
        key = (value, later)
        found = self.moments.get(key)
        if found is None:
            found = self.moments[key] = self._moment(value, later)
        return found

    def _moment(self, value: datetime, later: bool) -> str:
        if value.microsecond:
            value = (value + timedelta(microseconds=500_000)).replace(microsecond=0)
        local = value.astimezone(self.zone)
        if later and local.second:
            local += timedelta(minutes=1)
        clock = f"{local:%H:%M}"
        return clock if local.date() == self.day else f"{self.day_of(local.date())} {clock}"

    def day_of(self, value: date) -> str:
        """Return a date in words."""
        months = self.words.tables["calendar"]["months"].text.split()
        return self.word("calendar", "date", day=str(value.day), month=months[value.month - 1], year=str(value.year))

    def weekday(self, value: date) -> str:
        """Return the day of the week."""
        return self.words.tables["calendar"]["days"].text.split()[value.weekday()]

    def source(self, source: Source) -> str:
        """Return where something is written, in one line; empty where nobody has said."""
        page = self.word("source", "page", page=source.section) if source.kind == "manual" else source.section
        told = [
            source.title,
            page if source.section else "",
            self.word("source", "revision", revision=source.revision) if source.revision else "",
            self.day_of(source.dated) if source.dated else "",
        ]
        return ", ".join(each for each in told if each)

    def who(self, text: str) -> str:
        """Return who is meant: a person by id, or whoever has a part in this flight; several by name."""
        if text in PARTS:
            text = self.sheet.value(text) or text
        return self.joined(self.names.get(each, each) for each in text.split(" or ")) if text else ""

    def by(self, text: str) -> str:
        """Return who says so: a report by its station and time, a forecast as such, a person by name."""
        report = _REPORT.match(text)
        if report:
            return report.group()
        found = self.words.word("by", text)
        return found[0].text if found else self.names.get(text, text)

    def clock_name(self) -> str:
        """Return the short name of the field's time on the day of the flight."""
        moment = self.asked_at
        return moment.astimezone(self.zone).tzname() or "" if moment else ""

    def age(self, at: datetime) -> str:
        """Return how old something was when this was asked; an age is never rounded down."""
        if self.asked_at is None:
            return ""
        hours = (self.asked_at - at).total_seconds() / 3600.0
        if hours < 0.0:
            return self.word("page", "ahead", age=self.duration(hours))
        return self.word("page", "age", age=self.duration(hours, careful="up"))


def voice_of(situation: Situation, language: str = "") -> Voice:
    """Return the voice for an answer: the operation's words, units and clock, unless another language is asked for."""
    question = situation.question
    depart_at, zone = question.flight.depart_at, question.field.zone
    return Voice(
        words=catalogue(language or question.operation.words),
        preferred=dict(question.operation.units),
        names={id: person.name for id, person in question.people.items()},
        zone=zone,
        day=depart_at.astimezone(zone).date() if depart_at else None,
        asked_at=question.asked_at,
        sheet=situation.sheet,
    )


def as_sentence(text: str) -> str:
    """Return a clause as a sentence: with a capital and a stop."""
    return capital(text) if text.endswith((".", "?", "!")) else f"{capital(text)}."


def capital(text: str) -> str:
    """Return a text with its first letter large."""
    return text[:1].upper() + text[1:]
