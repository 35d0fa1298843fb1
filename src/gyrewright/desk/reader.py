"""Who reads the page that is being made: in which words, and in which units they would rather see a number.

A person's own choice goes before the house's. It changes how things read, never what was found: a release and every
record keep the words and units of the house.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from gyrewright.release.answer import Answer
from gyrewright.release.question import Question
from gyrewright.words.catalogue import FIRST
from gyrewright.words.spelling import spelled


@dataclass(frozen=True, slots=True)
class Reader:
    """A reader: their language, and their unit by dimension where they would rather have another than the house's."""

    language: str = FIRST
    units: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def key(self) -> tuple[object, ...]:
        """What tells this reader's pages from another's, for whatever is kept of a page."""
        return (self.language, *sorted(self.units.items()))


_reader: ContextVar[Reader | None] = ContextVar("reader", default=None)


def set_reader(reader: Reader | None) -> None:
    """Say who reads what is made from now on in this thread; None: nobody in particular."""
    _reader.set(reader)


def reader() -> Reader:
    """Return who reads; the first language and the house's units where nobody was named."""
    return _reader.get() or Reader()


def reader_words(house: str) -> str:
    """Return the language in which something of a house is read: the reader's, the house's where nobody is named."""
    who = _reader.get()
    return who.language if who is not None else house


def own_words(text: str) -> str:
    """Return words of ours in the reader's spelling; not for what people typed."""
    return spelled(text, reader().language)


def as_read(answer: Answer) -> Answer:
    """Return an answer as this reader hears it: the same findings, in their words and units."""
    question = answer.situation.question
    heard = question_as_read(question)
    return answer if heard is question else replace(answer, situation=replace(answer.situation, question=heard))


def question_as_read(question: Question) -> Question:
    """Return a question in this reader's words and units; the very one where they are the house's."""
    who, house = _reader.get(), question.operation
    if who is None or (who.language == house.words and not who.units):
        return question
    units = {**dict(house.units), **who.units}
    return replace(question, operation=replace(house, words=who.language, units=tuple(units.items())))
