"""Moments as the book writes them: UTC, ISO 8601, always six decimals, so that text order is time order."""

from __future__ import annotations

from datetime import UTC, datetime

from gyrewright.desk.refusal import Refused

_FORM = "%Y-%m-%dT%H:%M:%S.%fZ"


def moment_text(moment: datetime) -> str:
    """Return a moment as the book writes it.

    Raises:
        Refused: The moment has no offset from UTC.
    """
    if moment.tzinfo is None:
        raise Refused(f"{moment.isoformat()} has no offset from UTC; say which clock it was read from")
    return moment.astimezone(UTC).strftime(_FORM)


def moment_of(text: str) -> datetime:
    """Return the moment that a text of the book spells.

    Raises:
        Refused: The text is not in the form of the book.
    """
    # Read without the form at hand, which takes thirty times as long: a book holds hundreds of thousands of moments.
    try:
        moment = datetime.fromisoformat(text)
        is_canonical = moment.tzinfo is not None and moment_text(moment) == text
    except (TypeError, ValueError):
        is_canonical = False
    # Other spellings of the same moment parse too, and are not the one that the book writes.
    if not is_canonical:
        raise Refused(f"{text!r} is not a moment as the book writes it, such as 2027-06-12T13:30:00.000000Z")
    return moment
