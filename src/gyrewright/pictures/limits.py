"""All findings as rulers, worst first; and one finding alone."""

from __future__ import annotations

from gyrewright.finding import Finding, Verdict
from gyrewright.pictures.figures import symbol_for
from gyrewright.pictures.frame import USUAL, View, facts_of, finished, heading, lacking_words, paragraph, units_of
from gyrewright.pictures.lettering import LABEL, SMALL
from gyrewright.pictures.marks import mark, mark_width
from gyrewright.pictures.ruler import label_of, ruler, value_words
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import HAIRLINE, SOFT, Elements, line
from gyrewright.release.answer import Answer

_BESIDE_PX = 600.0
"""From this width on the mark stands beside its finding, else above it."""


def limits(answer: Answer, view: View = USUAL) -> str:
    """Return the rulers of all findings, worst first, under the mark of the whole answer.

    Findings in which no number is held against a limit have no ruler; those of them that are no plain yes are named
    before all rulers, so that nothing which stands against the flight is out of sight.
    """
    speech = view.speech
    title = speech.say("title limits")
    _, y = heading(answer, view, title)
    parts, high = mark(answer.verdict, x=view.left, top=y, width=mark_width(speech, LABEL), size=LABEL, speech=speech)
    y += high + 14.0
    rest = [each for each in answer.findings if not each.layers and each.verdict is not Verdict.GO]
    said = []
    for words in _named(rest, speech):
        more, high = paragraph(words, x=view.left, top=y, room=view.room, size=LABEL)
        parts += more
        y += high + 8.0
        said.append(words)
    more, y = _several(answer, [each for each in answer.findings if each.layers], view, y)
    parts += more
    said += [_in_words(answer, each, view) for each in answer.findings if each.layers]
    mark_words = speech.say(f"mark {answer.verdict.name}")
    return finished(answer, view, title=title, desc=" ".join([f"{mark_words}.", *said]), parts=parts, bottom=y)


def limit(answer: Answer, finding: Finding, view: View = USUAL) -> str:
    """Return the ruler of one finding."""
    title = view.speech.say("title limit", question=view.speech.question(finding))
    _, y = heading(answer, view, title)
    parts, y = _several(answer, [finding], view, y)
    return finished(answer, view, title=title, desc=_in_words(answer, finding, view), parts=parts, bottom=y)


def _several(answer: Answer, findings: list[Finding], view: View, top: float) -> tuple[Elements, float]:
    """Return findings one below the other, and where they end. [px]"""
    parts: Elements = []
    asked = [view.speech.question(finding) for finding in findings]
    for finding, question in zip(findings, asked, strict=True):
        parts.append(line(view.left, top, view.right, top, ink=HAIRLINE))
        more, high = _told(answer, finding, view, top + 14.0, is_one_of_many=asked.count(question) > 1)
        parts += more
        top += 14.0 + high + 14.0
    return parts, top


def _named(findings: list[Finding], speech: Speech) -> list[str]:
    """Return the names of the findings by what they say, the worst first."""
    out = []
    for verdict in sorted({each.verdict for each in findings}, reverse=True):
        names = dict.fromkeys(speech.name(each) for each in findings if each.verdict is verdict)
        out.append(speech.say("without ruler", mark=speech.say(f"mark {verdict.name}"), names="; ".join(names)))
    return out


def _told(answer: Answer, finding: Finding, view: View, top: float, *, is_one_of_many: bool) -> tuple[Elements, float]:
    """Return one finding with its mark, question, ruler or sentence, and how high that is. [px]"""
    speech = view.speech
    wide = mark_width(speech, SMALL)
    out, high = mark(finding.verdict, x=view.left, top=top, width=wide, size=SMALL, speech=speech)
    is_beside = view.width >= _BESIDE_PX
    x, y = (view.left + wide + 20.0, top + 3.0) if is_beside else (view.left, top + high + 8.0)
    room = view.right - x
    more, high = paragraph(speech.question(finding), x=x, top=y, room=room, size=LABEL, bold=True)
    out += more
    y += high
    if is_one_of_many:
        more, high = paragraph(speech.name(finding), x=x, top=y, room=room, size=LABEL, class_="about")
        out += more
        y += high
    y += 6.0
    if finding.layers:
        more, high = ruler(
            finding, x=x, top=y, width=room, speech=speech, units=units_of(answer), facts=facts_of(answer)
        )
        out += more
        y += high
    words = "" if finding.layers and not finding.lacking else speech.sentence(finding)
    if finding.lacking and not words:
        words = lacking_words(speech, finding.lacking)
    if words:
        more, high = paragraph(
            words, x=x, top=y + 4.0, room=room, size=LABEL if not finding.layers else SMALL, ink=SOFT
        )
        out += more
        y += high + 4.0
    return out, y - top


def _in_words(answer: Answer, finding: Finding, view: View) -> str:
    speech = view.speech
    main = next((layer for layer in finding.layers if layer.binds), None)
    symbol = symbol_for(finding, units_of(answer), facts_of(answer))
    value, stands = value_words(finding, main, symbol, speech) if finding.layers else (speech.sentence(finding), "")
    labels = [
        label_of(layer, finding, main, symbol, speech) for layer in finding.layers if layer.limit.value is not None
    ]
    said = "; ".join(each for each in (value, stands, *labels) if each)
    return f"{speech.say(f'mark {finding.verdict.name}')}: {speech.question(finding)} {said}."
