"""Records in and out of JSON by their dataclass: strict, every problem at once, unknown keys refused.

A field that equals its default is left out of the JSON, so that a field added later changes no earlier record.
Accepted types: str, int, bool, date, datetime, tuples, nested dataclasses, dict[str, str], Literal words, and any of
them or None. `Annotated[str, Measured("mass")]` is a quantity kept as typed, checked to have a unit of its dimension.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, datetime
from difflib import get_close_matches
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from gyrewright.desk.letters import unseen
from gyrewright.desk.moments import moment_of, moment_text
from gyrewright.desk.refusal import Refused
from gyrewright.errors import UnitError
from gyrewright.reading import Problems
from gyrewright.units import parse_quantity


@dataclass(frozen=True, slots=True)
class Measured:
    """Marks a text that is a quantity with its unit; of one dimension, or of another where `or_else` names one.

    `least` is in the unit that the dimension has inside; None where less than nothing is a quantity too.
    """

    dimension: str
    or_else: str = ""
    least: float | None = 0.0


@dataclass(frozen=True, slots=True)
class Long:
    """Marks a text that may be long, such as a file; others end at 4,000 characters."""

    limit: int = 1_000_000


_SHORT = 4_000


@cache
def _shape(schema: type) -> dict[str, tuple[Any, Any]]:
    hints = get_type_hints(schema, include_extras=True)
    shape = {}
    for each in fields(schema):
        default = each.default if each.default_factory is MISSING else each.default_factory()
        shape[each.name] = (hints[each.name], default)
    return shape


def encode(act: Any) -> dict[str, Any]:
    """Return a frozen dataclass as what its JSON holds.

    Raises:
        DefinitionError: A value is not of its field's type; lists every such value.
    """
    body: dict[str, Any] = _encoded(act)
    _all_seen(body)
    # What could not be read back must not be written.
    decode(type(act), body, called=type(act).__name__)
    return body


def _all_seen(value: Any, key: str = "") -> None:
    """Refuse letters that nobody can see; what lies in the book already is read as it is."""
    if isinstance(value, str):
        if code := unseen(value):
            raise Refused(f"{key or 'it'} holds a letter that nobody can see ({code}); write it anew")
    elif isinstance(value, dict):
        for name, each in value.items():
            _all_seen(name, "a name")
            _all_seen(each, _key(key, name))
    elif isinstance(value, list):
        for each in value:
            _all_seen(each, key)


def _encoded(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        shape = _shape(type(value))
        return {
            name: _encoded(getattr(value, name))
            for name, (_, default) in shape.items()
            if default is MISSING or getattr(value, name) != default
        }
    if isinstance(value, datetime):
        return moment_text(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return [_encoded(each) for each in value]
    if isinstance(value, Mapping):
        return {key: _encoded(each) for key, each in value.items()}
    return value


def decode(schema: type, body: Any, *, called: str) -> Any:
    """Return the dataclass that a JSON body spells.

    Raises:
        DefinitionError: Something is missing, unknown or of the wrong type; lists everything that is.
    """
    try:
        return _quick(schema)(body)
    except (_Unusual, Refused, UnitError, TypeError, ValueError):
        # Something is not as it should be: read it again slowly, and say everything that is.
        problems = Problems()
        act = _table(schema, body, called, "", problems)
        problems.stop_if_any()
        return act


def _table(schema: type, body: Any, file: str, place: str, problems: Problems) -> Any:
    if not isinstance(body, dict):
        problems.note(file, place, f"{body!r} is not a table of keys")
        return None
    shape = _shape(schema)
    for name in body:
        if name not in shape:
            near = get_close_matches(name, shape, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"accepted here: {', '.join(shape) or 'nothing'}"
            problems.note(file, _key(place, name), f"is an unknown key; {hint}")
    given = {}
    for name, (kind, default) in shape.items():
        if name in body:
            given[name] = _value(kind, body[name], file, _key(place, name), problems)
        elif default is MISSING:
            problems.note(file, _key(place, name), "is missing")
    if problems.found:
        return None
    try:
        return schema(**given)
    except Refused as refused:
        problems.note(file, place, str(refused))
        return None


def _key(place: str, name: str) -> str:
    return f"{place}.{name}" if place else name


def _value(kind: Any, value: Any, file: str, key: str, problems: Problems) -> Any:
    origin = get_origin(kind)
    arguments = get_args(kind)
    if origin is Annotated:
        return _marked(arguments[0], arguments[1:], value, file, key, problems)
    if origin in (Union, types.UnionType):
        if value is None:
            return None
        kind = next(each for each in arguments if each is not type(None))
        return _value(kind, value, file, key, problems)
    if origin is Literal:
        if value not in arguments:
            problems.note(file, key, f"{value!r} is not one of: {', '.join(map(str, arguments))}")
        return value
    if origin is tuple:
        if not isinstance(value, list):
            problems.note(file, key, f"{value!r} is not a list")
            return ()
        return tuple(
            _value(arguments[0], each, file, f"{key}[{number}]", problems) for number, each in enumerate(value, start=1)
        )
    if origin is dict:
        if not isinstance(value, dict):
            problems.note(file, key, f"{value!r} is not a table of texts")
            return {}
        return {name: _value(arguments[1], each, file, f"{key}.{name}", problems) for name, each in value.items()}
    if isinstance(kind, type) and is_dataclass(kind):
        return _table(kind, value, file, key, problems)
    if kind is date or kind is datetime:
        return _time(kind, value, file, key, problems)
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        problems.note(file, key, f"{value!r} is not {_NAMES[kind]}")
    elif kind is str and len(value) > _SHORT:
        problems.note(file, key, f"has {len(value):,} characters; at most {_SHORT:,} are kept here")
    return value


_NAMES = {str: "a text", int: "a whole number", bool: "true or false"}


def _marked(kind: Any, marks: tuple[Any, ...], value: Any, file: str, key: str, problems: Problems) -> Any:
    for mark in marks:
        if isinstance(mark, Long):
            if not isinstance(value, str) or len(value) > mark.limit:
                problems.note(file, key, f"is not a text of at most {mark.limit:,} characters")
            return value
        if isinstance(mark, Measured) and isinstance(value, str) and value:
            error = _unit_error(mark, value)
            if error:
                problems.note(file, key, error)
                return value
    return _value(kind, value, file, key, problems)


def _unit_error(mark: Measured, text: str) -> str:
    first = ""
    for dimension in (mark.dimension, mark.or_else):
        if not dimension:
            continue
        try:
            value = parse_quantity(dimension, text).value
        except UnitError as error:
            first = first or str(error)
            continue
        is_less = mark.least is not None and value < mark.least
        return f"{text!r} is less than nothing; check number and sign" if is_less else ""
    return first


def _time(kind: Any, value: Any, file: str, key: str, problems: Problems) -> Any:
    try:
        if kind is datetime:
            return moment_of(value)
        day = date.fromisoformat(value)
        if day.isoformat() == value:
            return day
    except (TypeError, ValueError):
        pass
    problems.note(file, key, f"{value!r} is not {'a moment' if kind is datetime else 'a date such as 2027-06-12'}")
    return None


# --- the same without a word about what is wrong: a book holds hundreds of thousands of records ---


class _Unusual(Exception):
    """A value is not of its field's type."""


_Quick = Callable[[Any], Any]


@cache
def _quick(kind: Any) -> _Quick:
    """Return what reads a value of a type quickly; it accepts nothing that the slow reading does not."""
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _quick_marked(arguments[0], arguments[1:])
    if origin in (Union, types.UnionType):
        inner = _quick(next(each for each in arguments if each is not type(None)))
        return lambda value: None if value is None else inner(value)
    if origin is Literal:
        words = frozenset(arguments)
        return lambda value: value if type(value) is str and value in words else _unusual()
    if origin is tuple:
        each_one = _quick(arguments[0])
        return lambda value: tuple(map(each_one, value)) if type(value) is list else _unusual()
    if origin is dict:
        text = _quick(arguments[1])
        return lambda value: {name: text(each) for name, each in value.items()} if type(value) is dict else _unusual()
    if isinstance(kind, type) and is_dataclass(kind):
        return _quick_table(kind)
    if kind is datetime:
        return moment_of
    if kind is date:
        return _quick_day
    if kind is str:
        return lambda value: value if type(value) is str and len(value) <= _SHORT else _unusual()
    return lambda value: value if type(value) is kind else _unusual()


def _unusual() -> Any:
    raise _Unusual


def _quick_day(value: Any) -> date:
    day = date.fromisoformat(value)
    return day if day.isoformat() == value else _unusual()


def _quick_marked(kind: Any, marks: tuple[Any, ...]) -> _Quick:
    long = next((mark for mark in marks if isinstance(mark, Long)), None)
    if long is not None:
        return lambda value: value if type(value) is str and len(value) <= long.limit else _unusual()
    measured = [mark for mark in marks if isinstance(mark, Measured)]
    inner = _quick(kind)

    def read(value: Any) -> Any:
        if type(value) is str and value and any(_unit_error(mark, value) for mark in measured):
            raise _Unusual
        return inner(value)

    return read


def _quick_table(schema: Any) -> _Quick:
    shape = [(name, _quick(kind), default is MISSING) for name, (kind, default) in _shape(schema).items()]

    def read(body: Any) -> Any:
        if type(body) is not dict:
            raise _Unusual
        given = {}
        for name, value, is_needed in shape:
            if name in body:
                given[name] = value(body[name])
            elif is_needed:
                raise _Unusual
        if len(given) != len(body):
            raise _Unusual
        return schema(**given)

    return read
