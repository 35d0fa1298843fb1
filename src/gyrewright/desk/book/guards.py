"""Guards: triggers by which the database itself refuses to change or delete what was recorded.

SQLite drops a table's triggers when a migration remakes the table, so they are reinstalled after every migration and
looked for at every start.
"""

from __future__ import annotations

from typing import Any

_NO_UPDATE = "CREATE TRIGGER {name} BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{text}'); END"
_NO_DELETE = "CREATE TRIGGER {name} BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{text}'); END"
_ERASE_ONLY = (
    "CREATE TRIGGER {name} BEFORE DELETE ON {table} WHEN NOT EXISTS (SELECT 1 FROM book_record"
    " WHERE kind = 'personal-erased' AND instr(body, OLD.fingerprint) > 0)"
    " BEGIN SELECT RAISE(ABORT, '{text}'); END"
)

GUARDS = {
    name: body.format(name=name, table=table, text=text)
    for name, table, body, text in (
        ("book_record_no_update", "book_record", _NO_UPDATE, "records are never changed: correct by a new record"),
        ("book_record_no_delete", "book_record", _NO_DELETE, "records are never deleted: correct by a new record"),
        ("book_personal_no_update", "book_personal", _NO_UPDATE, "personal content is never changed, only erased"),
        ("book_personal_erase", "book_personal", _ERASE_ONLY, "record the erasure of personal content first"),
        ("book_photo_no_update", "book_photo", _NO_UPDATE, "photos are never changed, only erased"),
        ("book_photo_erase", "book_photo", _ERASE_ONLY, "record the erasure of a photo first"),
    )
}
"""Every guard by name, as the statement that makes it."""


def install(connection: Any) -> None:
    """Make every guard anew. Does nothing for a table that is not there yet (a migration half-way)."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        tables = {row[0] for row in cursor.fetchall()}
        if not {"book_record", "book_personal", "book_photo"} <= tables:
            return
        for name, statement in GUARDS.items():
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
            cursor.execute(statement)


def remove(connection: Any) -> None:
    """Take every guard off, for a migration alone."""
    with connection.cursor() as cursor:
        for name in GUARDS:
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}")


def missing_guards(execute: Any) -> tuple[str, ...]:
    """Return the names of guards that are not there or not as they should be; `execute` runs SQL and returns rows."""
    found = dict(execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
    return tuple(name for name, statement in GUARDS.items() if found.get(name) != statement)
