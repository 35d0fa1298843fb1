"""Templates in the reader's spelling: what stands in a page of our own is spelled once, when its template is read.

Only texts that a person reads are touched: those between tags, and the attributes that are read out. What comes in from
outside (`{{ ... }}`) stays as it is, so that nobody's name or words are spelled anew; labels of ours that come that way
go through the filter `spelled`.
"""

from __future__ import annotations

import re
from typing import Any

from django.template import Origin
from django.template.loaders.cached import Loader as CachedLoader
from django.template.loaders.filesystem import Loader as FilesystemLoader

from gyrewright.desk.reader import reader
from gyrewright.words.spelling import spelled

_PIECES = re.compile(r"(\{%.*?%\}|\{#.*?#\}|\{\{.*?\}\}|<(?:[^<>{]|\{\{.*?\}\}|\{%.*?%\})*>)", re.S)
_READ_OUT = re.compile(r'(\b(?:aria-label|placeholder|title|alt)=")([^"{]*)')
_DEFAULT = re.compile(r'(\|(?:default|default_if_none|yesno):")([^"]*)(")')


def spelled_template(source: str, language: str) -> str:
    """Return a template's source with every text of ours as a reader of a language spells it."""
    out = []
    for number, piece in enumerate(_PIECES.split(source)):
        if number % 2 == 0:
            out.append(spelled(piece, language))
        elif piece.startswith("{{"):
            out.append(_DEFAULT.sub(lambda found: found[1] + spelled(found[2], language) + found[3], piece))
        elif piece.startswith("<"):
            out.append(_READ_OUT.sub(lambda found: found[1] + spelled(found[2], language), piece))
        else:
            out.append(piece)
    return "".join(out)


class SpelledLoader(FilesystemLoader):
    """Reads templates from their folder, spelled for whoever reads."""

    def get_contents(self, origin: Origin) -> str:
        """Return a template's source."""
        return spelled_template(super().get_contents(origin), reader().language)


class Loader(CachedLoader):
    """Keeps every template compiled, once for each language."""

    def cache_key(self, template_name: str, skip: Any = None) -> str:
        """Return the key of a template for this reader."""
        return f"{reader().language}:{super().cache_key(template_name, skip)}"
