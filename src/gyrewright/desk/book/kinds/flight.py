"""Acts around one flight: asked, declared, walked, released or refused, flown."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long, Measured

Hours = Annotated[str, Measured("time")]


@kind("flight-asked", called="flight asked for", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FlightAsked:
    """A flight that somebody would like to make. Its id is the flight's id; a change corrects it."""

    depart_at: datetime
    block: Hours
    purpose: str
    commander: str
    instructor: str = ""
    student: str = ""
    examiner: str = ""
    passenger: str = ""
    lesson: str = ""
    runway: str = ""
    seats: dict[str, str] = field(default_factory=dict)
    fuel: Annotated[str, Measured("volume")] = ""
    baggage: Annotated[str, Measured("mass")] = ""
    ballast: Annotated[str, Measured("mass")] = ""


@kind("flight-dropped", called="flight dropped", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FlightDropped:
    """The flight will not be made. Nobody has to say why."""

    flight: str


@kind("weather-given", called="weather", about=About.NOTHING)
@dataclass(frozen=True, slots=True)
class WeatherGiven:
    """A report or forecast as pasted or typed, whole."""

    text: str
    form: Literal["report", "forecast", "typed"]
    station: str = ""


@kind("declaration", called="declaration", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class Declaration:
    """What one person declares for one flight, in one signed act; each statement with the answer given to it."""

    flight: str
    answers: dict[str, str]


@dataclass(frozen=True, slots=True)
class ItemAnswer:
    """What was said at one item of a walk-round, and when."""

    item: str
    answer: Literal["as it should be", "not", "could not look"]
    at: datetime
    reading: str = ""
    word: str = ""
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Interruption:
    """A break in a walk-round."""

    at: datetime
    until: datetime | None
    why: str
    item: str = ""


@kind("walk", called="walk-round", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class Walk:
    """One walk-round with every answer, on the list and revision it was made with."""

    list_name: str
    list_revision: str
    began_at: datetime
    ended_at: datetime | None
    answers: tuple[ItemAnswer, ...]
    interruptions: tuple[Interruption, ...] = ()
    device: str = ""
    from_paper: str = ""


@kind("walk-accepted", called="walk-round accepted", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class WalkAccepted:
    """The commander accepts another's walk, with the spots that were checked."""

    walk: str
    flight: str
    spots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Why:
    """Free words that may speak of people."""

    why: str = ""


@kind("judged", called="judgement", about=About.AIRCRAFT, personal=Why, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class Judged:
    """The named person's answer to a finding that asks for judgement."""

    flight: str
    finding: str
    answer: Literal["yes", "no"]


@dataclass(frozen=True, slots=True)
class ReleasePersonal:
    """Masses, totals, margins: the answer's facts that only those aboard and the releasing person see, as JSON."""

    facts: Annotated[str, Long()] = ""


@kind("release", called="release", about=About.AIRCRAFT, personal=ReleasePersonal, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class Release:
    """A named person released a flight. Everything known then is frozen here; `answer` is the answer's JSON."""

    flight: str
    verdict: Literal["GO", "GO-IF", "JUDGE"]
    valid_until: datetime
    answer: Annotated[str, Long()]
    rules: dict[str, str]
    lists: dict[str, str] = field(default_factory=dict)
    head_seq: int = 0


@kind("release-superseded", called="release superseded", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ReleaseSuperseded:
    """A fact changed under a release: it no longer holds."""

    release: str
    because: str


@kind("no", called="no", about=About.AIRCRAFT, personal=Why, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class No:
    """A person says no to a flight. Nobody can overrule it and nobody has to say why."""

    flight: str


@kind("no-taken-back", called="no taken back", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class NoTakenBack:
    """Its speaker, unasked, takes a no back."""

    no: str


@dataclass(frozen=True, slots=True)
class FlightPersonal:
    """Words for what was felt."""

    felt: str = ""


@kind("flight-done", called="flight done", about=About.AIRCRAFT, personal=FlightPersonal)
@dataclass(frozen=True, slots=True)
class FlightDone:
    """The numbers of a flight after it ended."""

    off_at: datetime
    on_at: datetime
    commander: str
    flight: str = ""
    aboard: tuple[str, ...] = ()
    purpose: str = ""
    landings: int | None = None
    meters: dict[str, str] = field(default_factory=dict)
    fuel_left: Annotated[str, Measured("volume")] = ""
    oil: str = ""
    rotor_noted: Annotated[str, Measured("rotation")] = ""
    events: tuple[str, ...] = ()
    no_event: bool | None = None
    from_paper: str = ""
