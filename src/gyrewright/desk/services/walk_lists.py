"""The walk-round lists of one aircraft: those of the package with the items of its own manual, and those kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from functools import lru_cache
from typing import Any

from gyrewright.desk.book.kinds.walking import ListItemsAdopted, ListKept
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, read_rows
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.services.records import LAPTOP, new_id, record_act
from gyrewright.errors import UnknownName
from gyrewright.inspection.lists import WalkList, shipped_lists
from gyrewright.inspection.own_items import with_own

ITEMS_KINDS = ("list-items-adopted", "withdrawn", "clash", "clash-settled")


@lru_cache(maxsize=1)
def shipped() -> tuple[WalkList, ...]:
    """Return the lists of the package; they are read once."""
    return shipped_lists()


def own_items(aircraft: str, at: datetime) -> str:
    """Return the text of an aircraft's own items that counts now, or nothing."""
    records = standing(find_records(about=aircraft, kinds=ITEMS_KINDS), at=at).records
    texts = [each.act.text for each in records if isinstance(each.act, ListItemsAdopted)]
    return texts[-1] if texts else ""


def lists_of(aircraft: str, at: datetime) -> tuple[WalkList, ...]:
    """Return every list by which an aircraft is walked, in the order in which lists are walked.

    Raises:
        DefinitionError: The aircraft's own items no longer fit the package's list.
    """
    return _with_own(own_items(aircraft, at))


@lru_cache(maxsize=32)
def _with_own(text: str) -> tuple[WalkList, ...]:
    return with_own(shipped(), text, file="the aircraft's own items") if text else shipped()


def list_of(aircraft: str, id: str, at: datetime) -> WalkList:
    """Return one list of an aircraft.

    Raises:
        UnknownName: There is none with this id.
    """
    for each in lists_of(aircraft, at):
        if each.id == id:
            return each
    raise UnknownName(f"no walk-round list has the id {id!r}")


def adopt_items(*, id: str, aircraft: str, text: str, by: str) -> Kept:
    """Record items from an aircraft's own manual; they are read as part of their list first.

    Raises:
        DefinitionError: They do not read, or do not fit the list.
    """
    if text.strip():
        with_own(shipped(), text, file="the aircraft's own items")
    return record_act(id=id, act=ListItemsAdopted(text=text), by=by, about=aircraft)


def keep_list(walk_list: WalkList) -> Entry | None:
    """Return the record that keeps a list as it is shown; None where the book has it already."""
    if walk_list.fingerprint in _kept_fingerprints():
        return None
    text = json.dumps(asdict(walk_list), ensure_ascii=False, separators=(",", ":"), default=str)
    act = ListKept(walk_list.id, walk_list.revision, walk_list.fingerprint, text)
    return Entry(new_id(), act, _now(), LAPTOP)


def _now() -> datetime:
    from gyrewright.desk import clock

    return clock.now()


def _kept_fingerprints() -> frozenset[str]:
    bodies = Record.objects.filter(kind="list-kept").values_list("body", flat=True)
    return frozenset(json.loads(body)["fingerprint"] for body in bodies)


def items_by_fingerprint(fingerprint: str, aircraft: str, at: datetime) -> Mapping[str, Mapping[str, Any]] | None:
    """Return the items of a list by id as it was when it had this fingerprint; None where nobody kept it."""
    for each in lists_of(aircraft, at):
        if each.fingerprint == fingerprint:
            return _as_rows(each)
    return _kept_items(fingerprint)


@lru_cache(maxsize=32)
def _as_rows(walk_list: WalkList) -> Mapping[str, Mapping[str, Any]]:
    return {item.id: asdict(item) for item in walk_list.items}


def _kept_items(fingerprint: str) -> Mapping[str, Mapping[str, Any]] | None:
    for record in read_rows(Record.objects.filter(kind="list-kept", body__contains=fingerprint)):
        if record.act.fingerprint == fingerprint:
            return {row["id"]: row for row in json.loads(record.act.text)["items"]}
    return None
