"""The desk's voice where no flight is asked about: the house's words, units and clock."""

from __future__ import annotations

from datetime import datetime

from gyrewright.desk.reader import reader, reader_words
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import all_people
from gyrewright.sheet import Plan, Sheet
from gyrewright.words.catalogue import catalogue
from gyrewright.words.voice import Voice


def voice_at(at: datetime) -> Voice:
    """Return the voice of the desk at a moment; before a house is known, the first language and no preferred units."""
    try:
        operation = state.house(at).operation
        language, units = reader_words(operation.words), {**dict(operation.units), **reader().units}
    except Refused:
        language, units = reader().language, {}
    zone = state.zone()
    return Voice(
        words=catalogue(language),
        preferred=units,
        names={id: known.name or id for id, known in all_people().items()},
        zone=zone,
        day=at.astimezone(zone).date(),
        asked_at=at,
        sheet=Sheet({}, Plan(())),
    )
