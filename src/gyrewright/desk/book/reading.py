"""Reading the book back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import QuerySet

from gyrewright.desk.book.chain import EMPTY, Head
from gyrewright.desk.book.models import Personal, Record
from gyrewright.desk.book.record import Recorded, recorded
from gyrewright.desk.moments import moment_text
from gyrewright.errors import UnknownName

_AT_ONCE = 500


def head() -> Head:
    """Return the last record's number and fingerprint."""
    last = Record.objects.order_by("-seq").values_list("seq", "hash").first()
    return Head(*last) if last else EMPTY


def find_records(
    *,
    about: str = "",
    kinds: Sequence[str] = (),
    by: str = "",
    corrects: str = "",
    known_at: datetime | None = None,
    up_to_seq: int | None = None,
    newest_first: bool = False,
    start: int = 0,
    count: int | None = None,
) -> list[Recorded]:
    """Return records in the order they were entered, narrowed by what is given."""
    found: QuerySet[Record] = Record.objects.order_by("-seq" if newest_first else "seq")
    if about:
        found = found.filter(about=about)
    if kinds:
        found = found.filter(kind__in=kinds)
    if by:
        found = found.filter(by=by)
    if corrects:
        found = found.filter(corrects=corrects)
    if known_at is not None:
        found = found.filter(entered_at__lte=moment_text(known_at))
    if up_to_seq is not None:
        found = found.filter(seq__lte=up_to_seq)
    return read_rows(found[start : None if count is None else start + count])


def read_rows(found: QuerySet[Record]) -> list[Recorded]:
    """Return the rows of a query as records, with the personal content that is still there."""
    rows = list(found.values())
    beside = personal_contents(row["personal_fingerprint"] for row in rows if row["personal_fingerprint"])
    return [recorded(row, personal=beside.get(row["personal_fingerprint"])) for row in rows]


def personal_contents(fingerprints: Iterable[str]) -> dict[str, str]:
    """Return personal content by fingerprint, as far as it has not been erased."""
    wanted = list(fingerprints)
    contents: dict[str, str] = {}
    for start in range(0, len(wanted), _AT_ONCE):
        part = Personal.objects.filter(fingerprint__in=wanted[start : start + _AT_ONCE])
        contents.update(part.values_list("fingerprint", "content"))
    return contents


def record_with_id(id: str) -> Recorded:
    """Return the record with an id.

    Raises:
        UnknownName: There is none.
    """
    found = read_rows(Record.objects.filter(id=id))
    if not found:
        raise UnknownName(f"no record has the id {id!r}")
    return found[0]
