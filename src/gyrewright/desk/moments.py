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
    try:
        moment = datetime.strptime(text, _FORM).replace(tzinfo=UTC)
    except (TypeError, ValueError):
        moment = None
    # A year below 1000 or missing decimals parse but are not the one canonical spelling.
    if moment is None or moment_text(moment) != text:
        raise Refused(f"{text!r} is not a moment as the book writes it, such as 2027-06-12T13:30:00.000000Z")
    return moment
