"""Small helpers by which acts become tables as a file would hold them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from typing import Any

Table = dict[str, Any]


def table(act: Any, *, without: Iterable[str] = ()) -> Table:
    """Return an act's fields as a file would have them: what was not said is absent, words end in no underscore."""
    left_out = {"photos", "from_paper", "device", "handed", *without}
    out: Table = {}
    for each in fields(act):
        value = getattr(act, each.name)
        if each.name in left_out or _unsaid(value):
            continue
        out[each.name.rstrip("_")] = _plain(value)
    return out


def _unsaid(value: Any) -> bool:
    # False and 0 were said; an empty tuple was said only where the field could also have been None.
    return value is None or value == "" or value == {}


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return table(value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    return value


def limit_tables(text: str) -> list[Table]:
    """Return the limit tables of a text; the text was read once before it was recorded."""
    found: list[Table] = tomllib.loads(text).get("limit", []) if text else []
    return found


def with_limits(found: Table) -> Table:
    """Return a table whose `limits` text has become the list of tables that a file has under `limit`."""
    text = found.pop("limits", "")
    if text:
        found["limit"] = limit_tables(text)
    return found
