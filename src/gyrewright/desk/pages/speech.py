"""The words of pictures on a page: those of the answer's own voice."""

from __future__ import annotations

from gyrewright.desk.worded import picture_words
from gyrewright.finding import Finding
from gyrewright.pictures.speech import Speech
from gyrewright.words.tell import Said, Told
from gyrewright.words.voice import Voice


def speech_of(said: Said) -> Speech:
    """Return how pictures of an answer speak."""
    voice = said.voice
    told = {(each.finding.id, each.finding.about): each for each in said.findings}

    def of(finding: Finding) -> Told:
        return told.get((finding.id, finding.about)) or Told(voice, finding)

    return Speech(
        words=picture_words(voice.words.language),
        check=lambda name: _check(voice, name),
        name=lambda finding: of(finding).name,
        question=lambda finding: of(finding).question,
        sentence=lambda finding: of(finding).sentence,
        layer=voice.layer,
        fact=lambda name: voice.word("fact", name),
        by=voice.by,
    )


def _check(voice: Voice, name: str) -> str:
    id, _, about = name.partition(":")
    table = voice.words.tables.get(id, {})
    words = (
        table["name"].text if "name" in table and not table["name"].names else id.rpartition(".")[2].replace("_", " ")
    )
    return f"{words}, {voice.part(about)}" if about and voice.part(about) not in words else words
