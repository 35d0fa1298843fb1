"""Entering an aircraft's records file into the book: each of its rows becomes the record of an act.

Ids follow from the file's own ids and order, so that entering the same file twice enters it once. Where a row has a
date and no time, the record is done at noon UTC of that date; the row's own date stays what counts.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, time
from typing import Any, get_origin, get_type_hints

from gyrewright.desk.book.kinds import flight, phones, upkeep
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.records import LAPTOP

_SPACE = uuid.UUID("6f1d2f5e-6f5b-4f0e-9a54-1c6a3e0f7a11")
_LISTS = ("defect", "event", "work", "marker", "touch", "walk", "paper", "booking", "done", "part")
_ACTS = {
    "assessed": upkeep.DefectAssessed,
    "deferred": upkeep.DefectDeferred,
    "closed": upkeep.DefectClosed,
    "reopened": upkeep.DefectReopened,
}


@dataclass(frozen=True, slots=True)
class _Books:
    aircraft: str
    by: str
    at: datetime

    def id(self, *key: object) -> str:
        return str(uuid.uuid5(_SPACE, json.dumps([self.aircraft, *map(str, key)])))

    def entry(self, act: Any, *key: object, at: datetime | date | None, by: str = "", corrects: str = "") -> Entry:
        if at is None:
            at = self.at
        elif not isinstance(at, datetime):
            at = datetime.combine(at, time(12), UTC)
        return Entry(self.id(*key), act, at, by or self.by, self.aircraft, corrects)


def enter_books(*, books: Mapping[str, Any], by: str, at: datetime, from_paper: str = "") -> list[Kept]:
    """Record what a records file says, in one go.

    Args:
        books: The parsed file; it was read and checked before.
        by: Who enters it: the doer of rows that name nobody.
        at: When: the time of rows that carry none.
        from_paper: The log and pages it was read from.

    Raises:
        NotAllowed: The table of acts does not let this person enter an aircraft's books.
        Refused: The file is no records file, or holds a row that no record can hold.
        DefinitionError: A row has unknown or wrong keys.
    """
    if by != LAPTOP:
        require("enter an aircraft's books", person=by, aircraft=str(books.get("aircraft", "")))
    return append(book_entries(books=books, by=by, at=at, from_paper=from_paper))


def book_entries(*, books: Mapping[str, Any], by: str, at: datetime, from_paper: str = "") -> list[Entry]:
    """Return what `enter_books` records, in the order in which it was done."""
    if books.get("kind") != "records" or not isinstance(books.get("aircraft"), str):
        raise Refused('this is no records file: its kind is not "records", or it names no aircraft')
    unknown = set(books) - {"kind", "aircraft", "meter", "shares", "directives_read_on", "decision", "phone", *_LISTS}
    if unknown:
        raise Refused(f"a records file has no {', '.join(sorted(unknown))}; check the key")
    made = _Books(books["aircraft"], by, at)
    entries = [
        entry
        for rows in (_state, _meters, _tasks, _parts, _defects, _events, _work, _walks)
        for entry in rows(books, made)
    ]
    complete: Any = tuple(name for name in _LISTS if name in books)
    entries.append(made.entry(upkeep.BooksOpened(complete=complete, from_paper=from_paper), "opened", at=at))
    # Corrections must follow what they correct; everything else is entered in the order it was done.
    entries.sort(key=lambda entry: (entry.done_at, bool(entry.corrects)))
    return entries


def act_of(schema: type, row: Mapping[str, Any], **more: Any) -> Any:
    """Return an act with the fields that a row has; a key that no field takes is refused by name."""
    hints = get_type_hints(schema)
    names = {each.name.rstrip("_"): each.name for each in fields(schema)}
    given: dict[str, Any] = {}
    for key, value in row.items():
        if key not in names:
            raise Refused(f"{schema.__name__} has no {key!r}; it has: {', '.join(names)}")
        given[names[key]] = _value(hints[names[key]], value)
    return schema(**given, **more)


def _value(hint: Any, value: Any) -> Any:
    if isinstance(value, dict):
        table: Any = next(
            (each for each in (hint, *getattr(hint, "__args__", ())) if hasattr(each, "__dataclass_fields__")), None
        )
        return act_of(table, value) if table else value
    if isinstance(value, list):
        several = next((each for each in (hint, *getattr(hint, "__args__", ())) if get_origin(each) is tuple), hint)
        inner: Any = getattr(several, "__args__", (None,))[0]
        return tuple(act_of(inner, each) if isinstance(each, dict) else each for each in value)
    return value


def but(row: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """Return a row without some of its keys."""
    return {key: value for key, value in row.items() if key not in names}


def _state(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    if "directives_read_on" in books:
        on = books["directives_read_on"]
        yield made.entry(upkeep.DirectivesRead(on=on), "directives", at=on)
    for name, share in books.get("shares", {}).items():
        yield made.entry(upkeep.ShareNoted(of=name, share=share), "share", name, at=None)
    for row in books.get("paper", ()):
        never = row.get("expires_on") == "never"
        paper = but(row, "expires_on") if never else row
        yield made.entry(act_of(upkeep.AircraftPaper, paper, never_expires=never), "paper", row["name"], at=None)
    for number, row in enumerate(books.get("touch", ())):
        yield made.entry(upkeep.Touched(what=row["what"]), "touch", number, at=row["at"], by=row.get("by", ""))
    yield from _markers(books, made)
    yield from _bookings(books, made)
    yield from _phones(books, made)


def _phones(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("phone", ()):
        opened = (row["id"], row["opened_at"].isoformat())
        entry = made.entry(phones.PhoneOpened(row["id"]), "phone", *opened, at=row["opened_at"], by=row["holder"])
        yield replace(entry, personal=phones.PhonePersonal(row["name"]))


def _markers(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("marker", ()):
        placed = (row["number"], row["placed_at"].isoformat())
        act = act_of(upkeep.MarkerPlaced, but(row, "placed_by", "placed_at", "removed", "confirmed"))
        yield made.entry(act, "marker", *placed, at=row["placed_at"], by=row["placed_by"])
        for key, kind in (("removed", upkeep.MarkerRemoved), ("confirmed", upkeep.MarkerConfirmed)):
            if key in row:
                yield made.entry(
                    kind(placed=made.id("marker", *placed)), key, *placed, at=row[key]["at"], by=row[key]["by"]
                )


def _bookings(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for number, row in enumerate(books.get("booking", ())):
        key = ("booking", row["at"].isoformat(), number)
        who = str(row.get("for", "")).split(" and ")
        asked = flight.FlightAsked(
            depart_at=row["at"], block=row["block"], purpose="", commander=who[0], student=" and ".join(who[1:])
        )
        yield made.entry(asked, *key, at=None)
        if "cancelled_at" in row:
            yield made.entry(flight.FlightDropped(flight=made.id(*key)), "dropped", *key, at=row["cancelled_at"])


def _meters(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for meter in books.get("meter", ()):
        name = meter["name"]
        if "counts" in meter:
            yield made.entry(upkeep.MeterKnown(meter=name, counts=meter["counts"]), "meter", name, at=None)
        for number, row in enumerate(meter.get("reading", ())):
            key = ("reading", name, row.get("id") or number)
            corrects = made.id("reading", name, row["corrects"]) if row.get("corrects") else ""
            act = upkeep.MeterRead(meter=name, shows=row["shows"])
            yield made.entry(act, *key, at=row["at"], by=row.get("by", ""), corrects=corrects)
        for row in meter.get("replaced", ()):
            act = act_of(upkeep.MeterReplaced, but(row, "at", "by"), meter=name)
            yield made.entry(act, "replaced", name, row["at"].isoformat(), at=row["at"], by=row.get("by", ""))


def _tasks(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for number, row in enumerate(books.get("done", ())):
        act = act_of(upkeep.TaskDone, but(row, "by"), worker=row.get("by", ""))
        yield made.entry(act, "done", number, row["task"], at=row.get("on"))
    for number, row in enumerate(books.get("decision", ())):
        act = act_of(upkeep.NoticeDecided, but(row, "by"))
        yield made.entry(act, "decision", number, row["task"], at=row["on"], by=row["by"])


def _parts(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for part in books.get("part", ()):
        for fit in part.get("fit", ()):
            # A part's stays on other aircraft are in this file too, and in theirs: the same stay has the same id.
            stay = replace(made, aircraft=fit["aircraft"])
            key = (part["name"], part["serial"], fit["on"].isoformat())
            act = act_of(upkeep.PartFitted, but(part, "fit") | but(fit, "aircraft", "off", "own_off"))
            yield stay.entry(act, "fitted", *key, at=fit["on"])
            if "off" in fit:
                off = {name: fit[name] for name in ("off", "own_off") if name in fit}
                removed = upkeep.PartRemoved(name=part["name"], serial=part["serial"], **off)
                yield stay.entry(removed, "removed", *key, at=fit["off"])


def _defects(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("defect", ()):
        id = made.id("defect", row["id"])
        act = act_of(upkeep.DefectReported, but(row, "id", "at", "by", "act"))
        yield made.entry(act, "defect", row["id"], at=row["at"], by=row["by"])
        for number, done in enumerate(row.get("act", ())):
            rest = but(done, "kind", "at", "by")
            if "restriction" in rest and "limit" in rest["restriction"]:
                raise Refused(f"defect {row['id']!r}: enter its restriction with limits on its page")
            if "until" in rest and not isinstance(rest["until"], datetime):
                rest["until_on"] = rest.pop("until")
            acted = act_of(_ACTS[done["kind"]], rest, defect=id)
            yield made.entry(acted, "defect act", row["id"], number, at=done["at"], by=done["by"])


def _events(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("event", ()):
        act = act_of(upkeep.EventReported, but(row, "id", "at", "by", "cleared"))
        yield made.entry(act, "event", row["id"], at=row["at"], by=row.get("by", ""))
        for number, done in enumerate(row.get("cleared", ())):
            rest = but(done, "at", "by")
            cleared = act_of(upkeep.EventCleared, rest, event=made.id("event", row["id"]), worker=done.get("by", ""))
            yield made.entry(cleared, "cleared", row["id"], number, at=done["at"], by=done["signed_by"])


def _work(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("work", ()):
        id = made.id("work", row["id"])
        rest = but(row, "id", "at", "by", "signed", "second_look", "check_flight")
        act = act_of(upkeep.WorkDone, rest, workers=tuple(row["by"]))
        yield made.entry(act, "work", row["id"], at=row["at"], by=row["by"][0])
        for key, kind in (("signed", upkeep.WorkSigned), ("second_look", upkeep.SecondLook)):
            if key in row:
                yield made.entry(kind(work=id), key, row["id"], at=row[key]["at"], by=row[key]["by"])
        if "check_flight" in row:
            flown = row["check_flight"]
            act = upkeep.CheckFlown(work=id, result=flown["result"])
            yield made.entry(act, "check flight", row["id"], at=flown["at"], by=flown["by"])


def _walks(books: Mapping[str, Any], made: _Books) -> Iterator[Entry]:
    for row in books.get("walk", ()):
        id = made.id("walk", row["id"])
        rest = but(row, "id", "by", "entered_at", "answer", "interruption", "accepted")
        answers = [but(each, "judged") for each in row.get("answer", ())]
        more = {"answers": answers, "interruptions": list(row.get("interruption", ()))}
        act = act_of(flight.Walk, rest | more, walked_by=tuple(row["by"]))
        ended = row.get("ended_at") or row["began_at"]
        yield made.entry(act, "walk", row["id"], at=ended, by=row["by"][0])
        for number, each in enumerate(row.get("accepted", ())):
            accepted = flight.WalkAccepted(walk=id, spots=tuple(each.get("spots", ())))
            yield made.entry(accepted, "accepted", row["id"], number, at=each["at"], by=each["by"])
        for each in row.get("answer", ()):
            if "judged" in each:
                said = each["judged"]
                judged = flight.ItemJudged(walk=id, item=each["item"], may=said["may"], reason=said["reason"])
                yield made.entry(judged, "judged", row["id"], each["item"], at=said["at"], by=said["by"])
