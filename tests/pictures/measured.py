"""A drawn picture as something that can be measured: its texts as boxes, its marks as places, its colors as sets."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import combinations

from gyrewright.pictures.lettering import FALL, RISE, width_of
from gyrewright.pictures.svg import RED, Elements, document
from gyrewright.release.answer import Answer
from kit.files import demo

NAMESPACE = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Box:
    """The room that something takes, and what it is."""

    left: float
    top: float
    right: float
    bottom: float
    what: str

    def meets(self, other: Box) -> bool:
        return (
            self.left < other.right - 0.5
            and other.left < self.right - 0.5
            and self.top < other.bottom - 0.5
            and other.top < self.bottom - 0.5
        )


def parsed(picture: str) -> ElementTree.Element:
    """Return the picture as a tree; it is well formed, or this raises."""
    root = ElementTree.fromstring(picture)
    assert root.tag == f"{NAMESPACE}svg"
    return root


def named(root: ElementTree.Element, name: str, class_: str = "") -> list[ElementTree.Element]:
    """Return every element of a name, and of a class where one is given."""
    return [each for each in root.iter(f"{NAMESPACE}{name}") if not class_ or each.get("class") == class_]


def at(element: ElementTree.Element, key: str) -> float:
    """Return a number of an element."""
    return float(element.get(key, "0"))


def points(element: ElementTree.Element) -> list[tuple[float, float]]:
    """Return the points of a broken line or a shape."""
    pairs = (pair.split(",") for pair in element.get("points", "").split())
    return [(float(x), float(y)) for x, y in pairs]


def words(root: ElementTree.Element, class_: str = "") -> list[str]:
    """Return the texts of a picture, blanks that hold together as plain ones."""
    return [(each.text or "").replace("\u00a0", " ") for each in named(root, "text", class_)]


def told(root: ElementTree.Element) -> str:
    """Return all texts as one."""
    return " ".join(words(root))


def text_boxes(root: ElementTree.Element) -> list[Box]:
    """Return the room that each text takes, by widths of letters that no usual font exceeds."""
    out = []
    for each in named(root, "text"):
        size, said = at(each, "font-size"), each.text or ""
        width = width_of(said, size, bold=each.get("font-weight") == "700")
        left = at(each, "x") - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[each.get("text-anchor", "start")]
        out.append(Box(left, at(each, "y") - RISE * size, left + width, at(each, "y") + FALL * size, said))
    return out


def overlaps(root: ElementTree.Element) -> list[tuple[str, str]]:
    """Return every pair of texts that lie on each other."""
    return [(one.what, other.what) for one, other in combinations(text_boxes(root), 2) if one.meets(other)]


def boxes(root: ElementTree.Element) -> Iterator[Box]:
    """Yield the room of everything that is drawn, lines without their thickness."""
    yield from text_boxes(root)
    for each in root.iter():
        kind = each.tag.removeprefix(NAMESPACE)
        what = f"{kind} {each.get('class', '')}"
        if kind == "line":
            xs, ys = (at(each, "x1"), at(each, "x2")), (at(each, "y1"), at(each, "y2"))
        elif kind == "rect":
            xs = at(each, "x"), at(each, "x") + at(each, "width")
            ys = at(each, "y"), at(each, "y") + at(each, "height")
        elif kind == "circle":
            xs = at(each, "cx") - at(each, "r"), at(each, "cx") + at(each, "r")
            ys = at(each, "cy") - at(each, "r"), at(each, "cy") + at(each, "r")
        elif kind in ("polyline", "polygon"):
            xs, ys = tuple(zip(*points(each), strict=True))
        else:
            continue
        yield Box(min(xs), min(ys), max(xs), max(ys), what)


def outside(root: ElementTree.Element) -> list[str]:
    """Return what is drawn beyond the edge of the picture."""
    width, height = at(root, "width"), at(root, "height")
    assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}"
    return [
        each.what
        for each in boxes(root)
        if each.left < -0.01 or each.top < -0.01 or each.right > width + 0.01 or each.bottom > height + 0.01
    ]


def red(root: ElementTree.Element) -> list[str]:
    """Return what is red: the words of a text, the class of anything else."""
    return [
        each.text or each.get("class", each.tag)
        for each in root.iter()
        if RED in (each.get("fill"), each.get("stroke"))
    ]


def sound(picture: str) -> ElementTree.Element:
    """Return the tree of a picture that keeps every promise that all pictures make."""
    root = parsed(picture)
    assert overlaps(root) == []
    assert outside(root) == []
    children = [each.tag.removeprefix(NAMESPACE) for each in root]
    assert children[:2] == ["title", "desc"]
    assert root.get("aria-labelledby") == " ".join(each.get("id", "") for each in root[:2])
    assert all(each.text for each in root[:2])
    assert not {"script", "style", "image", "foreignObject", "a", "use"} & {
        each.tag.removeprefix(NAMESPACE) for each in root.iter()
    }
    assert not {key for each in root.iter() for key in each.attrib} & {"transform", "href", "onclick", "style"}
    return root


@cache
def answered(flight: str) -> Answer:
    """Return what is decided about a flight of the demonstration."""
    return demo(flight).answer()


def document_of(parts: Elements, width: float, height: float) -> ElementTree.Element:
    """Return the tree of a picture made of some parts alone."""
    return parsed(document(parts, width=width, height=height, title="t", desc="d"))


def moment(text: str) -> datetime:
    """Return an aware moment of the demonstration's day: "06:30"."""
    return datetime.fromisoformat(f"2027-06-12T{text}:00-07:00")
