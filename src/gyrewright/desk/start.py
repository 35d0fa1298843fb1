"""Opening a data folder: Django set up for it, tables made or brought up, guards and head looked at, clock set."""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from contextlib import closing
from datetime import datetime
from pathlib import Path

from gyrewright.desk import clock
from gyrewright.desk.book.chain import Break, walk
from gyrewright.desk.book.verify import DATABASE, open_read_only
from gyrewright.desk.environ import read_settings
from gyrewright.desk.refusal import BookBroken, Refused

_TAIL = 1000
"""How many records at the end are walked at every start; the whole chain takes `verify`."""


def set_up(
    *,
    data_dir: Path | None = None,
    is_demo: bool | None = None,
    port: int | None = None,
    has_phones: bool | None = None,
) -> Path:
    """Set Django up for a data folder and return it; what is not given comes from the environment.

    Raises:
        Refused: A setting is not accepted.
    """
    if data_dir is not None:
        os.environ["GYREWRIGHT_DATA"] = str(data_dir.expanduser().absolute())
    if is_demo is not None:
        os.environ["GYREWRIGHT_DEMO"] = "yes" if is_demo else "no"
    if port is not None:
        os.environ["GYREWRIGHT_PORT"] = str(port)
    if has_phones is not None:
        os.environ["GYREWRIGHT_PHONES"] = "yes" if has_phones else "no"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gyrewright.desk.settings")
    import django
    from django.conf import settings

    django.setup()
    folder: Path = settings.DATA_DIR
    return folder


def set_up_as_it_is(data_dir: Path | None = None) -> Path:
    """Set Django up for a data folder, as the demonstration or as own data: whichever its book says it is.

    Raises:
        Refused: A setting is not accepted, or the folder holds no book.
    """
    folder: Path = data_dir or read_settings()["DATA"]
    if not (folder / DATABASE).is_file():
        raise Refused(f"{folder} holds no book yet; name the folder of the records with --data")
    return set_up(data_dir=folder, is_demo=_holds_demo(folder))


def _holds_demo(folder: Path) -> bool:
    # Read before Django is set up: its settings already depend on the answer.
    try:
        with closing(open_read_only(folder / DATABASE)) as database:
            first = database.execute("SELECT body FROM book_record WHERE seq = 1").fetchone()
    except sqlite3.Error:
        return False
    return bool(first) and bool(json.loads(first[0]).get("is_demo"))


def make_ready() -> tuple[Break, ...]:
    """Bring the tables up, put missing guards back, set the clock; return what does not hold at the book's end.

    Raises:
        Refused: The folder holds a demonstration and an operation's own data were meant, or the other way round.
        DiskFull: The disk takes no more.
    """
    from django.conf import settings
    from django.db import connection

    breaks = [*bring_tables_up(), *_end_of_book(settings.DATA_DIR)]
    _right_folder(is_demo=settings.IS_DEMO)
    start_clock()
    connection.close()
    return tuple(breaks)


def bring_tables_up() -> list[Break]:
    """Bring the tables up and put missing guards back; return the guards that were gone, as breaks.

    Raises:
        DiskFull: The disk takes no more.
    """
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    from gyrewright.desk.book.guards import install, missing_guards
    from gyrewright.desk.book.writing import disk_in_words

    settings.DATA_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
    breaks: list[Break] = []
    with disk_in_words():
        executor = MigrationExecutor(connection)
        is_new = not executor.loader.applied_migrations
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            call_command("migrate", verbosity=0, interactive=False)
        lost = missing_guards(_rows)
        if lost:
            install(connection)
            if not is_new:
                breaks.append(Break(0, f"guards were gone and have been put back: {', '.join(lost)}"))
    return breaks


def _rows(sql: str) -> list[tuple[str, ...]]:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(sql)
        return list(cursor.fetchall())


def _end_of_book(data_dir: Path) -> list[Break]:
    from gyrewright.desk.book.chain import COLUMNS, EMPTY, Head
    from gyrewright.desk.book.head import keep_head, kept_head
    from gyrewright.desk.book.models import Record
    from gyrewright.desk.book.reading import head

    last = head()
    rows = list(Record.objects.order_by("-seq").values(*COLUMNS)[:_TAIL])[::-1]
    start = Head(rows[0]["seq"] - 1, rows[0]["prev"]) if rows else EMPTY
    walked = walk(rows, start=start)
    if walked.broken:
        return [walked.broken]
    try:
        outside = kept_head(data_dir)
    except BookBroken as error:
        return [Break(0, str(error))]
    if outside.seq > last.seq:
        return [Break(last.seq + 1, f"the head kept outside names record {outside.seq}: the last records are gone")]
    if outside.seq:
        there = Record.objects.filter(seq=outside.seq).values_list("hash", flat=True).first()
        if there != outside.hash:
            return [Break(outside.seq, "is not the one that the head kept outside names: the chain was rewritten")]
    if outside.seq < last.seq:
        keep_head(data_dir, last)
    return []


def _right_folder(*, is_demo: bool) -> None:
    from gyrewright.desk.services.records import book_opening

    opening = book_opening()
    if opening is None or opening.act.is_demo == is_demo:
        return
    holds, meant = ("the demonstration", "an operation's own data")[:: 1 if opening.act.is_demo else -1]
    raise Refused(f"this data folder holds {holds}, and {meant} were asked for; name another folder")


CLOCK = "DESK_CLOCK"
"""The variable under which the desk's processes share one clock."""


def start_clock() -> None:
    """Set this process's clock: the demonstration's resumes at its last record, the machine's is taken as it is.

    A process that another process of the desk has started goes on with that one's clock.
    """
    if CLOCK in os.environ:
        clock.go_on_with(os.environ[CLOCK])
        return
    from django.conf import settings

    from gyrewright.desk.book.models import Record
    from gyrewright.desk.moments import moment_of

    if not settings.IS_DEMO:
        clock.start()
        return
    last = Record.objects.order_by("-seq").values_list("entered_at", flat=True).first()
    at: datetime = max(clock.DEMO_START, moment_of(last)) if last else clock.DEMO_START
    clock.start(demo_at=at)


def say(breaks: tuple[Break, ...]) -> None:
    """Say on stderr what does not hold."""
    for each in breaks:
        sys.stderr.write(f"the book does not hold: {each}\n")
