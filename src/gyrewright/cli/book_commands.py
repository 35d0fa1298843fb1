"""Commands that carry a book, or one aircraft's part of it, out of its data folder and in again."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import ParamSpec

from gyrewright.cli import FINE, complain
from gyrewright.errors import GyrewrightError

P = ParamSpec("P")


def _in_words(command: Callable[P, None]) -> Callable[P, int]:
    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> int:
        try:
            command(*args, **kwargs)
        except GyrewrightError as error:
            return complain([str(error)])
        return FINE

    return run


def _path(text: str) -> Path:
    return Path(text).expanduser().absolute()


def _ready(data: str) -> Path:
    """Open a data folder as what it holds, while a desk may be running on it."""
    from gyrewright.desk import start
    from gyrewright.desk.refusal import Refused

    folder = start.set_up_as_it_is(_path(data) if data else None)
    start.say(start.make_ready())
    from gyrewright.desk.services.records import book_opening

    if book_opening() is None:
        raise Refused(f"{folder} holds no book yet; name the folder of the records with --data")
    return folder


@_in_words
def export(*, to: str, data: str) -> None:
    """Write the whole book as plain documented files."""
    _ready(data)
    from gyrewright.desk.services.leaving import export_book

    folder = _path(to)
    head = export_book(folder=folder)
    print(f"{head.seq} records written to {folder}, head {head.code}; its README.md says what each file is")
    print("it holds names and masses: keep it where only you can read it")


@_in_words
def bring_in(*, source: str, data: str) -> None:
    """Take an export into an empty data folder."""
    from gyrewright.desk import start
    from gyrewright.desk.serve import sole_desk

    folder = start.set_up(data_dir=_path(data) if data else None)
    from gyrewright.desk.services.leaving import import_book

    with sole_desk(folder):
        start.bring_tables_up()
        head = import_book(folder=_path(source))
    print(f"{head.seq} records taken into {folder}, head {head.code}, as it was exported")
    print(f"passwords are in no export; let the manager in again with: gyrewright password ID --data {folder}")


@_in_words
def copy(*, to: str, data: str) -> None:
    """Copy the whole book, also while a desk is running on it."""
    folder = _ready(data)
    from gyrewright.desk.services.copies import make_copy
    from gyrewright.desk.services.records import LAPTOP, new_id

    target = _path(to) if to else None
    act = make_copy(id=new_id(), by=LAPTOP, folder=target).record.act
    print(f"{act.head_seq} records copied to {(target or folder / 'copies') / act.file}; walked afterwards: whole")
    print("it holds names, masses and password hashes: keep it where only you can read it")


@_in_words
def restore(*, source: str, data: str) -> None:
    """Put a copy into an empty data folder."""
    from gyrewright.desk import start
    from gyrewright.desk.serve import sole_desk

    folder = start.set_up(data_dir=_path(data) if data else None)
    from gyrewright.desk.services.copies import restore as put_back

    with sole_desk(folder):
        head = put_back(copy=_path(source), data_dir=folder)
    print(f"{head.seq} records restored into {folder}, head {head.code}; everybody logs in as before")


@_in_words
def pack(*, aircraft: str, to: str, data: str) -> None:
    """Write one aircraft's records with their proof into a file."""
    _ready(data)
    from gyrewright.desk.services.travel import pack_aircraft

    count = pack_aircraft(aircraft=aircraft, file=_path(to))
    print(f"{count} records of {aircraft} written to {_path(to)}, with what proves them and nobody else's data")


@_in_words
def take(*, source: str, data: str) -> None:
    """Take a bought aircraft's records in."""
    _ready(data)
    from gyrewright.desk.book.record import Outcome
    from gyrewright.desk.services.records import LAPTOP
    from gyrewright.desk.services.travel import take_aircraft

    kept = take_aircraft(file=_path(source), by=LAPTOP)
    new = sum(each.outcome is Outcome.NEW for each in kept)
    print(
        f"{new} records taken in; {len(kept) - new} were here already. The file is kept beside the book as their proof"
    )
