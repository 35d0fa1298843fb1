"""Acts around one flight: asked, declared, walked, released or refused, flown."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.handed import Handed
from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long, Measured


@kind("flight-asked", called="flight asked for", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FlightAsked:
    """A flight that somebody would like to make. Its id is the flight's id; a change corrects it.

    `seats` and `loads` go by the aircraft's stations. `fuel` is what is meant to be aboard; readings come from the
    aircraft's records. `planned` and `plain` hold what only a law asks about a flight, under the names of its files.
    """

    depart_at: datetime
    block: str
    purpose: str
    commander: str
    instructor: str = ""
    student: str = ""
    examiner: str = ""
    passenger: str = ""
    lesson: str = ""
    runway: str = ""
    runway_state: Literal["", "dry", "wet", "soft"] = ""
    take_offs: Literal["", "first only", "throughout"] = ""
    seats: dict[str, str] = field(default_factory=dict)
    fuel: Annotated[str, Measured("volume")] = ""
    loads: dict[str, str] = field(default_factory=dict)
    configuration: tuple[str, ...] | None = None
    present: tuple[str, ...] = ()
    named: tuple[str, ...] = ()
    planned: dict[str, str] = field(default_factory=dict)
    plain: dict[str, bool] = field(default_factory=dict)


@kind("flight-dropped", called="flight dropped", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FlightDropped:
    """The flight will not be made. Nobody has to say why."""

    flight: str


@dataclass(frozen=True, slots=True)
class BookedPersonal:
    """The words of a calendar's entry: they may speak of people."""

    words: str = ""


@kind("booked", called="booking", about=About.AIRCRAFT, personal=BookedPersonal)
@dataclass(frozen=True, slots=True)
class Booked:
    """An aircraft is booked, as an entry of a calendar file says; nobody has asked for a flight by it yet.

    `uid` is the entry's own, `occurrence` the moment that a repeated entry was first meant for, `revision` the entry's
    sequence. A changed or cancelled entry corrects the earlier one; `asked` is the flight that it became.
    """

    start_at: datetime
    end_at: datetime
    uid: str
    occurrence: datetime | None = None
    revision: int = 0
    cancelled: bool = False
    asked: str = ""


@kind("weather-given", called="weather", about=About.NOTHING)
@dataclass(frozen=True, slots=True)
class WeatherGiven:
    """A report or forecast as pasted or typed, whole; an empty text says that there is none for this place."""

    text: str
    form: Literal["report", "forecast", "typed"]
    station: str = ""


@dataclass(frozen=True, slots=True)
class Keep:
    """How a flight is bound by what was found at an item."""

    words: str = ""
    day_only: bool = False
    aboard_at_most: int | None = None
    not_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemAnswer:
    """What was said at one item of a walk-round, and when."""

    item: str
    answer: Literal["as it should be", "not", "could not look"]
    at: datetime | None = None
    class_: Literal["", "G", "L", "N"] = ""
    words: str = ""
    small: bool = False
    defect: str = ""
    keep: Keep | None = None
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Interruption:
    """A break in a walk-round and what it restarted."""

    on: str
    from_: datetime
    to: datetime
    restarted: Literal["nothing", "stand", "zone", "walk"]
    zone: str = ""


@dataclass(frozen=True, slots=True)
class Restored:
    """Items of the restore list that were checked together, by touch."""

    at: datetime
    items: tuple[str, ...]


@kind("walk", called="walk-round", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class Walk:
    """One walk-round with every answer, on the list and revision it was made with; `walked_by` are its people.

    A walk on paper names the content of the printed list by its fingerprint, the items that stood on the sheet, and
    photos of it; `from_paper` says which sheet.
    """

    kind: str
    list: str
    revision: int
    walked_by: tuple[str, ...]
    began_at: datetime
    ended_at: datetime | None = None
    complete: bool = False
    answers: tuple[ItemAnswer, ...] = ()
    readings: dict[str, str] = field(default_factory=dict)
    interruptions: tuple[Interruption, ...] = ()
    restored: tuple[Restored, ...] = ()
    device: str = ""
    from_paper: str = ""
    fingerprint: str = ""
    also: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()


@kind("walk-accepted", called="walk-round accepted", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class WalkAccepted:
    """The commander accepts another's walk, with the spots that were checked."""

    walk: str
    spots: tuple[str, ...]
    handed: Handed | None = None


@kind("item-judged", called="item judged", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ItemJudged:
    """An entitled person's signed judgement of one item of a walk."""

    walk: str
    item: str
    may: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Why:
    """Free words that may speak of people."""

    why: str = ""


@kind("judged", called="judgement", about=About.AIRCRAFT, personal=Why, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class Judged:
    """The named person's answer to a finding that asks for judgement, and the digest of what it said then."""

    flight: str
    finding: str
    answer: Literal["yes", "no"]
    found: str = ""


@dataclass(frozen=True, slots=True)
class ReleasePersonal:
    """What only those aboard and the releasing person see: the whole answer with masses and margins, as JSON.

    `facts` holds each fact that the answer rests on as typed, `digests` what tells whether it has changed since,
    `carry` the numbers to carry away, per runway.
    """

    answer: Annotated[str, Long()] = ""
    carry: Annotated[str, Long()] = ""
    facts: Annotated[str, Long()] = ""
    digests: Annotated[str, Long()] = ""


@kind("release", called="release", about=About.AIRCRAFT, personal=ReleasePersonal, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class Release:
    """A named person released a flight. Everything known then is frozen here.

    `answer` is the answer's JSON without masses and margins, `asked` the flight in words, `judged` the records of
    the judgements it rests on. House evidence, and no maintenance release.
    """

    flight: str
    verdict: Literal["GO", "GO-IF", "JUDGE"]
    valid_until: datetime
    answer: Annotated[str, Long()]
    rules: dict[str, str]
    lists: dict[str, str] = field(default_factory=dict)
    head_seq: int = 0
    asked: str = ""
    judged: tuple[str, ...] = ()


@kind("release-superseded", called="release superseded", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ReleaseSuperseded:
    """A fact changed under a release: it no longer holds."""

    release: str
    because: str


@dataclass(frozen=True, slots=True)
class FlightPersonal:
    """Words for what was felt."""

    felt: str = ""


@dataclass(frozen=True, slots=True)
class Landed:
    """Take-offs and landings in which one person alone handled the controls.

    Where `by` is empty two pairs of hands were on them: they count for the aircraft and for nobody's own. `night` says
    that they lay in the hours that count as night for recent experience.
    """

    by: str = ""
    take_offs: int = 0
    full_stops: int = 0
    touch_and_goes: int = 0
    night: bool = False


@kind("flight-done", called="flight done", about=About.AIRCRAFT, personal=FlightPersonal)
@dataclass(frozen=True, slots=True)
class FlightDone:
    """The numbers of a flight after it ended; what meters, stick and gauge showed are records of their own beside it.

    `off_at` and `on_at` are wheels off for the first and on for the last time; `out_at` and `in_at` moved off under its
    own power and came to rest. `take_offs` and `landings` are those of the aircraft, `landed` says whose they were.
    """

    off_at: datetime
    on_at: datetime
    commander: str
    flight: str = ""
    aboard: tuple[str, ...] = ()
    purpose: str = ""
    take_offs: int | None = None
    landings: int | None = None
    oil: str = ""
    rotor_noted: Annotated[str, Measured("rotation")] = ""
    events: tuple[str, ...] = ()
    no_event: bool | None = None
    from_paper: str = ""
    out_at: datetime | None = None
    in_at: datetime | None = None
    instructor: str = ""
    student: str = ""
    landed: tuple[Landed, ...] = ()

    @property
    def began_at(self) -> datetime:
        """When the flight began as far as anybody noted."""
        return self.out_at or self.off_at

    @property
    def ended_at(self) -> datetime:
        """When the flight ended as far as anybody noted."""
        return self.in_at or self.on_at


@dataclass(frozen=True, slots=True)
class LoggedPersonal:
    """What a person wrote beside the numbers in their own log."""

    remarks: str = ""


@kind("flight-logged", called="own log", about=About.PERSON, personal=LoggedPersonal)
@dataclass(frozen=True, slots=True)
class FlightLogged:
    """What a person's own log says of a flight: the pilot's, the student's or the instructor's. Its owner enters it."""

    flight: str
    hours: Annotated[str, Measured("time")]
    take_offs: int | None = None
    landings: int | None = None
    from_paper: str = ""


@kind("logs-answered", called="logs compared", about=About.AIRCRAFT, personal=Why, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class LogsAnswered:
    """A person's answer where the logs of a flight differ and each stays as it is; `found` tells what differed."""

    flight: str
    found: str
