"""Commands that need the desk: running it, and walking its book."""

from __future__ import annotations

import sys
from pathlib import Path

from gyrewright.cli import AGAINST, FINE, complain
from gyrewright.errors import GyrewrightError


def run(*, data: str, port: int | None, is_demo: bool, has_phones: bool = False) -> int:
    """Answer until a signal ends it, on localhost and, if asked, for phones of the local network.

    The demonstration is set up where its folder is empty.
    """
    from gyrewright.desk import start
    from gyrewright.desk.environ import read_settings
    from gyrewright.desk.serve import serve

    try:
        folder = Path(data).expanduser().absolute() if data else None
        if is_demo and folder is None:
            # The demonstration lies beside an operation's own data, never in it.
            own: Path = read_settings()["DATA"]
            folder = own.with_name(f"{own.name}-demo")
        folder = start.set_up(data_dir=folder, is_demo=is_demo or None, port=port, has_phones=has_phones or None)
        if is_demo:
            _ready_demo(folder)
        else:
            _is_open(folder)
        serve(data_dir=folder, port=port, is_demo=is_demo or None, has_phones=has_phones or None)
    except GyrewrightError as error:
        return complain([str(error)])
    return FINE


def _is_open(folder: Path) -> None:
    from django.db import connection

    from gyrewright.desk import start
    from gyrewright.desk.refusal import Refused
    from gyrewright.desk.serve import sole_desk
    from gyrewright.desk.services.records import book_opening

    with sole_desk(folder):
        start.make_ready()
        opening = book_opening()
        connection.close()
    if opening is None:
        raise Refused(f"{folder} holds no book yet; open one with: gyrewright open --data {folder} OPERATION ID NAME")


def open_own(*, data: str, operation: str, person: str, name: str) -> int:
    """Open an operation's own book with its accountable manager, and print a password for one log-in."""
    from gyrewright.desk import start
    from gyrewright.desk.serve import sole_desk

    try:
        folder = start.set_up(data_dir=Path(data).expanduser().absolute() if data else None, is_demo=False)
        # What rests on the tables can be named only once the folder is known.
        from gyrewright.desk.services.accounts import open_account, passing_word
        from gyrewright.desk.services.records import LAPTOP, open_book

        with sole_desk(folder):
            start.make_ready()
            open_book(operation=operation, manager=person, manager_name=name, is_demo=False)
            password = passing_word()
            open_account(name=person, person=person, password=password, by=LAPTOP, must_change=True)
    except GyrewrightError as error:
        return complain([str(error)])
    print(f"the book of {operation} is open in {folder}")
    at = f" --data {data}" if data else ""
    print(f"start the desk with: {_called()} desk{at}")
    print(f"{name} logs in once as {person} with: {password}")
    return FINE


def _called() -> str:
    """Return how this command was called, so that the next one can be typed the same way."""
    return sys.argv[0] if Path(sys.argv[0]).name == "gyrewright" else "gyrewright"


def password(*, data: str, name: str) -> int:
    """Print a password for one log-in: the way back in for whoever is locked out and has this laptop."""
    from gyrewright.desk import start

    try:
        start.set_up_as_it_is(Path(data).expanduser().absolute() if data else None)
        from gyrewright.desk.services.accounts import let_in
        from gyrewright.desk.services.records import LAPTOP

        start.say(start.make_ready())
        given = let_in(name=name, by=LAPTOP)
    except GyrewrightError as error:
        return complain([str(error)])
    print(f"{name} logs in once with: {given}")
    return FINE


def _ready_demo(folder: Path) -> None:
    from django.db import connection

    from gyrewright.desk import start
    from gyrewright.desk.serve import sole_desk
    from gyrewright.desk.services.demo import set_up_demo
    from gyrewright.desk.services.records import book_opening

    with sole_desk(folder):
        start.make_ready()
        if book_opening() is None:
            sys.stdout.write("setting up the demonstration: some weeks of its records\n")
            sys.stdout.flush()
            set_up_demo()
        connection.close()


def verify(*, data: str) -> int:
    """Walk the chain of a data folder's book and say whether it holds, and where it does not."""
    from gyrewright.desk import start
    from gyrewright.desk.book.verify import verify as walk

    try:
        folder = start.set_up(data_dir=Path(data).expanduser().absolute() if data else None)
        found = walk(folder)
    except GyrewrightError as error:
        return complain([str(error)])
    for each in found.breaks:
        print(f"the book does not hold: {each}", file=sys.stderr)
    if not found.is_whole:
        return AGAINST
    print(f"{found.records} records walked, head {found.head.code}: whole")
    if found.caught_up_from is not None:
        print(f"the head kept outside was at record {found.caught_up_from} and has been caught up")
    return FINE
