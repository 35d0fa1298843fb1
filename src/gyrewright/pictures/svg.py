"""The ink, and a small writer of SVG: a picture is text, the same each time, and nothing in it needs a script.

Text stays text; every element says its own place and size, and nothing is shifted by a transform, so that what a
picture shows can be measured. A title and a description speak for it where it cannot be seen.
"""

from __future__ import annotations

import re
import unicodedata
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

PAPER = "#fffdf7"
INK = "#141414"
SOFT = "#4a4a46"
HAIRLINE = "#b9b5a8"
WASH = "#f1eee3"
BLUE = "#0a4a8f"
"""What can be touched, and what was asked for."""
RED = "#8f1616"
"""What lies beyond a limit, and nothing else."""

FONT = "system-ui, 'Segoe UI', Roboto, 'Noto Sans', 'Liberation Sans', 'DejaVu Sans', Arial, sans-serif"

DESK = 760.0
"""Width of a picture at the desk and on paper. [px]"""
PHONE = 358.0
"""Width of a picture on a phone of 390 px, with a margin. [px]"""

# Letters that turn the direction of reading could exchange two numbers before the reader's eyes.
_TURNING = {chr(code) for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C)}
_ESCAPES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"}
_SPECIAL = re.compile("[&<>\"']")


@dataclass(frozen=True, slots=True)
class Element:
    """One element: its name, its attributes as written, and its children or its text."""

    name: str
    attributes: tuple[tuple[str, str], ...] = ()
    children: tuple[Element, ...] = ()
    text: str = ""


Elements = list[Element]


def clean(text: str) -> str:
    """Return a text on one line, without letters that XML forbids or that change the order of reading."""
    out = []
    for letter in text:
        if letter in "\t\n\r":
            out.append(" ")
        elif letter in _TURNING or unicodedata.category(letter) in ("Cc", "Cs", "Cn", "Co"):
            out.append("\ufffd")
        else:
            out.append(letter)
    return "".join(out)


def escaped(text: str) -> str:
    """Return a text as it may stand in an element or in an attribute."""
    return _SPECIAL.sub(lambda found: _ESCAPES[found.group()], clean(text))


def number(value: float) -> str:
    """Return a coordinate to a hundredth of a pixel."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, *children: Element, text: str = "", **attributes: float | str | None) -> Element:
    """Return an element; `_` in an attribute's name is a hyphen, a trailing one is dropped, None is left out."""
    written = tuple(
        (key.rstrip("_").replace("_", "-"), value if isinstance(value, str) else number(value))
        for key, value in attributes.items()
        if value is not None and value != ""
    )
    return Element(name, written, tuple(children), text)


def text(
    x: float,
    y: float,
    content: str,
    *,
    size: float,
    bold: bool = False,
    anchor: str = "start",
    fill: str = INK,
    class_: str = "",
) -> Element:
    """Return a line of text with its baseline at y."""
    return element(
        "text",
        text=content,
        x=x,
        y=y,
        font_size=size,
        font_weight="700" if bold else None,
        text_anchor=anchor if anchor != "start" else None,
        fill=fill,
        class_=class_,
    )


def line(
    x1: float, y1: float, x2: float, y2: float, *, width: float = 1.0, ink: str = INK, dash: str = "", class_: str = ""
) -> Element:
    """Return a straight line."""
    return element(
        "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=ink, stroke_width=width, stroke_dasharray=dash, class_=class_
    )


def rect(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: str = "none",
    ink: str = "",
    line_width: float = 0.0,
    dash: str = "",
    class_: str = "",
) -> Element:
    """Return a rectangle."""
    return element(
        "rect",
        x=x,
        y=y,
        width=width,
        height=height,
        fill=fill,
        stroke=ink,
        stroke_width=line_width or None,
        stroke_dasharray=dash,
        class_=class_,
    )


def circle(
    x: float, y: float, radius: float, *, fill: str = "none", ink: str = INK, line_width: float = 2.0, class_: str = ""
) -> Element:
    """Return a circle."""
    return element("circle", cx=x, cy=y, r=radius, fill=fill, stroke=ink, stroke_width=line_width, class_=class_)


def polyline(
    points: Iterable[tuple[float, float]], *, width: float, ink: str = INK, dash: str = "", class_: str = ""
) -> Element:
    """Return a broken line through points."""
    return element(
        "polyline",
        points=_points(points),
        fill="none",
        stroke=ink,
        stroke_width=width,
        stroke_dasharray=dash,
        stroke_linejoin="round",
        class_=class_,
    )


def polygon(
    points: Iterable[tuple[float, float]],
    *,
    fill: str = "none",
    ink: str = "",
    line_width: float = 0.0,
    class_: str = "",
) -> Element:
    """Return a closed shape."""
    return element(
        "polygon",
        points=_points(points),
        fill=fill,
        stroke=ink,
        stroke_width=line_width or None,
        stroke_linejoin="miter",
        class_=class_,
    )


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def group(class_: str, children: Iterable[Element]) -> Element:
    """Return elements that belong together."""
    return element("g", *children, class_=class_)


def document(children: Sequence[Element], *, width: float, height: float, title: str, desc: str) -> str:
    """Return a whole picture.

    Args:
        children: What is drawn, in order.
        width: [px]
        height: [px]
        title: What it is, in a few words.
        desc: What it shows, for somebody who does not see it.
    """
    # The same page may hold several pictures: what they say of themselves must not be mixed up.
    mark = f"{zlib.crc32(f'{title}|{desc}|{number(width)}'.encode(errors='replace')):08x}"
    root = element(
        "svg",
        element("title", text=title, id=f"t{mark}"),
        element("desc", text=desc, id=f"d{mark}"),
        rect(0.0, 0.0, width, height, fill=PAPER, class_="paper"),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        width=width,
        height=height,
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        aria_labelledby=f"t{mark} d{mark}",
        font_family=FONT,
        font_variant_numeric="tabular-nums",
    )
    return "\n".join(_written(root, 0)) + "\n"


def _written(each: Element, depth: int) -> Iterable[str]:
    indent = "  " * depth
    opening = "".join(f' {key}="{escaped(value)}"' for key, value in each.attributes)
    if each.children:
        yield f"{indent}<{each.name}{opening}>"
        for child in each.children:
            yield from _written(child, depth + 1)
        yield f"{indent}</{each.name}>"
    elif each.text:
        yield f"{indent}<{each.name}{opening}>{escaped(each.text)}</{each.name}>"
    else:
        yield f"{indent}<{each.name}{opening}/>"
