"""The phone's page as one piece: its style, its scripts and its data stand in it, each allowed by its hash.

One piece cannot be half there when the network goes. The sources are the files in `desk/phone`, put together in the
order below; comments and indents stay here.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.safestring import SafeString, mark_safe

_FOLDER = Path(__file__).parents[1] / "phone"

FIRST = ("kept", "desk", "walk", "screens", "items", "main")
"""The scripts in the page itself, in the order in which they are put together: enough to begin and to answer."""

LATER = ("handover", "breaks", "detail", "report", "overview", "photo", "sign", "ends", "opened")
"""The scripts that come after it; all of them share one scope."""


def _tight(text: str, comment: str) -> str:
    """Return a source without what only its reader needs: a comment stands on lines of its own."""
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith(comment))


@cache
def script() -> str:
    """Return the script in the page."""
    return _together("first", FIRST)


@cache
def later_script() -> str:
    """Return the scripts that come after the page."""
    return _together("later", LATER)


def _together(folder: str, names: tuple[str, ...]) -> str:
    parts = (_tight((_FOLDER / folder / f"{name}.js").read_text(encoding="utf-8"), "//") for name in names)
    return '"use strict";\n' + "\n".join(parts)


@cache
def later_version() -> str:
    """Return what tells one version of the later scripts from another."""
    return hashlib.sha256(later_script().encode()).hexdigest()[:12]


@cache
def style() -> str:
    """Return the page's whole style."""
    text = _tight((_FOLDER / "walk.css").read_text(encoding="utf-8"), "/*")
    return re.sub(r"\s*([{};,]|: )\s*", lambda found: found[1].strip(), text)


@cache
def worker() -> str:
    """Return the service worker."""
    return (_FOLDER / "worker.js").read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"


@cache
def policy() -> str:
    """Return the content policy of the page: the two parts in it, and nothing else that is not this desk's."""
    return "; ".join(
        (
            "default-src 'none'",
            f"style-src {_hash(style())}",
            f"script-src 'self' {_hash(script())}",
            "worker-src 'self'",
            "manifest-src 'self'",
            "img-src 'self' blob:",
            "connect-src 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        )
    )


def style_element() -> SafeString:
    """Return the style, for the template; it is this package's own text."""
    return mark_safe(f"<style>{style()}</style>")


def script_element() -> SafeString:
    """Return the script, for the template; it is this package's own text."""
    return mark_safe(f"<script>{script()}</script>")


def data_element(data: dict[str, Any]) -> SafeString:
    """Return data as a block that no browser runs; no text in it can end the block."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), default=str)
    for letter, escape in (("<", "\\u003c"), (">", "\\u003e"), ("&", "\\u0026")):
        text = text.replace(letter, escape)
    return mark_safe(f'<script type="application/json" id="data">{text}</script>')
