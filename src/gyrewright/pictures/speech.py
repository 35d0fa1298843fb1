"""The words of a picture: plain ones of its own, and what a caller with a catalogue says better."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType

from gyrewright.finding import Finding, Limit

WORDS: Mapping[str, str] = MappingProxyType(
    {
        "title limits": "The limits, worst first",
        "title limit": "{question}",
        "title loading": "Loading, whole flight",
        "title windows": "When this could start today",
        "title distance": "Distance needed, distance there",
        "title wind": "Wind, runway and limits",
        "flight": "{aircraft} {id}, runway {runway}, {date} {start}",
        "asked at": "Asked {date} {clock}.",
        "demo": "Demonstration: people, aircraft and place are invented.",
        "date": "{day} {month} {year}",
        "months": "January February March April May June July August September October November December",
        "mark STOP": "STOP",
        "mark UNKNOWN": "UNKNOWN",
        "mark JUDGE": "JUDGE",
        "mark GO_IF": "ONLY IF",
        "mark GO": "NOTHING FOUND",
        # The ruler.
        "layer law": "law",
        "layer maker": "manual",
        "layer insurer": "insurer",
        "layer house": "house",
        "layer endorsement": "endorsement",
        "layer own": "own",
        "layer place": "runway",
        "at most": "at most {limit}",
        "at least": "at least {limit}",
        "below": "below {limit}",
        "above": "above {limit}",
        "until": "until {limit}",
        "from": "from {limit}",
        "binds": "binds",
        "demonstrated": "demonstrated, no limit",
        "unverified": "not checked against its page",
        "beyond": "{margin} too much",
        "short": "{margin} short",
        "left": "{margin} left",
        "spare": "{margin} to spare",
        "none left": "nothing left",
        "against": "held against {value}",
        "against unknown": "held against something not known",
        "no figure": "{layer}: no figure ({typed})",
        "not known": "not known",
        "clear": "no ceiling",
        "sun stays up": "the sun stays up",
        "sun stays down": "the sun stays down",
        "without ruler": "{mark}: {names}.",
        "lacking": "Not known: {facts}.",
        # Loading.
        "mass axis": "mass, {unit}",
        "arm axis": "center of gravity aft of datum, {unit}",
        "take-off": "take-off {mass} at {arm}",
        "no usable fuel": "no usable fuel {mass} at {arm}",
        "empty tank": "empty tank {mass} at {arm}",
        "instead": "instead {mass} at {arm}",
        "is beyond": "beyond the limit",
        "no arms": "The manual of this aircraft prints no arms: its balance is a hang test, not an envelope.",
        "no envelope": "No envelope is known for this aircraft.",
        "to plot": "Nothing is drawn in it",
        "desc loading": "The envelope from {low} to {high}. {points}.",
        # Windows.
        "row": "{aircraft}, {runway}",
        "span": "{start}–{end}",
        "asked for": "asked for {clock}",
        "asked for another day": "asked for {date} {clock}",
        "now": "now {clock}",
        "sunrise": "sunrise {clock}",
        "sunset": "sunset {clock}",
        "check binds": "{check} binds",
        "nothing passes": "no start passes: {check} binds",
        "local time": "local time ({zone})",
        "text key": "each letter {every} min:  # starts pass,  + some do,  . none does,  > asked for",
        # Distance.
        "distance axis": "distance, {unit}",
        "available": "runway {runway}: {length}",
        "ground roll": "ground roll",
        "to height": "to 15 m height",
        "landing": "landing from 15 m height",
        "factored": "{what} x {factor}, {layer}",
        "too long": "{margin} too\u00a0long",
        "no table": "{what}: not known",
        # Wind.
        "runway at": "runway {name}, {true} true",
        "north": "N",
        "north is true": "true north up",
        "wind": "{from} true at {mean}",
        "wind gusting": "{from} true at {mean}, gusts {gust}",
        "wind sector": "from {from} to {to} true at {mean}",
        "wind sector gusting": "from {from} to {to} true at {mean}, gusts {gust}",
        "wind anywhere": "from anywhere at {mean}",
        "wind anywhere gusting": "from anywhere at {mean}, gusts {gust}",
        "wind calm": "calm",
        "wind by": "strongest across in this flight, by {by}",
        "across": "across {value}",
        "across gust": "across {value} in the gust",
        "ahead": "along the runway at least {value} ahead, mean",
        "behind": "along the runway up to {value} behind, mean",
        "no wind": "The wind is not known.",
    }
)
"""Every text that a picture says of its own accord, with its gaps."""


def _check(id: str) -> str:
    name, _, about = id.partition(":")
    words = name.rpartition(".")[2].replace("_", " ")
    return f"{words}, {about.replace('_', ' ')}" if about else words


def _name(finding: Finding) -> str:
    return _check(f"{finding.id}:{finding.about}" if finding.about else finding.id)


def _question(finding: Finding) -> str:
    words = finding.id.replace(".", ": ", 1).replace("_", " ")
    words = f"{words}, {finding.about.replace('_', ' ')}" if finding.about else words
    return words[:1].upper() + words[1:]


def _layer(limit: Limit) -> str:
    whose, scope = WORDS[f"layer {limit.whose.value}"], limit.scope.replace("_", " ")
    return f"{whose} ({scope})" if scope else whose


def _as_it_is(text: str) -> str:
    return text.replace("_", " ")


def _nothing(finding: Finding) -> str:
    return ""


@dataclass(frozen=True, slots=True)
class Speech:
    """What a picture asks its caller for; everything has a plain answer of its own.

    Attributes:
        words: Texts that take the place of those in `WORDS`.
        check: A check in few words, by its id, with what it is about behind a colon ("loading.load:front").
        name: What a finding is about, in few words.
        question: The question that a finding answers.
        sentence: What a finding says; shown for findings that have no ruler.
        layer: Whose limit it is, and for whom or what it was written.
        fact: A fact in words, by its name.
        by: Who says so, by what a report or a row carries.
    """

    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    check: Callable[[str], str] = _check
    name: Callable[[Finding], str] = _name
    question: Callable[[Finding], str] = _question
    sentence: Callable[[Finding], str] = _nothing
    layer: Callable[[Limit], str] = _layer
    fact: Callable[[str], str] = _as_it_is
    by: Callable[[str], str] = _as_it_is

    def say(self, key: str, **gaps: str) -> str:
        """Return a text with its gaps filled."""
        return (self.words.get(key) or WORDS[key]).format(**gaps)

    def date(self, day: date) -> str:
        """Return a date in words."""
        month = self.say("months").split()[day.month - 1]
        return self.say("date", day=str(day.day), month=month, year=str(day.year))


PLAIN = Speech()
