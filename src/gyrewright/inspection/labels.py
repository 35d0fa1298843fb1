"""Labels for walk-round exercises as data: what they may say, where none is hung, and what a placer states."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources

from gyrewright.reading import Problems, Section, section_of


@dataclass(frozen=True, slots=True)
class Labels:
    """The words of labels, the statement of whoever hangs one, and the places at which none is hung.

    Attributes:
        words: What a label may say; a placer may write another.
        statement: What a placer states of each.
        closed_zones: Zones of the walk-round in which none is hung, with the reason.
        closed_items: Items of the walk-round beside which none is hung, with the reason.
    """

    words: tuple[str, ...]
    statement: str
    closed_zones: tuple[tuple[str, str], ...]
    closed_items: tuple[tuple[str, str], ...]

    def why_not(self, *, zone: str, item: str = "") -> str:
        """Return why no label is hung at a place; empty where one may be."""
        return dict(self.closed_items).get(item, "") or dict(self.closed_zones).get(zone, "")


def read_labels(section: Section) -> Labels:
    """Return what a file of labels says; problems are noted in the section, which is finished here."""
    section.choice("kind", ("labels",))
    section.text("source", required=True)
    zones: list[tuple[str, str]] = []
    items: list[tuple[str, str]] = []
    for each in section.sections("closed"):
        zone, item, why = each.text("zone"), each.text("item"), each.text("why", required=True)
        if bool(zone) == bool(item):
            each.wrong("zone", "or item: name exactly one of the two")
        (zones if zone else items).append((zone or item, why))
        each.finish()
    labels = Labels(
        words=section.texts("words", required=True),
        statement=section.text("statement", required=True),
        closed_zones=tuple(zones),
        closed_items=tuple(items),
    )
    section.finish()
    return labels


@cache
def shipped_labels() -> Labels:
    """Return the labels that come with the package.

    Raises:
        DefinitionError: The package's own file is wrong.
    """
    problems = Problems()
    text = (resources.files("gyrewright.data") / "labels.toml").read_text(encoding="utf-8")
    found = read_labels(section_of(text, file="labels.toml", problems=problems))
    problems.stop_if_any()
    return found


def places_for(labels: Labels, zones: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Return the zones, as id and name, in which labels may be hung."""
    closed = dict(labels.closed_zones)
    return tuple((id, name) for id, name in zones if id not in closed)
