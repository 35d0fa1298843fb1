"""House limits against the law's: a house may only tighten, and this proves it or says where it does not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from gyrewright.arrays import at_least, at_most
from gyrewright.errors import Problem
from gyrewright.finding import Limit, Sense, When
from gyrewright.rules.pack import LIMIT, Pack, in_force


def prove_tightens(law: Iterable[Limit], house: Iterable[Limit], *, file: str = "house") -> tuple[Problem, ...]:
    """Return a problem for every house limit that would allow what the law forbids; none is the proof.

    Two limits meet where they are on the same quantity, from the same side, on the same load, count the same wind, and
    some flight is meant by both. Where the law excludes equality, the house does as well, or is stricter.
    """
    laws = tuple(law)
    out = []
    for mine in house:
        for theirs in laws:
            if theirs.value is None or mine.value is None or not _meet(theirs, mine):
                continue
            if not _tightens(theirs, mine):
                text = (
                    f"{mine.sense} {mine.typed} is laxer than the law, {theirs.sense} {theirs.typed} "
                    f"({theirs.source.section}); write {theirs.typed} or stricter, or leave it out"
                )
                out.append(Problem(file, f"limit[{mine.of}]", text))
    return tuple(out)


def prove_house(pack: Pack, house: Iterable[Limit], *, file: str = "house") -> tuple[Problem, ...]:
    """Return a problem for every house limit that the law, as the pack was read, leaves nothing to say.

    Much of the law speaks only about some flights: by night, alone, in some airspace. On any one flight both layers
    stand and the stricter binds, so a house number for every flight must be no laxer than the mildest law it can meet.
    """
    laws = [
        replace(limit, when=rule.when)
        for rule in pack.rules
        if rule.evaluator == LIMIT and (value := in_force(rule, pack.read_on)) is not None
        for limit in value.limits
    ]
    out: list[Problem] = []
    for mine in house:
        met = [each for each in laws if each.value is not None and mine.value is not None and _meet(each, mine)]
        if met:
            mildest = (max if mine.sense.is_upper else min)(met, key=lambda each: each.value)
            out.extend(prove_tightens([mildest], [mine], file=file))
    return tuple(out)


def _meet(theirs: Limit, mine: Limit) -> bool:
    return (
        theirs.of == mine.of
        and theirs.sense.is_upper == mine.sense.is_upper
        and theirs.on == mine.on
        and (theirs.counts == mine.counts or not theirs.counts or not mine.counts)
        and _overlap(theirs.when, mine.when)
    )


def _overlap(first: When, second: When) -> bool:
    """Return whether some flight can be meant by both: each pair of sets is empty on one side or shares a word.

    A flight has one purpose, one number aboard and one lesson; of configuration it may have many words, so two sets of
    those always can meet.
    """
    pairs = ((first.purpose, second.purpose), (first.aboard, second.aboard), (first.lesson, second.lesson))
    return all(not left or not right or bool(left & right) for left, right in pairs)


def _tightens(theirs: Limit, mine: Limit) -> bool:
    upper = theirs.sense.is_upper
    inside = at_most(mine.value, theirs.value) if upper else at_least(mine.value, theirs.value)
    if not inside:
        return False
    strict = theirs.sense in (Sense.BELOW, Sense.ABOVE)
    same = at_most(mine.value, theirs.value) and at_least(mine.value, theirs.value)
    return not (strict and same and mine.sense in (Sense.AT_MOST, Sense.AT_LEAST))
