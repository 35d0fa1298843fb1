"""What would have to change: the ways in which a flight could go, each asked again and answered by decide itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gyrewright.finding import Verdict
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.grid import Survey
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.search import KINDS, NO_FACT, Change, Need, Offer, Search, acceptable, least_share
from gyrewright.release.solved import Tank
from gyrewright.release.windows import Starts, Window, windows

__all__ = ["KINDS", "NO_WAY_ROUND", "Change", "Need", "Offer", "Ways", "Window", "ways", "windows"]

NO_WAY_ROUND = ("people.no",)
"""Findings that no change of choices goes round: somebody's no. A judge's no stays with what it was said about."""


@dataclass(frozen=True, slots=True)
class Ways:
    """The answer to "what would have to change".

    Attributes:
        asked: The flight as asked.
        offers: Where the flight as asked does not pass: what does, single changes first, the smallest first.
        needs: What would pass in cooler air.
        windows: When the flight as asked could start, on its runway and in its aircraft.
        stands_against: Where nothing passes, the checks that stop every way that was tried in this aircraft.
        fetch: Where nothing passes, the facts that every way that was tried lacks: what to get first.
        tanks: For each aircraft looked at, the fuel that the flight needs and what it can carry, whatever the weather.
    """

    asked: Answer
    offers: tuple[Offer, ...] = ()
    needs: tuple[Need, ...] = ()
    windows: tuple[Window, ...] = ()
    stands_against: tuple[str, ...] = ()
    fetch: tuple[str, ...] = ()
    tanks: tuple[Tank, ...] = ()


def ways(question: Question, *, fleet: Sequence[Aircraft] = (), over: Iterable[str] = KINDS) -> Ways:
    """Return the ways in which a flight could go.

    Args:
        question: The flight as asked.
        fleet: The operation's aircraft, each with its own books.
        over: The kinds of change to look at.
    """
    asked = decide(question)
    noes = tuple(each.id for each in asked.findings if each.id in NO_WAY_ROUND and each.verdict is Verdict.STOP)
    if noes:
        return Ways(asked, stands_against=tuple(dict.fromkeys(noes)))
    kinds = tuple(kind for kind in KINDS if kind in frozenset(over))
    starts = Starts(question) if "start" in kinds else None
    today = starts.windows() if starts else ()
    if asked.verdict <= Verdict.JUDGE:
        return Ways(asked, windows=today)
    others = [each for each in fleet if each.definition.id != question.definition.id and "aircraft" in kinds]
    moved = [choices.with_aircraft(question, each, 0.0) for each in others]
    known = Survey(asked.situation, ())
    known.grid()
    search = Search(asked, others, starts, {}, known)
    singles = [offer for kind in kinds for offer in search.singles(kind, question, asked)]
    offers = [offer for offer in (*singles, *search.pairs(kinds, singles)) if acceptable(offer.answer)]
    tried = [asked, *(offer.answer for offer in singles if offer.question.definition.id == question.definition.id)]
    return Ways(
        asked=asked,
        offers=tuple(sorted(offers, key=_rank)),
        needs=tuple(search.needs(question)),
        windows=today,
        stands_against=() if offers else _common([_ids(asked, Verdict.STOP), *(_ids(each) for each in tried)]),
        fetch=() if offers else _common([_lacking(each) for each in tried]),
        tanks=tuple(search.tank(each) for each in (question, *moved)),
    )


def _rank(offer: Offer) -> tuple[int, int, float, float]:
    """Few changes before many, small kinds before large, little of it before much, and then what leaves more margin."""
    return (
        len(offer.changes),
        max(KINDS.index(change.kind) for change in offer.changes),
        sum(change.size for change in offer.changes),
        -least_share(offer.answer),
    )


def _ids(answer: Answer, least: Verdict = Verdict.UNKNOWN) -> tuple[str, ...]:
    return tuple(each.id for each in answer.findings if each.verdict >= least)


def _lacking(answer: Answer) -> tuple[str, ...]:
    lacking = (name for each in answer.findings if each.verdict is Verdict.UNKNOWN for name in each.lacking)
    return tuple(name for name in lacking if name not in NO_FACT)


def _common(named: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the names that all have, in the order of the first, each once."""
    return tuple(dict.fromkeys(name for name in named[0] if all(name in each for each in named)))
