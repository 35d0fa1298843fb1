"""An aircraft leaves with its records and their proof, without other people's data; a bought aircraft's arrive.

The package is one JSON file: the aircraft's records whole, and for every other record only number, id and content
digest, which is enough to walk the chain to its head and hides what the others say.
"""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path
from typing import Any

from django.conf import settings

from gyrewright.desk import clock
from gyrewright.desk.book import chain
from gyrewright.desk.book.chain import COLUMNS
from gyrewright.desk.book.kinds import KINDS, kind_named
from gyrewright.desk.book.kinds.aircraft import AircraftArrived
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.record import ELSEWHERE, Entry, Kept, recorded
from gyrewright.desk.book.writing import append, disk_in_words
from gyrewright.desk.refusal import BookBroken, Refused
from gyrewright.desk.services.records import book_opening, new_id

FORMAT = "gyrewright-aircraft-1"


def pack_aircraft(*, aircraft: str, file: Path) -> int:
    """Write one aircraft's records with their proof into a file and return how many there are.

    Personal content, photos (they may show people), flights, lessons, walk-rounds, releases and refusals stay here.

    Raises:
        Refused: Nothing of this aircraft travels, or the file is there already.
    """
    if file.exists():
        raise Refused(f"{file} is there already; name a file that does not exist yet")
    opening = book_opening()
    travelling = {name for name, kind in KINDS.items() if kind.travels}
    rows: list[dict[str, Any]] = []
    count = 0
    taken: set[str] = set()
    for row in Record.objects.order_by("seq").values(*COLUMNS):
        # A withdrawal goes with what it takes back, or that would count again where it arrives.
        goes = row["about"] == aircraft and (
            row["kind"] in travelling or (row["kind"] == "withdrawn" and row["corrects"] in taken)
        )
        if goes:
            count += 1
            taken.add(row["id"])
            rows.append(row)
        else:
            digest = chain.content_digest(row)
            rows.append({name: row[name] for name in ("seq", "id", "prev", "hash")} | {"content_digest": digest})
    if not count:
        raise Refused(f"the book holds no records of an aircraft {aircraft!r} that travel with it")
    package = {
        "format": FORMAT,
        "aircraft": aircraft,
        "operation": opening.act.operation if opening else "",
        "head": {"seq": rows[-1]["seq"], "hash": rows[-1]["hash"]},
        "records": rows,
    }
    draft = file.with_name(file.name + ".part")
    with disk_in_words():
        draft.write_text(json.dumps(package, ensure_ascii=False), encoding="utf-8")
        draft.rename(file)
    return count


def take_aircraft(*, file: Path, by: str) -> list[Kept]:
    """Take a bought aircraft's records in, after walking their chain to its head. A second time changes nothing.

    Each keeps its id, its time done and its words; its doer is named as somebody from elsewhere. The package itself
    is kept beside the book, so that the proof stays.

    Raises:
        Refused: The file is no such package.
        BookBroken: Its chain does not hold.
    """
    raw = _raw(file)
    package = _package(file, raw)
    walked = chain.walk(package["records"])
    ends = package["head"]
    if walked.broken or (walked.head.seq, walked.head.hash) != (ends.get("seq"), ends.get("hash")):
        raise BookBroken(f"{file} does not hold, nothing was taken in: {walked.broken or 'it ends before its head'}")
    digest = hashlib.sha256(raw).hexdigest()
    aircraft = package["aircraft"]
    entries = []
    for row in package["records"]:
        if "content_digest" in row:
            continue
        if row["about"] != aircraft:
            raise Refused(f"{file} holds record {row['seq']} about {row['about']!r}, not about {aircraft!r}")
        if not kind_named(row["kind"]).travels and row["kind"] != "withdrawn":
            raise Refused(f"{file} holds record {row['seq']}, a {kind_named(row['kind']).called}: that does not travel")
        found = recorded(row, personal=None)
        doer = found.by if found.by.startswith(ELSEWHERE) else ELSEWHERE + found.by
        entries.append(Entry(found.id, found.act, found.done_at, doer, found.about, found.corrects))
    arrived = AircraftArrived(
        from_operation=package["operation"],
        head_seq=walked.head.seq,
        head_hash=walked.head.hash,
        records=len(entries),
        sha256=digest,
    )
    known = Record.objects.filter(kind="aircraft-arrived", about=aircraft, body__contains=digest).first()
    if known is None:
        entries.insert(0, Entry(new_id(), arrived, clock.now(), by, aircraft))
    _keep_package(raw, digest)
    return append(entries)


def _raw(file: Path) -> bytes:
    if not file.is_file():
        raise Refused(f"{file} is not there; name the file that the other operation wrote")
    return file.read_bytes()


def _package(file: Path, raw: bytes) -> dict[str, Any]:
    try:
        package = json.loads(raw)
    except ValueError:
        package = None
    if not isinstance(package, dict) or package.get("format") != FORMAT:
        raise Refused(f"{file} is no aircraft package: it does not say {FORMAT!r}")
    whole, hidden = set(COLUMNS), {"seq", "id", "prev", "hash", "content_digest"}
    rows = package.get("records")
    fits = (
        set(package) == {"format", "aircraft", "operation", "head", "records"}
        and isinstance(package["head"], dict)
        and isinstance(package["aircraft"], str)
        and isinstance(package["operation"], str)
        and isinstance(rows, list)
        and all(isinstance(row, dict) and set(row) in (whole, hidden) for row in rows)
    )
    if not fits:
        raise Refused(f"{file} has keys missing or too many; ask for it again")
    return package


def _keep_package(raw: bytes, digest: str) -> None:
    folder = settings.DATA_DIR / "arrived"
    file = folder / f"{digest}.json"
    if file.exists():
        return
    with disk_in_words():
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        draft = folder / f"{digest}.part"
        with draft.open("wb") as out:
            out.write(raw)
            out.flush()
            os.fsync(out.fileno())
        draft.rename(file)
