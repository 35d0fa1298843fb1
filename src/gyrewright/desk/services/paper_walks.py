"""A walk-round done on paper, keyed in with its own times, by the list that was printed; nothing is answered for it."""

from __future__ import annotations

import json
import types
import typing
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime, timedelta
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Interruption, ItemAnswer, Restored, Walk
from gyrewright.desk.book.kinds.upkeep import FuelMeasured, Touched
from gyrewright.desk.book.kinds.walking import ListKept
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.walk_lists import list_of
from gyrewright.errors import UnitError
from gyrewright.inspection.items import Item, Reading
from gyrewright.inspection.lists import INTERRUPTIONS, WalkList, items_for
from gyrewright.inspection.walk import ANSWERS, NOT, RESTARTS
from gyrewright.units import parse_quantity

LIST_DIGITS = 8
"""How many digits of a list's fingerprint stand on its sheet: they tell which list was walked by."""

OLDEST = timedelta(days=31)
"""A sheet older than this is no walk-round that anybody still waits for; it is kept as a paper, not keyed in."""


def list_mark(walk_list: WalkList) -> str:
    """Return how a sheet names its list: its revision and the beginning of its fingerprint."""
    return f"{walk_list.revision}-{walk_list.fingerprint[:LIST_DIGITS]}"


@dataclass(frozen=True, slots=True)
class PaperList:
    """The list as a sheet had it, cut to its aircraft and event; `is_old` where today's list is another."""

    walk_list: WalkList
    event: str
    also: tuple[str, ...]
    items: tuple[Item, ...]
    is_old: bool

    @property
    def mark(self) -> str:
        """How the sheet names its list."""
        return list_mark(self.walk_list)


@dataclass(frozen=True, slots=True)
class Break:
    """A break in a walk as the sheet has it: by the field's clock, what, at which item, and what was begun again."""

    began: str
    ended: str
    on: str
    item: str
    restarted: str


@dataclass(frozen=True, slots=True)
class Given:
    """What stands on a sheet, as it was keyed in: answers, words, readings and what was called small, by item."""

    on: str
    began: str
    ended: str
    walked_by: tuple[str, ...]
    read_out_by: str
    answers: Mapping[str, str]
    words: Mapping[str, str]
    small: frozenset[str]
    readings: Mapping[str, str]
    breaks: Sequence[Break]
    photos: tuple[str, ...]


def paper_list(*, aircraft: str, walk_list: str, mark: str, event: str, also: Sequence[str], at: datetime) -> PaperList:
    """Return the list that a sheet was printed from: today's, or one that the book kept when it was printed.

    Raises:
        Refused: Neither has this mark; nobody here can say what that sheet asked.
        UnknownName: There is no such aircraft, list or event.
    """
    definition: Definition = state.machine(aircraft, at).aircraft.definition
    today = list_of(aircraft, walk_list, at)
    found = today if _is_marked(today, mark) else _kept_list(walk_list, mark)
    if found is None:
        raise Refused(
            f"no list here is marked {mark!r}; today's is {list_mark(today)}. Compare the foot of the sheet, letter by"
            " letter. A sheet of a list that this book never had cannot be keyed in: walk again by today's"
        )
    words = {word for row in found.events for word in row.on}
    if event not in words:
        raise Refused(
            f"this list is not walked {event!r}; the top of the sheet says one of: {', '.join(sorted(words))}"
        )
    items = items_for(found, event=event, equipment=definition.equipment, also=also)
    return PaperList(found, event, tuple(also), items, is_old=found.fingerprint != today.fingerprint)


def _is_marked(walk_list: WalkList, mark: str) -> bool:
    return list_mark(walk_list).casefold() == "".join(mark.split()).casefold()


def _kept_list(id: str, mark: str) -> WalkList | None:
    wanted = "".join(mark.split()).casefold()
    for record in find_records(kinds=("list-kept",)):
        act: ListKept = record.act
        if act.list == id and f"{act.revision}-{act.fingerprint[:LIST_DIGITS]}" == wanted:
            kept: WalkList = _made(WalkList, json.loads(act.text))
            return kept
    return None


def _made(kind: Any, value: Any) -> Any:
    """Return a value of JSON as the frozen data that it was written from."""
    origin = typing.get_origin(kind)
    if origin is tuple:
        inner = typing.get_args(kind)
        kinds = inner[:1] * len(value) if inner[-1] is Ellipsis else inner
        return tuple(_made(one, each) for one, each in zip(kinds, value, strict=True))
    if origin in (typing.Union, types.UnionType):
        several = [each for each in typing.get_args(kind) if each is not type(None)]
        return None if value is None else _made(several[0], value)
    if is_dataclass(kind) and isinstance(kind, type):
        hints = typing.get_type_hints(kind)
        return kind(
            **{each.name: _made(hints[each.name], value[each.name]) for each in fields(kind) if each.name in value}
        )
    return date.fromisoformat(value) if kind is date and isinstance(value, str) else value


def readings_asked(item: Item) -> tuple[Reading, ...]:
    """Return the readings of an item that are keyed in: what tells a person's mass stays on the load sheet."""
    return tuple(each for each in item.readings if not each.private)


def record_paper_walk(*, id: str, aircraft: str, sheet: PaperList, given: Given, by: str) -> Kept:
    """Record a walk done on paper, at the times that stand on its sheet.

    Raises:
        Refused: Something on it does not read; says everything that does not, and keeps nothing.
    """
    problems: list[str] = []
    began, ended = _times(given, problems)
    people = all_people()
    if not given.walked_by:
        problems.append("say who walked, as the sheet is signed")
    problems.extend(f"the book knows nobody by {each!r}" for each in given.walked_by if each not in people)
    if not given.photos:
        problems.append("add a photo of the sheet, with the signature on it")
    answers = _answers(sheet, given, problems)
    readings = _readings(sheet, given, problems)
    breaks = [found for each in given.breaks if (found := _break(sheet, each, given, problems)) is not None]
    if problems or began is None or ended is None:
        raise Refused("; ".join(problems))
    answered = {each.item for each in answers}
    restored = tuple(each.item for each in answers if each.answer == ANSWERS[0] and _closes(sheet, each.item))
    read_out = people[given.read_out_by].name if given.read_out_by in people else given.read_out_by
    act = Walk(
        kind=sheet.event,
        list=sheet.walk_list.id,
        revision=sheet.walk_list.revision,
        walked_by=given.walked_by,
        began_at=began,
        ended_at=ended,
        complete=answered >= {item.id for item in sheet.items},
        answers=answers,
        readings=readings,
        interruptions=tuple(breaks),
        restored=(Restored(at=ended, items=restored),) if restored else (),
        from_paper=f"sheet {sheet.mark}" + (f", read out by {read_out}" if read_out else ""),
        fingerprint=sheet.walk_list.fingerprint,
        also=sheet.also,
        asked=tuple(item.id for item in sheet.items),
        photos=given.photos,
    )
    entries = [Entry(id, act, ended, by, aircraft), *_beside(id, act, sheet, ended, by, aircraft)]
    kept = append(entries)[0]
    supersede(by=by)
    return kept


_HAPPENED = ("touched by another", "moved", "refueled", "engine stopped", "brake set", "lock put back")
"""Breaks that say what happened to the aircraft itself: they end earlier walks as well."""


def _beside(id: str, act: Walk, sheet: PaperList, at: datetime, by: str, aircraft: str) -> Iterator[Entry]:
    """Yield what else the sheet tells: the fuel that a release goes by, and what happened to the aircraft."""
    for item in sheet.items:
        for reading in item.readings:
            aboard = act.readings.get(f"{item.id}.{reading.key}", "")
            if reading.apart == "gauge and stick apart" and reading.key in ("stick", "gauge") and aboard:
                measured = FuelMeasured(by_what=reading.key, aboard=aboard)  # type: ignore[arg-type]
                yield Entry(str(uuid.uuid5(uuid.UUID(id), reading.key)), measured, at, by, aircraft)
    for number, each in enumerate(act.interruptions):
        if each.on in _HAPPENED:
            key = str(uuid.uuid5(uuid.UUID(id), f"{number} {each.on}"))
            yield Entry(key, Touched(what=each.on), each.to, by, aircraft)


def _closes(sheet: PaperList, item: str) -> bool:
    return any(each.id == item and each.of for each in sheet.items)


def _moment(on: str, time: str) -> datetime | None:
    try:
        return datetime.fromisoformat(f"{on.strip()}T{time.strip()}").replace(tzinfo=state.zone())
    except ValueError:
        return None


def _times(given: Given, problems: list[str]) -> tuple[datetime | None, datetime | None]:
    began, ended = (_moment(given.on, each) for each in (given.began, given.ended))
    if began is None or ended is None:
        problems.append("write the day and both times as the sheet has them, such as 08:55, by the field's clock")
        return None, None
    if ended < began:
        ended += timedelta(days=1)
    now = clock.now()
    if ended > now:
        problems.append(f"{given.ended} on {given.on} is still to come by this clock; check the day and the times")
    if ended - began > timedelta(hours=12):
        problems.append(f"from {given.began} to {given.ended} is no walk-round; check the two times")
    if now - ended > OLDEST:
        problems.append(f"{given.on} is more than {OLDEST.days} days ago; check the year, or keep the sheet as a paper")
    return began, ended


def _answers(sheet: PaperList, given: Given, problems: list[str]) -> tuple[ItemAnswer, ...]:
    known = {item.id for item in sheet.items}
    problems.extend(
        f"{item} is no item of this sheet; look at its number again" for item in sorted(set(given.answers) - known)
    )
    out = []
    for item in sheet.items:
        answer = given.answers.get(item.id, "")
        if not answer:
            continue
        if answer not in ANSWERS:
            problems.append(f"{item.id}: {answer!r} is no answer; use one of: {', '.join(ANSWERS)}")
            continue
        words = given.words.get(item.id, "").strip()
        if answer == NOT and not words:
            problems.append(f"{item.id} is not as it should be: write what the sheet says of it")
        out.append(
            ItemAnswer(
                item=item.id,
                answer=answer,  # type: ignore[arg-type]
                class_=item.grade,  # type: ignore[arg-type]
                words=words,
                small=item.id in given.small and answer == NOT,
            )
        )
    if not out:
        problems.append("no item is answered; key in what the sheet says")
    return tuple(out)


def _readings(sheet: PaperList, given: Given, problems: list[str]) -> dict[str, str]:
    asked = {f"{item.id}.{each.key}": each for item in sheet.items for each in readings_asked(item)}
    out = {}
    for key, typed in sorted(given.readings.items()):
        text = typed.strip()
        reading = asked.get(key)
        if not text or reading is None:
            continue
        if reading.kind == "quantity":
            text = "; ".join(filter(None, (_quantity(key, reading, each, problems) for each in text.split(";"))))
        elif reading.kind == "count" and not text.replace(" ", "").replace(";", "").isdigit():
            problems.append(f"{key}: {text!r} is no count; write whole numbers")
        elif reading.kind == "word" and not set(map(str.strip, text.split(";"))) <= set(reading.words):
            problems.append(f"{key}: {text!r} is none of: {', '.join(reading.words)}")
        out[key] = text
    return out


def _quantity(key: str, reading: Reading, typed: str, problems: list[str]) -> str:
    """Return a quantity with its unit; the sheet's own where only the number was written."""
    text = typed.strip().replace(",", ".")
    if not text:
        return ""
    if text.replace(".", "").lstrip("+-").isdigit():
        text = f"{text} {reading.unit}"
    try:
        value = parse_quantity(reading.dimension, text).value
    except UnitError as error:
        problems.append(f"{key}: {error}")
        return text
    if (reading.low is not None and value < reading.low) or (reading.high is not None and value > reading.high):
        problems.append(f"{key}: {text} is not believed of {reading.name}; look at the sheet again, and at its unit")
    return text


def _break(sheet: PaperList, each: Break, given: Given, problems: list[str]) -> Interruption | None:
    if not any((each.began, each.ended, each.on, each.item, each.restarted)):
        return None
    began, ended = _moment(given.on, each.began), _moment(given.on, each.ended)
    zone = next((item.zone for item in sheet.items if item.id == each.item.strip().upper()), "")
    if began is None or ended is None or ended < began:
        problems.append("a break needs from and to as the sheet has them, such as 09:01 and 09:04")
    elif each.on not in INTERRUPTIONS or each.restarted not in RESTARTS:
        problems.append(
            f"a break says what it was ({', '.join(INTERRUPTIONS)}) and what was begun again ({', '.join(RESTARTS)})"
        )
    elif each.item and not zone:
        problems.append(f"{each.item!r} is no item of this sheet; a break names the item at which it came")
    else:
        return Interruption(on=each.on, from_=began, to=ended, restarted=each.restarted, zone=zone)  # type: ignore[arg-type]
    return None
