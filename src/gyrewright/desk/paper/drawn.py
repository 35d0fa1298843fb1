"""Drawings for paper: the shared pictures in the sheet's own typeface on white, and the code that leads to a page."""

from __future__ import annotations

import segno

from gyrewright.pictures.svg import FONT, PAPER, escaped

TYPEFACE = "Source Sans Pro"
WHITE = "#ffffff"

_QUIET = 4
"""Modules of white that the code needs around it."""


def for_paper(svg: str) -> str:
    """Return a drawing as it is printed."""
    return svg.replace(escaped(FONT), TYPEFACE).replace(PAPER, WHITE)


def code_drawn(address: str) -> str:
    """Return the address of a page as a code at the level that bears most damage, as a drawing.

    Capital letters and digits alone take the fewest modules, so the address is printed in capitals.
    """
    code = segno.make_qr(address.upper(), error="h", boost_error=False)
    rows = [bytes(row) for row in code.matrix]
    side = len(rows) + 2 * _QUIET
    runs = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            end = x
            while end < len(row) and row[end]:
                end += 1
            if end > x:
                runs.append(f"M{x + _QUIET} {y + _QUIET}h{end - x}v1h-{end - x}z")
            x = max(end, x + 1)
    path = "".join(runs)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" width="{side}" height="{side}">'
        f'<rect width="{side}" height="{side}" fill="{WHITE}"/><path d="{path}" fill="#000000"/></svg>'
    )
