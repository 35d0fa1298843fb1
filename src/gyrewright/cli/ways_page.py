"""What would have to change, as a page of plain text."""

from __future__ import annotations

from collections.abc import Iterator

from gyrewright.cli.page import foot, head, items, tidy, wrapped
from gyrewright.finding import Verdict
from gyrewright.release.carry import Carry
from gyrewright.release.plan import Slot
from gyrewright.release.ways import Ways
from gyrewright.words.tell import Said, tell
from gyrewright.words.tell_ways import against_told, carry_told, needs_told, offers_told, windows_told
from gyrewright.words.voice import Voice


def ways_page(said: Said, ways: Ways, names: dict[str, str], carries: tuple[Carry, ...] = ()) -> list[str]:
    """Return the whole page, line by line."""
    voice = said.voice
    return tidy(
        [
            *head(said),
            *_offers(said, ways, names),
            *_windows(voice, ways),
            *_carries(voice, carries),
            *foot(voice),
        ]
    )


def _heading(voice: Voice, key: str) -> str:
    return voice.word("ways", key).upper()


def _offers(said: Said, ways: Ways, names: dict[str, str]) -> Iterator[str]:
    voice = said.voice
    yield _heading(voice, "heading")
    if said.answer.verdict is Verdict.GO:
        yield from wrapped(voice.word("ways", "none_needed"))
    for number, told in enumerate(offers_told(ways), start=1):
        yield from wrapped(voice.word("ways", "offer", changes=told.changes, mark=told.mark), first=f"{number}. ")
        if told.todo:
            todo = voice.word("ways", "todo", conditions="; ".join(each.rstrip(".") for each in told.todo))
            yield from wrapped(todo, first="   ")
        for text in (*told.edges, told.next):
            if text:
                yield from wrapped(text, first="   ")
    if said.answer.verdict > Verdict.JUDGE:
        for text in against_told(said, ways):
            yield from wrapped(text)
    yield from items(needs_told(voice, ways.needs, names))


def _windows(voice: Voice, ways: Ways) -> Iterator[str]:
    yield ""
    yield _heading(voice, "windows")
    if not ways.windows:
        yield from wrapped(voice.word("ways", "no_window"))
    yield from items(windows_told(voice, ways.windows))


def _carries(voice: Voice, carries: tuple[Carry, ...]) -> Iterator[str]:
    if carries:
        yield ""
        yield _heading(voice, "carry")
    for carry in carries:
        title, rows = carry_told(voice, carry)
        yield title
        for name, number in rows:
            yield from wrapped(f"{name}: {number}", first="  - ")


def plan_page(slots: tuple[Slot, ...]) -> list[str]:
    """Return the day's flights with the places they found."""
    said = [tell(slot.answer) for slot in slots]
    voice = said[0].voice
    lines = [_heading(voice, "plan")]
    for slot, told in zip(slots, said, strict=True):
        flight = (slot.question or slot.asked).flight
        key = "placed" if slot.question is not None else "unplaced"
        gaps = {"title": slot.asked.flight.title, "mark": told.mark, "sentence": told.sentence}
        if flight.depart_at is not None:
            gaps["start_at"] = told.voice.moment(flight.depart_at.astimezone(told.voice.zone))
        lines += items([told.voice.word("ways", key, **gaps)])
    return tidy([*lines, *foot(voice)])
