"""In which words and units a person reads: their own choice before the house's."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db.models import Q

from gyrewright.desk.book.kinds.people import ReadingChosen
from gyrewright.desk.book.record import Kept
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.reader import Reader
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.records import record_act
from gyrewright.errors import GyrewrightError
from gyrewright.units import DIMENSIONS
from gyrewright.words.catalogue import FIRST, LANGUAGES

CHOSEN = ("mass", "arm", "volume", "fuel flow", "length", "speed", "climb", "temperature", "pressure")
"""Dimensions in which a person may choose a unit of their own."""

_KINDS = ("reading-chosen", "withdrawn", "clash", "clash-settled")


def house_reader(at: datetime) -> Reader:
    """Return a reader who has chosen nothing: the house's words; the first language before there is a house."""
    try:
        return Reader(state.house(at).operation.words)
    except GyrewrightError:
        return Reader(FIRST)


def chosen_by(person: str, at: datetime) -> ReadingChosen:
    """Return what a person has chosen; nothing where they have not."""
    records = state.records_of(("reading", person), Q(about=person, kind__in=_KINDS))
    acts = [each.act for each in standing(records, at=at).records if isinstance(each.act, ReadingChosen)]
    return acts[-1] if acts else ReadingChosen()


def reader_of(person: str, at: datetime) -> Reader:
    """Return how a person reads."""
    house, chosen = house_reader(at), chosen_by(person, at)
    return Reader(chosen.language or house.language, dict(chosen.units))


def choose_reading(*, id: str, person: str, language: str, units: Mapping[str, str], by: str) -> Kept:
    """Record in which words and units a person reads.

    Raises:
        Refused: There is no such language or unit.
    """
    if language and language not in LANGUAGES:
        raise Refused(f"there are no words in {language!r}; choose one of: {', '.join(LANGUAGES)}")
    for dimension, symbol in units.items():
        accepted = [unit.symbol for unit in DIMENSIONS[dimension].units] if dimension in CHOSEN else []
        if symbol not in accepted:
            raise Refused(f"{symbol!r} is no unit of {dimension}; choose one of: {', '.join(accepted) or 'none'}")
    act = ReadingChosen(language=language, units=dict(units))  # type: ignore[arg-type]
    return record_act(id=id, act=act, by=by, about=person)
