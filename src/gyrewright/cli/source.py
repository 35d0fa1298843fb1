"""Where the command line reads and writes files: the only place that touches the disk."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

Fetch = Callable[[str], str]

SUFFIX = ".toml"


def fetch_file(path: str) -> str:
    """Return the text of a file on disk."""
    return Path(path).read_text(encoding="utf-8")


def packaged_demo() -> Traversable:
    """Return the folder of the demonstration that ships with the package."""
    return files("gyrewright.data").joinpath("demo")


def fetch_packaged(path: str) -> str:
    """Return the text of a file of the packaged demonstration."""
    return packaged_demo().joinpath(*path.split("/")).read_text(encoding="utf-8")


def packaged_files() -> Iterator[tuple[str, str]]:
    """Yield path and text of every file of the packaged demonstration."""
    yield from _walk(packaged_demo(), "")


def _walk(folder: Traversable, above: str) -> Iterator[tuple[str, str]]:
    for each in sorted(folder.iterdir(), key=lambda entry: entry.name):
        path = posixpath.join(above, each.name)
        if each.is_dir():
            yield from _walk(each, path)
        elif each.name.endswith(SUFFIX):
            yield path, each.read_text(encoding="utf-8")


def flights_in(folder: str) -> list[str]:
    """Return the flight files of a folder, or of its `flights` folder where it has one, in the order of their names."""
    root = Path(folder)
    inner = root / "flights"
    chosen = inner if inner.is_dir() else root
    return sorted(each.as_posix() for each in chosen.glob(f"*{SUFFIX}"))


def expanded(paths: list[str]) -> list[str]:
    """Return files as they are, and for a folder every TOML file below it."""
    out: list[str] = []
    for path in paths:
        root = Path(path)
        out += sorted(each.as_posix() for each in root.rglob(f"*{SUFFIX}")) if root.is_dir() else [root.as_posix()]
    return out
