"""Questions as files held in memory, so that a test can change one key and ask again."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import gyrewright
from gyrewright.errors import DefinitionError
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.files import read_question
from gyrewright.release.question import Question

DEMO = Path(gyrewright.__file__).parent / "data" / "demo"

Data = dict[str, Any]
Place = tuple[str | int, ...]


def written(data: Mapping[str, Any]) -> str:
    """Return TOML that reads as the data: one line for each top key, everything below it inline."""
    return "".join(f"{_key(key)} = {_value(value)}\n" for key, value in data.items())


def _key(key: str) -> str:
    return _text(key)


def _text(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(each if each >= " " and each != "\x7f" else f"\\u{ord(each):04x}" for each in escaped) + '"'


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(key)} = {_value(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_value(each) for each in value) + "]"
    return repr(value)


@dataclass(frozen=True)
class Files:
    """A flight's files: their data by path, and the text of each; what is not among them is fetched from `behind`."""

    flight: str
    data: Mapping[str, Data]
    texts: Mapping[str, str]
    behind: Callable[[str], str]

    def fetch(self, path: str) -> str:
        return self.texts[path] if path in self.texts else self.behind(path)

    def with_text(self, path: str, text: str) -> Files:
        """Return the files with the text of one replaced."""
        return replace(self, texts={**self.texts, path: text})

    def with_data(self, path: str, data: Data) -> Files:
        """Return the files with the data of one replaced."""
        return replace(self, data={**self.data, path: data}, texts={**self.texts, path: written(data)})

    def changed(self, path: str, change: Callable[[Data], object]) -> Files:
        """Return the files with one changed by a function that works on a copy of its data."""
        data = deepcopy(self.data[path])
        change(data)
        return self.with_data(path, data)

    def question(self, **how: Any) -> Question:
        """Return the question that the files ask."""
        return read_question(self.flight, self.fetch, **how)

    def answer(self, **how: Any) -> Answer:
        """Return what is decided about it."""
        return decide(self.question(**how))

    def problems(self, **how: Any) -> list[str]:
        """Return the lines with which the files are refused; none where they are not."""
        try:
            self.question(**how)
        except DefinitionError as error:
            return [str(problem) for problem in error.problems]
        return []


def files_of(flight: str, fetch: Callable[[str], str], paths: tuple[str, ...]) -> Files:
    """Return the files at some paths, read."""
    data = {path: tomllib.loads(fetch(path)) for path in (flight, *paths)}
    return Files(flight, data, {path: written(each) for path, each in data.items()}, fetch)


@cache
def demo(flight: str = "0630-sunde-halloran", *aircraft: str) -> Files:
    """Return a flight of the demonstration with its operation, field, people and, alone, the aircraft named."""
    paths = ("operation.toml", "field.toml", "people.toml", *(f"aircraft/{each}.toml" for each in aircraft))
    found = files_of(f"flights/{flight}.toml", lambda path: (DEMO / path).read_text(), paths)
    if not aircraft:
        return found

    def only(operation: Data) -> None:
        operation["aircraft"] = [f"aircraft/{each}.toml" for each in aircraft]

    return found.changed("operation.toml", only)


@cache
def good_day() -> Files:
    """Return the ordinary good day of the scenarios' fixture, in its tandem aircraft alone."""
    from scenarios.fixture import HERE, Flight, filled

    flight = Flight()
    asked_at = datetime.fromisoformat(flight.asked_at)

    def fetch(path: str) -> str:
        return flight.text() if path == "flight.toml" else filled((HERE / path).read_text(), asked_at)

    found = files_of("flight.toml", fetch, ("operation.toml", "field.toml", "people.toml", "g1.toml"))
    return found.changed("operation.toml", lambda operation: operation.update(aircraft=["g1.toml"]))


def places(data: Any, place: Place = ()) -> Iterator[Place]:
    """Yield the place of every key and of every entry of a list, outermost first."""
    entries = data.items() if isinstance(data, Mapping) else enumerate(data) if isinstance(data, list) else ()
    for key, value in entries:
        yield (*place, key)
        yield from places(value, (*place, key))


def at_place(data: Any, place: Place) -> Any:
    """Return what stands at a place."""
    for key in place:
        data = data[key]
    return data


def without(data: Data, place: Place) -> Data:
    """Return the data without what stands at a place."""
    copied = deepcopy(data)
    del at_place(copied, place[:-1])[place[-1]]
    return copied


def with_value(data: Data, place: Place, value: Any) -> Data:
    """Return the data with something else at a place."""
    copied = deepcopy(data)
    at_place(copied, place[:-1])[place[-1]] = value
    return copied
