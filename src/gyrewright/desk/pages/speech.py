"""The words of pictures on a page: those of the answer's own voice."""

from __future__ import annotations

from gyrewright.desk.worded import picture_words
from gyrewright.finding import Finding
from gyrewright.pictures.speech import Speech
from gyrewright.words.tell import Said, Told


def speech_of(said: Said) -> Speech:
    """Return how pictures of an answer speak."""
    voice = said.voice
    told = {(each.finding.id, each.finding.about): each for each in said.findings}

    def of(finding: Finding) -> Told:
        return told.get((finding.id, finding.about)) or Told(voice, finding)

    return Speech(
        words=picture_words(voice.words.language),
        check=voice.check,
        name=lambda finding: of(finding).name,
        question=lambda finding: of(finding).question,
        sentence=lambda finding: of(finding).sentence,
        layer=voice.layer,
        fact=lambda name: voice.word("fact", name),
        by=voice.by,
    )
