"""Releases: a named person's yes with everything known then, and whether it still holds."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Release, ReleasePersonal, ReleaseSuperseded
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import head, read_rows, record_with_id
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.book.writing import disk_in_words
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.frozen import frozen
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.moments import moment_text
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import Answered, answered, digests_of, is_of_masses, tells_mass
from gyrewright.desk.services.holding import met_since
from gyrewright.desk.services.records import record_act
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.finding import Verdict
from gyrewright.inspection.lists import shipped_lists
from gyrewright.people.roles import may
from gyrewright.release.carry import numbers_to_carry
from gyrewright.words.as_json import as_json
from gyrewright.words.tell import Said, tell
from gyrewright.words.tell_ways import carry_told
from gyrewright.words.voice import voice_of

RELEASE_KINDS = ("release", "release-superseded", "withdrawn", "clash", "clash-settled")

ALONE = "student alone"


@dataclass(frozen=True, slots=True)
class Released:
    """A release, and what has become of it: `ended` is a sentence's clause where it no longer holds.

    `met` are its own conditions that were met since, by which it has not ended.
    """

    record: Recorded
    flight: str
    ended: str = ""
    met: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether it still holds."""
        return not self.ended


def may_release(found: Answered, person: str) -> bool:
    """Return whether a person is entitled to release a flight."""
    known = found.question.people.get(person)
    act = "release a student alone" if found.asked.act.purpose == ALONE else "release"
    return known is not None and bool(may(known, act, relations={"subject": found.asked.act.student}).allowed)


def against_release(found: Answered, at: datetime) -> str:
    """Return as a clause why nobody can release a flight now; empty where somebody may."""
    if not found.asked.is_open:
        return "this flight was dropped or flown"
    if found.refusals:
        return "a person named to judge has said no"
    if found.verdict is Verdict.STOP:
        return "a limit is broken; only a changed fact cures that"
    if found.verdict is Verdict.UNKNOWN:
        return "something that is needed is not known yet"
    if any(not each.is_yes for each in found.judgements):
        return "a judgement is still to be given"
    if valid_until(found) <= at:
        return "a fact that it rests on is too old already"
    return ""


def valid_until(found: Answered) -> datetime:
    """Return when a release would die: with its shortest-lived fact, and at the latest when the flight ends."""
    land_at = found.answer.situation.sheet.value("land_at")
    ends = [each for each in (found.answer.valid_until, land_at) if each is not None]
    if not ends:
        ends = [found.asked.act.depart_at + timedelta(hours=1)]
    return min(ends)


def release_flight(*, id: str, flight: str, by: str) -> Kept:
    """Record a release with everything known now; of two at once, one is kept.

    Raises:
        NotAllowed: The person is not entitled.
        Refused: The answer is STOP or UNKNOWN, a judgement lacks, or the flight is released already.
    """
    carry = _carry_beforehand(flight, by)
    with disk_in_words(), transaction.atomic():
        if Record.objects.filter(id=id, kind="release").exists():
            return record_act_again(id)
        now = clock.now()
        asked = state.flight(flight, now)
        found = answered(asked, now)
        if not may_release(found, by):
            raise NotAllowed("only an entitled person releases this flight: see who may do what")
        against = against_release(found, now)
        if against:
            raise Refused(f"this flight cannot be released: {against}")
        if any(each.holds for each in releases_of(asked, now)):
            raise Refused("this flight is released already; look at its sheet")
        seq, text = carry
        # What was worked out before the book was held fast counts only if nothing was entered meanwhile.
        act, personal = _frozen(found, text if seq == head().seq else _carry(found))
        return record_act(
            id=id, act=act, by=by, about=asked.aircraft, personal=personal, person=asked.act.commander, done_at=now
        )


def record_act_again(id: str) -> Kept:
    """Return the release that an id names, as the reply to the same act handed in again."""
    from gyrewright.desk.book.record import Outcome

    return Kept(Outcome.AGAIN, record_with_id(id))


def _carry_beforehand(flight: str, by: str) -> tuple[int, str]:
    """Return the numbers to carry away with the record they were worked out after: others can write meanwhile."""
    seq, now = head().seq, clock.now()
    asked = state.flight(flight, now)
    found = answered(asked, now)
    if not may_release(found, by) or against_release(found, now):
        return (-1, "")
    return seq, _carry(found)


def _carry(found: Answered) -> str:
    voice = voice_of(found.answer.situation)
    out = []
    for each in numbers_to_carry(found.question):
        title, rows = carry_told(voice, each)
        # Where no start passes, single numbers would only look like a way.
        out.append([title, [list(row) for row in rows] if each.latest_at is not None else []])
    return _text(out)


def _frozen(found: Answered, carry: str) -> tuple[Release, ReleasePersonal]:
    said = tell(found.answer)
    whole = as_json(said)
    public, beside = frozen(without_masses(whole, said), whole)
    pack = found.question.pack
    act = Release(
        flight=found.asked.id,
        verdict=found.verdict.code,  # type: ignore[arg-type]
        valid_until=valid_until(found),
        answer=public,
        rules={pack.name: pack.read_on.isoformat()},
        lists={each.id: str(each.revision) for each in shipped_lists()},
        head_seq=head().seq,
        asked=said.question,
        judged=tuple(each.said.id for each in found.judgements if each.said is not None),
    )
    facts = found.answer.situation.sheet.facts
    digests = digests_of(found.answer)
    typed = {name: facts[name].typed or str(facts[name].value)[:200] for name in digests}
    return act, ReleasePersonal(answer=beside, carry=carry, facts=_text(typed), digests=_text(digests))


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def without_masses(whole: dict[str, Any], said: Said) -> dict[str, Any]:
    """Return an answer's data as those see it who are neither aboard nor release: whether it passes, no figures."""
    hidden = {(told.finding.id, told.finding.about) for told in said.findings if is_of_masses(told.finding)}
    findings = []
    for each in whole["findings"]:
        kept = {**each, "inputs": [one for one in each["inputs"] if not tells_mass(one["fact"])]}
        if (each["id"], each["about"]) in hidden:
            kept |= {"sentence": "", "value": None, "limit": None, "margin": None, "layers": [], "inputs": []}
        findings.append(kept)
    return {**whole, "findings": findings, "sentence": sentence_without_masses(said)}


def sentence_without_masses(said: Said) -> str:
    """Return the one sentence on top without what tells masses or margins."""
    binding = said.answer.binding
    if said.answer.verdict is Verdict.GO or (binding is not None and is_of_masses(binding)):
        return said.voice.word("top", "GO nothing") if said.answer.verdict is Verdict.GO else ""
    return said.sentence


# --- what became of it ---


def releases_of(asked: Asked, at: datetime, *, answer_at: datetime | None = None) -> tuple[Released, ...]:
    """Return every release of a flight, the newest first, with what has become of each.

    Args:
        asked: The flight.
        at: Now.
        answer_at: The moment of the answer that facts are compared with, where a page has one already; it must not lie
            before the last record.
    """
    records = standing(state.records_of(("releases", asked.id), _of_flight(asked)), at=at).records
    superseded = {each.act.release: each for each in records if isinstance(each.act, ReleaseSuperseded)}
    out = []
    for each in records:
        if isinstance(each.act, Release) and each.act.flight == asked.id:
            over = superseded.get(each.id)
            ended, met = (over.act.because, ()) if over is not None else _became(each, asked, at, answer_at or at)
            out.append(Released(each, asked.id, ended, met))
    return tuple(reversed(out))


def _of_flight(asked: Asked) -> Q:
    """Return where releases of a flight can lie: after it was asked for, and before it was flown."""
    first = Record.objects.filter(id=asked.id).values_list("seq", flat=True).first() or 0
    releases = Q(kind="release")
    if asked.done is not None:
        releases &= Q(seq__lt=asked.done.seq)
    marks = Q(kind__in=[kind for kind in RELEASE_KINDS if kind != "release"])
    return Q(about=asked.aircraft, seq__gt=first) & (releases | marks)


def _became(release: Recorded, asked: Asked, at: datetime, answer_at: datetime) -> tuple[str, tuple[str, ...]]:
    """Return why a release no longer holds, as a clause, empty where it does; and its conditions that were met."""
    if not asked.is_open:
        return ("the flight was flown" if asked.done else "the flight was dropped"), ()
    if release.act.valid_until <= at:
        return "a fact that it rests on has become too old", ()
    try:
        found = answered(asked, answer_at)
    except GyrewrightError as error:
        return f"the flight can no longer be answered: {error}", ()
    if release.personal is None:
        return "what it was held against has been erased", ()
    changed = changed_since(release, found)
    met = met_since(release, found, changed) if changed and found.verdict < Verdict.UNKNOWN else ()
    if changed and not met:
        words = tell(found.answer).voice
        return f"changed since: {words.joined(words.word('fact', name) for name in changed[:3])}", ()
    if found.verdict >= Verdict.UNKNOWN:
        return "a reason stands against the flight now", ()
    return "", met


def changed_since(release: Recorded, found: Answered) -> tuple[str, ...]:
    """Return the names of facts that a release rests on and that are different now."""
    then: dict[str, str] = json.loads(release.personal.digests)
    key = ("digests", found.asked.id, found.asked.record.seq, found.answer.computed_at, state.head_seq())
    now = state.kept(key, lambda: digests_of(found.answer))
    return tuple(sorted(name for name in {*then, *now} if then.get(name) != now.get(name)))


def supersede(*, by: str) -> list[Kept]:
    """Record for every open release that a changed fact has ended that it no longer holds.

    `by` is who changed the fact. Nothing happens to a release that only grew old: it says itself until when it holds.
    """
    now = clock.now()
    recent = now - timedelta(days=2)
    found = Record.objects.filter(entered_at__gte=moment_text(recent)).order_by("seq")
    done = {each.act.release for each in read_rows(found.filter(kind="release-superseded"))}
    out = []
    for release in read_rows(found.filter(kind="release")):
        if release.id in done or release.act.valid_until <= now:
            continue
        try:
            asked = state.flight(release.act.flight, now)
        except UnknownName:
            continue
        if asked.done is not None:
            continue  # used, not overtaken
        because, _ = _became(release, asked, now, now)
        if because:
            act = ReleaseSuperseded(release=release.id, because=because[:500])
            out.append(record_act(act=act, by=by, about=release.about))
    return out


def release_with_id(id: str) -> Recorded:
    """Return a release.

    Raises:
        UnknownName: No release has this id.
    """
    found = record_with_id(id)
    if not isinstance(found.act, Release):
        raise UnknownName(f"no release has the id {id!r}")
    return found
