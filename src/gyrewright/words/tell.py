"""The teller: an answer as data becomes an answer in sentences. Pure: the same answer always reads the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from gyrewright.finding import Condition, Finding, Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.flight import EMPTY, OPEN
from gyrewright.words.catalogue import PARTS, Template
from gyrewright.words.gaps import Gaps, is_clock
from gyrewright.words.voice import Manner, Voice, capital, voice_of

_SENTENCES_REST_ON = ("runway_length_m", "depart_at", "land_at", *PARTS)
"""What the gaps of any sentence may ask of the sheet, whatever the template names."""


class Told:
    """One finding in words."""

    def __init__(self, voice: Voice, finding: Finding, manner: Manner | None = None) -> None:
        self.voice = voice
        self.finding = finding
        self.gaps = Gaps(voice, finding)
        self.sentence = self._say(finding.why) if manner is None else self._said(manner)

    def _said(self, manner: Manner) -> str:
        """Return the sentence, told once for the same finding, manner and facts."""
        finding, sheet = self.finding, self.voice.sheet
        key = ("sentence", manner.words.language, finding.id, finding.about)
        kept = sheet.kept(key)
        if kept is not None and kept[1][0] is finding and kept[1][1] is manner:
            return str(kept[1][2])
        template = self._template(finding.why)
        names = {name.partition(".")[0] for name in template.names} if template else set()
        sentence = self._say(finding.why)
        rests_on = (*finding.inputs, *finding.lacking, *names, *_SENTENCES_REST_ON)
        sheet.keep(key, rests_on, (finding, manner, sentence))
        return sentence

    def _say(self, key: str) -> str:
        template = self._template(key)
        return self.voice.sentence(template, self.gaps.get) if template else ""

    def _template(self, key: str) -> Template | None:
        words, id = self.voice.words, self.finding.id
        template = words.finding(id, *self.gaps.keys(key), "nothing")
        if key == "unknown" and template is not None and not self._can_fill(template):
            # Where facts are missing nobody brings what the room's own sentence asks for.
            template = words.tables["default"][key]
        return template

    def _can_fill(self, template: Template) -> bool:
        """Whether there is something for every gap of a template."""
        return all(
            self.gaps.get(name) is not None or name.partition(".")[0] in self.voice.sheet for name in template.names
        )

    def clause(self, key: str) -> str:
        """Return another of the finding's own texts as a clause, or nothing where it has none under that key."""
        own = self.voice.words.tables.get(self.finding.id, {})
        for each in self.gaps.keys(key):
            if each in own:
                return self.voice.fill(own[each], self.gaps.get)
        return ""

    def say(self, key: str) -> str:
        """Return another of the finding's own texts as a sentence, or nothing where it has none under that key."""
        return capital(self.clause(key))

    @cached_property
    def question(self) -> str:
        """The question that the finding answers."""
        return self.say("question") or capital(self.finding.id)

    @cached_property
    def name(self) -> str:
        """What it is about, in few words, as part of a sentence."""
        return self.clause("name") or f'"{self.question}"'

    @cached_property
    def whole(self) -> str:
        """The sentence, led by its question where it would not be understood alone."""
        own = self.voice.words.tables.get(self.finding.id, {})
        return self.sentence if "name" in own else f"{self.question} {self.sentence}"

    @property
    def mark(self) -> str:
        """The verdict as a person sees it."""
        return self.voice.word("mark", self.finding.verdict.name)

    @cached_property
    def left(self) -> str:
        """How much is left to the limit that binds."""
        layer = self.gaps.layer
        if layer is None or self.gaps.numbers is None:
            return ""
        key = "lower" if not layer.limit.sense.is_upper else "upper"
        spare = self.gaps.get("spare") if "factored" in self.gaps.variants() else self.gaps.get("margin")
        return self.voice.word("left", key, margin=spare)


@dataclass(frozen=True, slots=True)
class Said:
    """A whole answer in words.

    Attributes:
        question: What was asked.
        mark: The verdict as a person sees it.
        sentence: The one sentence on top.
        more: How many further reasons are as bad, in a sentence of its own; empty where there are none.
        findings: Every finding in words, worst first.
    """

    answer: Answer
    voice: Voice
    question: str
    mark: str
    sentence: str
    more: str
    findings: tuple[Told, ...]


def tell(answer: Answer, *, language: str = "") -> Said:
    """Return an answer in words.

    Args:
        answer: What was decided.
        language: One of `catalogue.LANGUAGES`; the operation's own where empty.
    """
    voice = voice_of(answer.situation, language)
    manner = _manner_of(voice)
    findings = tuple(Told(voice, finding, manner) for finding in answer.findings)
    return Said(
        answer=answer,
        voice=voice,
        question=question_of(answer, voice),
        mark=voice.word("mark", answer.verdict.name),
        sentence=_top(answer, voice, findings),
        more=_more(answer, voice),
        findings=findings,
    )


def _manner_of(voice: Voice) -> Manner:
    """Return how this voice speaks, as the very object that earlier sentences were kept with where nothing differs."""
    manner, key = voice.manner(), ("manner", voice.words.language)
    kept = voice.sheet.kept(key)
    if kept is not None and kept[1] == manner:
        return kept[1]  # type: ignore[no-any-return]
    voice.sheet.keep(key, (), manner)
    return manner


def _top(answer: Answer, voice: Voice, findings: tuple[Told, ...]) -> str:
    """Return the one sentence that names the binding reason."""
    if not findings:
        return voice.word("top", "UNKNOWN nothing")
    if answer.verdict is Verdict.GO_IF:
        return voice.word("top", "GO_IF", conditions="; ".join(conditions_of(answer, voice)))
    if answer.verdict is Verdict.GO:
        first = next(_next_up(findings), None)
        if first is None:
            return voice.word("top", "GO nothing")
        return voice.word("top", "GO", next=first.name, left=first.left)
    bound = next((told for told in findings if told.finding is answer.binding), findings[0])
    return voice.word("top", answer.verdict.name, sentence=bound.whole)


def _more(answer: Answer, voice: Voice) -> str:
    alike = sum(1 for finding in answer.findings if finding.verdict is answer.verdict) - 1
    if alike < 1 or answer.verdict in (Verdict.GO, Verdict.GO_IF):
        return ""
    return voice.word("more", answer.verdict.name, count=voice.word("count", str(alike)), limits=alike)


def conditions_of(answer: Answer, voice: Voice) -> tuple[str, ...]:
    """Return every condition of an answer as a clause, each once."""
    return tuple(
        dict.fromkeys(
            condition_words(voice, condition).rstrip(".")
            for finding in answer.findings
            for condition in finding.conditions
        )
    )


def condition_words(voice: Voice, condition: Condition) -> str:
    """Return a condition as a clause, without capital and stop."""
    gaps = voice.named(condition.params)
    if "place" in gaps:
        gaps["part"], gaps["place"] = voice.part(gaps["place"]), voice.place(gaps["place"])
    return voice.word("condition", condition.id, **gaps)


def next_up(findings: Iterable[Told]) -> tuple[Told, ...]:
    """Return what holds and has a margin, the smallest share first. Clocks and dates are ordered apart."""
    return tuple(_next_up(findings))


def _next_up(findings: Iterable[Told]) -> Iterator[Told]:
    held = [
        told
        for told in findings
        if told.finding.verdict is Verdict.GO
        and told.finding.binds_next is not None
        and told.finding.binds_next.share is not None
        and not is_clock(told.finding)
        and told.finding.dimension != "days"
        and told.gaps.layer is not None
        and not told.gaps.layer.limit.demonstrated
    ]
    # A table that ends where the mass does says nothing new: one number binds once.
    seen = set()
    for told in sorted(held, key=lambda told: told.finding.binds_next.share or 0.0):  # type: ignore[union-attr]
        key = (told.finding.working, told.left)
        if key not in seen:
            seen.add(key)
            yield told


def clocks(said: Said) -> tuple[tuple[datetime, str], ...]:
    """Return what binds by the clock, in the order in which it does: when, and what then happens."""
    voice = said.voice
    found: list[tuple[datetime, str]] = []
    for told in said.findings:
        finding = told.finding
        if finding.verdict > Verdict.GO_IF:
            continue
        if finding.id == "light.before_sunset" and "never" not in told.gaps.variants():
            found.append((told.gaps.get("latest_at"), voice.word("clock", "light")))
        elif finding.holds_until is not None:
            found.append(
                (finding.holds_until, told.clause("clock") or voice.word("clock", "again", question=told.question))
            )
        elif finding.binds_next is not None and finding.binds_next.at is not None:
            by = voice.by(finding.binds_next.by)
            found.append(
                (finding.binds_next.at, voice.word("clock", "beyond" if by else "ends", name=told.name, by=by))
            )
    return tuple(sorted(found, key=lambda each: each[0]))


def question_of(answer: Answer, voice: Voice) -> str:
    """Return what was asked, in one sentence: who flies what, in which aircraft, from where, when and how long."""
    question = answer.situation.question
    flight, definition = question.flight, question.definition
    aboard = [person for _, person in flight.seats if person and person != EMPTY]
    parts = dict(flight.parts)
    lead = next((parts[part] for part in ("instructor", "examiner", "commander") if parts.get(part) in aboard), "")
    others = [voice.names.get(person, person) for person in aboard if person != lead]
    name = voice.names.get(lead, lead)
    if not aboard:
        crew = voice.word("question", "nobody")
    elif not lead:
        crew = voice.joined(others)
    elif others:
        crew = voice.word("question", "with", lead=name, others=voice.joined(others))
    else:
        crew = voice.word("question", "alone", lead=name)
    told = [voice.word("question", "who", crew=crew)]
    if flight.lesson.is_known:
        told.append(voice.word("question", "lesson", lesson=flight.lesson.typed))
    if flight.purpose.is_known:
        told.append(voice.word("question", "purpose", purpose=voice.word("purpose", flight.purpose.value)))
    told.append(voice.word("question", "aircraft", name=definition.name, id=definition.id))
    if flight.runway.is_known:
        told.append(voice.word("question", "runway", runway=flight.runway.typed))
    if flight.depart_at is not None and voice.day is not None:
        told.append(
            voice.word(
                "question",
                "start",
                weekday=voice.weekday(voice.day),
                date=voice.day,
                clock=voice.moment(flight.depart_at),
            )
        )
    if flight.block.value == OPEN:
        told.append(voice.word("question", "open"))
    elif flight.block.is_known:
        told.append(voice.word("question", "block", block=flight.block.typed))
    return "".join(told) + "?"
