"""Is the book whole? Reads the file alone, without Django, and names the first break."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from gyrewright.desk.book.chain import COLUMNS, Break, Head, fingerprint, photos_named, walk
from gyrewright.desk.book.guards import missing_guards
from gyrewright.desk.book.head import keep_head, kept_head
from gyrewright.desk.book.record import ELSEWHERE
from gyrewright.desk.refusal import BookBroken
from gyrewright.errors import UnknownName

DATABASE = "book.sqlite3"


@dataclass(frozen=True, slots=True)
class Verified:
    """What a verification found.

    Attributes:
        head: The last record that holds.
        records: How many records there are.
        breaks: Everything that does not hold; empty where the book is whole.
        caught_up_from: The number in the head file where it was behind and has been caught up, or None.
        erased: How many personal contents and photos were erased, each with its record.
    """

    head: Head
    records: int
    breaks: tuple[Break, ...]
    caught_up_from: int | None = None
    erased: int = 0

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.breaks


def open_read_only(file: Path) -> sqlite3.Connection:
    """Return a connection that can only read.

    Raises:
        UnknownName: There is no such file.
    """
    if not file.is_file():
        raise UnknownName(f"{file} is not there; name a data folder that holds a book")
    return sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True, timeout=20)


def verify(data_dir: Path) -> Verified:
    """Return whether the book in a data folder is whole: chain, guards, what lies beside it, head outside.

    Raises:
        UnknownName: The folder holds no book.
    """
    # The file first: a record committed meanwhile makes the book longer, never the file.
    broken: list[Break] = []
    try:
        outside = kept_head(data_dir)
    except BookBroken as error:
        outside, broken = None, [Break(0, str(error))]
    with closing(open_read_only(data_dir / DATABASE)) as database:
        found = verify_database(database, outside=outside)
    caught_up = None
    if outside is not None and found.is_whole and outside.seq < found.head.seq:
        keep_head(data_dir, found.head)
        caught_up = outside.seq
    return Verified(found.head, found.records, (*broken, *found.breaks), caught_up, found.erased)


def verify_database(database: sqlite3.Connection, *, outside: Head | None = None) -> Verified:
    """Return whether an open database holds a whole book, and agrees with a head kept elsewhere where one is given."""
    database.row_factory = sqlite3.Row
    try:
        database.execute("BEGIN")
        return _verify(database, outside)
    except sqlite3.DatabaseError as error:
        return Verified(Head(0, ""), 0, (Break(0, f"the database cannot be read: {error}"),))


def _verify(database: sqlite3.Connection, outside: Head | None) -> Verified:
    marker: list[str] = []

    def rows() -> Iterator[sqlite3.Row]:
        for row in database.execute(f"SELECT {', '.join(COLUMNS_SQL)} FROM book_record ORDER BY seq"):
            if outside is not None and row["seq"] == outside.seq:
                marker.append(row["hash"])
            yield row

    walked = walk(rows())  # type: ignore[arg-type]
    breaks = [walked.broken] if walked.broken else []
    count = database.execute("SELECT count(*) FROM book_record").fetchone()[0]
    if outside is not None and outside.seq and not walked.broken:
        if outside.seq > walked.head.seq:
            gone = outside.seq - walked.head.seq
            breaks.append(
                Break(
                    walked.head.seq + 1,
                    f"the head kept outside names record {outside.seq}: the last {gone} "
                    + ("record is gone" if gone == 1 else "records are gone"),
                )
            )
        elif marker != [outside.hash]:
            breaks.append(
                Break(outside.seq, "is not the one that the head kept outside names: the chain was rewritten")
            )
    for name in missing_guards(lambda sql: [tuple(row) for row in database.execute(sql)]):
        breaks.append(Break(0, f"the guard {name} is gone from the database: start the desk once to put it back"))
    beside, erased = _beside(database)
    return Verified(walked.head, count, (*breaks, *beside), erased=erased)


COLUMNS_SQL = tuple(f'"{name}"' for name in COLUMNS)


def _beside(database: sqlite3.Connection) -> tuple[list[Break], int]:
    """Check personal content and photos against the fingerprints that records carry."""
    breaks = []
    erased: set[str] = set()
    for (body,) in database.execute("SELECT body FROM book_record WHERE kind = 'personal-erased'"):
        erased.update(json.loads(body).get("fingerprints", []))
    there = {}
    for table, column in (("book_personal", "content"), ("book_photo", "jpeg")):
        for name, salt, content in database.execute(f"SELECT fingerprint, salt, {column} FROM {table}"):
            raw = content.encode() if isinstance(content, str) else bytes(content)
            there[name] = fingerprint(salt=salt, content=raw) == name
    named: dict[str, int] = {}
    query = """SELECT seq, "by", personal_fingerprint, body FROM book_record
               WHERE personal_fingerprint <> '' OR instr(body, '"photos":')"""
    for seq, by, beside, body in database.execute(query):
        if beside:
            named.setdefault(beside, seq)
        if '"photos":' in body and not by.startswith(ELSEWHERE):
            for photo in photos_named(json.loads(body)):
                named.setdefault(photo, seq)
    for name, seq in sorted(named.items(), key=lambda item: item[1]):
        if name not in there:
            if name not in erased:
                breaks.append(Break(seq, "has lost what lies beside it, and no record says that it was erased"))
        elif not there[name]:
            breaks.append(Break(seq, "has other content beside it than the fingerprint it was given"))
    return breaks, len(erased)
