"""A person's standing: in which capacity they may fly which aircraft today, by their papers, and what ends when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.reader import as_read
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import aircraft_of
from gyrewright.errors import GyrewrightError
from gyrewright.finding import Verdict
from gyrewright.people import Person
from gyrewright.release.capacity import CAPACITIES, Capacity, capacities_of, flight_for, standing_in
from gyrewright.release.question import Aircraft, Question
from gyrewright.rules.pack import pack_named
from gyrewright.words.detail import all_cures
from gyrewright.words.tell import Said, Told, tell


@dataclass(frozen=True, slots=True)
class Row:
    """Some aircraft for which a capacity stands alike: nothing found against, or the same reasons.

    `reasons` are sentences, worst first; `todo` what would change them. Nothing asked at all is said by `is_asked`.
    """

    aircraft: tuple[Definition, ...]
    verdict: Verdict
    reasons: tuple[str, ...]
    todo: tuple[tuple[str, str], ...]
    is_asked: bool


@dataclass(frozen=True, slots=True)
class Ends:
    """Something that holds until a day: the sentence that says so, and the aircraft for which it was said."""

    until: date
    sentence: str
    aircraft: tuple[str, ...]
    is_over: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """Everything that papers say about a person today."""

    rows: tuple[tuple[Capacity, tuple[Row, ...]], ...]
    ends: tuple[Ends, ...]


def has_house(at: datetime) -> bool:
    """Return whether house rules and field are known, without which nobody's standing can be asked about."""
    try:
        state.house(at)
    except Refused:
        return False
    return True


def standing_of(person: str, at: datetime) -> Standing:
    """Return a person's standing on the local day of a moment; nobody who holds no role has any."""
    on = at.astimezone(state.zone()).date()
    known = state.folk(at).people.get(person)
    if known is None or not has_house(at):
        return Standing((), ())
    return state.kept_for_reader(("standing", person, on, state.head_seq()), lambda: _standing_of(known, at, on))


def _standing_of(person: Person, at: datetime, on: date) -> Standing:
    own = aircraft_of(person.id, on=on)
    found: dict[Capacity, list[tuple[Definition, Said]]] = {}
    for aircraft in _fleet(at):
        for capacity in capacities_of(person, owns=aircraft.definition.id in own):
            said = tell(as_read(standing_in(capacity, question=_question(capacity, person.id, aircraft, at, on))))
            found.setdefault(capacity, []).append((aircraft.definition, said))
    rows = tuple((each, _rows(found[each])) for each in CAPACITIES if each in found)
    return Standing(rows, _ends(said for several in found.values() for said in several))


def _fleet(at: datetime) -> list[Aircraft]:
    out = []
    for id in state.fleet_ids():
        try:
            out.append(state.machine(id, at).aircraft)
        except GyrewrightError:
            # An aircraft in question is nothing that a person's papers could be held against.
            continue
    return out


def _question(capacity: Capacity, person: str, aircraft: Aircraft, at: datetime, on: date) -> Question:
    house, folk = state.house(at), state.folk(at)
    return Question(
        operation=house.operation,
        field=house.field,
        field_law=house.field_law,
        aircraft=aircraft,
        people=folk.people,
        flight=flight_for(
            capacity,
            person=person,
            definition=aircraft.definition,
            people=folk.people,
            zone=state.zone(),
            asked_at=at,
            on=on,
        ),
        pack=pack_named(house.operation.rule_pack),
        asked_at=at,
        insurance=folk.insurance,
        entitled=folk.entitled,
    )


def _rows(several: list[tuple[Definition, Said]]) -> tuple[Row, ...]:
    """Return the aircraft with the same reasons together, those with nothing against first."""
    together: dict[tuple[Verdict, tuple[str, ...]], list[tuple[Definition, Said]]] = {}
    for definition, said in several:
        reasons = tuple(told.sentence for told in said.findings if told.finding.verdict > Verdict.GO)
        verdict = said.answer.verdict if said.findings else Verdict.GO
        together.setdefault((verdict, reasons), []).append((definition, said))
    out = []
    for (verdict, reasons), alike in together.items():
        said = alike[0][1]
        todo = tuple((cure.words, cure.who) for cure in all_cures(said)) if verdict > Verdict.GO else ()
        out.append(Row(tuple(definition for definition, _ in alike), verdict, reasons, todo, bool(said.findings)))
    return tuple(sorted(out, key=lambda row: row.verdict))


def _ends(several: Iterable[tuple[Definition, Said]]) -> tuple[Ends, ...]:
    """Return everything that names a last day, each once, the nearest first."""
    together: dict[tuple[date, str, bool], dict[str, None]] = {}
    for definition, said in several:
        for told in said.findings:
            until = _until(told)
            if until is not None:
                about = told.voice.words.word("ends", told.finding.id)
                sentence = f"{about[0].text}: {told.sentence}" if about is not None else told.sentence
                key = (until, sentence, told.finding.verdict is Verdict.STOP)
                together.setdefault(key, {})[definition.name] = None
    fleet = len(state.fleet_ids())
    return tuple(
        Ends(until, sentence, tuple(names) if len(names) < fleet else (), is_over)
        for (until, sentence, is_over), names in sorted(together.items(), key=lambda each: each[0][:2])
    )


def _until(told: Told) -> date | None:
    until = told.finding.params.get("until")
    return until if isinstance(until, date) and not isinstance(until, datetime) else None
