"""Proof of one record, years later: its content gives its printed code anew, and the chain goes on from it."""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.desk.book import chain
from gyrewright.desk.book.chain import COLUMNS
from gyrewright.desk.book.models import Personal, Record


@dataclass(frozen=True, slots=True)
class Proof:
    """Whether a record is as it was entered, and what was compared, as a sentence."""

    holds: bool
    said: str


def prove(id: str) -> Proof:
    """Compute a record's fingerprint anew from what is kept, and look at its neighbors in the chain and beside it."""
    row = Record.objects.filter(id=id).values(*COLUMNS).get()
    seq = row["seq"]
    computed = chain.record_hash(prev=row["prev"], seq=seq, id=row["id"], digest=chain.content_digest(row))
    if computed != row["hash"]:
        return Proof(
            False, f"The content of record {seq} no longer gives this code: it was changed after it was entered."
        )
    before = Record.objects.filter(seq=seq - 1).values_list("hash", flat=True).first()
    if seq > 1 and before != row["prev"]:
        return Proof(False, f"Record {seq} no longer follows record {seq - 1}: one of the two was changed or moved.")
    after = Record.objects.filter(seq=seq + 1).values_list("prev", flat=True).first()
    if after is not None and after != row["hash"]:
        return Proof(
            False, f"Record {seq + 1} no longer goes on from record {seq}: one of the two was changed or moved."
        )
    beside = Personal.objects.filter(fingerprint=row["personal_fingerprint"]).first()
    if (
        beside is not None
        and chain.fingerprint(salt=beside.salt, content=beside.content.encode()) != beside.fingerprint
    ):
        return Proof(False, f"What lies beside record {seq} was changed after it was entered.")
    follows = f"record {seq + 1} goes on from it" if after is not None else "it is the last record of the book"
    erased = " What lay beside it has been erased." if row["personal_fingerprint"] and beside is None else ""
    return Proof(True, f"Computed anew just now: the content of record {seq} gives this code, and {follows}.{erased}")
