"""The phone's page as one piece: its style, its scripts and its data stand in it, each allowed by its hash.

One piece cannot be half there when the network goes. The sources are the files in `desk/phone`, put together in the
order below; comments and indents stay here.
"""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.safestring import SafeString, mark_safe

_FOLDER = Path(__file__).parents[1] / "phone"

SCRIPTS = ("kept", "handover", "walk", "photo", "sign", "screens", "items", "breaks", "main")
"""The scripts in the order in which they are put together; they share one scope."""


def _tight(text: str, comment: str) -> str:
    """Return a source without what only its reader needs: a comment stands on lines of its own."""
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith(comment))


@cache
def script() -> str:
    """Return the page's whole script."""
    parts = (_tight((_FOLDER / f"{name}.js").read_text(encoding="utf-8"), "//") for name in SCRIPTS)
    return '"use strict";\n(() => {\n' + "\n".join(parts) + "\n})();"


@cache
def style() -> str:
    """Return the page's whole style."""
    return _tight((_FOLDER / "walk.css").read_text(encoding="utf-8"), "/*")


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
            f"script-src {_hash(script())}",
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
