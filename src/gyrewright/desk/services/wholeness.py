"""Whether the book is whole, as far as it was looked at: the end of it at first, then every record that comes.

The whole chain takes seconds where the book is old; it is walked when somebody asks for it, and what was walked is not
walked again while the desk runs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from threading import Lock

from django.conf import settings

from gyrewright.desk import clock
from gyrewright.desk.book.chain import COLUMNS, EMPTY, Head, walk
from gyrewright.desk.book.head import kept_head
from gyrewright.desk.book.models import Record
from gyrewright.desk.refusal import BookBroken

AT_FIRST = 500
"""How many records at the end are walked before anybody asks for all of them."""


@dataclass(frozen=True, slots=True)
class Looked:
    """How far the book was walked while the desk runs.

    Attributes:
        first: The number of the first record that was walked.
        head: The last that holds.
        whole_at: When all of it was walked, if it was.
        broken: What does not hold, as one line; empty where all that was walked does.
    """

    first: int
    head: Head
    whole_at: datetime | None = None
    broken: str = ""


_looked: dict[str, Looked] = {}
_lock = Lock()


def look() -> Looked:
    """Walk what came since the last look, and return how far the book holds."""
    folder = str(settings.DATA_DIR)
    with _lock:
        seen = _looked.get(folder)
        if seen is None or seen.broken:
            start = Record.objects.order_by("-seq").values_list("seq", "prev")[AT_FIRST - 1 : AT_FIRST].first()
            head = Head(start[0] - 1, start[1]) if start else EMPTY
            seen = Looked(head.seq + 1, head)
        _looked[folder] = _went_on(seen)
        return _looked[folder]


def looked_at_all(*, head: Head, broken: str) -> None:
    """Take note that the whole book was walked just now."""
    with _lock:
        _looked[str(settings.DATA_DIR)] = Looked(1, head, clock.now(), broken)


def _went_on(seen: Looked) -> Looked:
    rows = Record.objects.filter(seq__gt=seen.head.seq).order_by("seq").values(*COLUMNS)
    walked = walk(rows.iterator(), start=seen.head)
    if walked.broken:
        return replace(seen, head=walked.head, broken=str(walked.broken))
    try:
        outside = kept_head(settings.DATA_DIR)
    except BookBroken as error:
        return replace(seen, head=walked.head, broken=str(error))
    if outside.seq > walked.head.seq:
        gone = f"the head kept outside names record {outside.seq}, and the book ends at {walked.head.seq}"
        return replace(seen, head=walked.head, broken=gone)
    return replace(seen, head=walked.head)
