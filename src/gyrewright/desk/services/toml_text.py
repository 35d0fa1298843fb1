"""Tables as the text of a file: for limits, typed weather and insurers, which are recorded as text."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any


def toml_text(table: Mapping[str, Any]) -> str:
    """Return the TOML text of a table of texts, numbers, times, lists and tables, laid out as a person would."""
    return "\n".join(_lines(table, ""))


def _lines(table: Mapping[str, Any], place: str) -> list[str]:
    out = [f"{_key(key)} = {_value(value)}" for key, value in table.items() if not _has_a_head(value, place)]
    for key, value in table.items():
        inner = f"{place}.{_key(key)}" if place else _key(key)
        if _is_tables(value):
            for each in value:
                out += ["", f"[[{inner}]]", *_lines(each, inner)]
        elif _has_a_head(value, place):
            out += ["", f"[{inner}]", *_lines(value, inner)]
    return out if place or not out or out[0] else out[1:]


def _is_tables(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and all(isinstance(each, Mapping) for each in value)


def _has_a_head(value: Any, place: str) -> bool:
    """Return whether a value stands under a head of its own; a small table inside another stands on one line."""
    if _is_tables(value):
        return True
    if not isinstance(value, Mapping):
        return False
    return not place or any(isinstance(each, Mapping | list | tuple) for each in value.values())


def _key(key: str) -> str:
    return key if key.replace("_", "").replace("-", "").isalnum() and key.isascii() else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {_value(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(each) for each in value) + "]"
    return '"' + "".join(_ESCAPED.get(letter, letter) for letter in str(value)) + '"'


_ESCAPED = {
    **{chr(code): f"\\u{code:04X}" for code in (*range(0x20), 0x7F)},
    "\\": "\\\\",
    '"': '\\"',
    "\n": "\\n",
}
