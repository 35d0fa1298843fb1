"""Somebody with the file and SQL, and no scruple. Every change is found and named."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime

import pytest
from django.apps import apps
from django.db import IntegrityError, OperationalError, connection, models
from django.db.migrations.state import ModelState, ProjectState
from django.db.models.signals import post_migrate, pre_migrate

from gyrewright.desk import start
from gyrewright.desk.book import chain
from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.guards import GUARDS, missing_guards
from gyrewright.desk.book.head import head_file, keep_head, kept_head
from gyrewright.desk.book.kinds.upkeep import MeterRead
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import head
from gyrewright.desk.book.verify import verify
from gyrewright.desk.refusal import BookBroken
from gyrewright.desk.services.records import record_act
from gyrewright.errors import UnknownName

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)


@pytest.fixture
def readings(book):
    for tenth in range(5):
        record_act(act=MeterRead(meter="airframe", shows=f"487.{tenth} h"), by="ivo", about="N0-101D")
    return book


def force(folder, *statements):
    """Run SQL past the guards, as somebody who drops them first would, and put them back."""
    connection.close()
    with closing(sqlite3.connect(folder / "book.sqlite3")) as database:
        for name in GUARDS:
            database.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            database.execute(statement)
        for statement in GUARDS.values():
            database.execute(statement)
        database.commit()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE book_record SET body = '{}' WHERE seq = 1",
        "DELETE FROM book_record WHERE seq = 1",
        "INSERT OR REPLACE INTO book_record SELECT * FROM book_record WHERE seq = 1",
        "REPLACE INTO book_record SELECT * FROM book_record WHERE seq = 1",
        "UPDATE book_personal SET content = '{}'",
        "DELETE FROM book_personal",
    ],
)
def test_the_database_refuses_to_change_what_was_recorded(readings, statement):
    said = "never changed|never deleted|record the erasure"
    with connection.cursor() as cursor, pytest.raises((IntegrityError, OperationalError), match=said):
        cursor.execute(statement)
    assert verify(readings).is_whole


def test_a_changed_record_is_found(readings):
    last = head().seq
    force(readings, f"UPDATE book_record SET body = replace(body, '487.3', '387.3') WHERE seq = {last - 1}")
    found = verify(readings)
    assert [str(each) for each in found.breaks] == [
        f"record {last - 1}: was changed: its content no longer has the fingerprint it was given"
    ]


@pytest.mark.parametrize("column", [*chain.CONTENT, "id", "prev", "hash"])
def test_a_change_of_any_column_is_found(readings, column):
    force(readings, f'UPDATE book_record SET "{column}" = "{column}" || \'x\' WHERE seq = 3')
    found = verify(readings)
    assert not found.is_whole
    assert found.breaks[0].seq in (3, 4)


def test_a_missing_record_is_found(readings):
    force(readings, "DELETE FROM book_record WHERE seq = 4")
    assert verify(readings).breaks[0] == chain.Break(4, "record 4 is missing")


def test_a_missing_record_with_the_rest_moved_up_is_found(readings):
    force(
        readings,
        "DELETE FROM book_record WHERE seq = 4",
        "UPDATE book_record SET seq = seq - 1 WHERE seq > 4",
    )
    assert verify(readings).breaks[0].seq == 4


def test_an_inserted_record_is_found(readings):
    columns = '"' + '", "'.join(chain.COLUMNS[1:]) + '"'
    force(
        readings,
        "UPDATE book_record SET seq = seq + 1000 WHERE seq > 3",
        "UPDATE book_record SET seq = seq - 999 WHERE seq > 1000",
        f"INSERT INTO book_record (seq, {columns}) SELECT 4, 'x' || id, kind, done_at, entered_at, \"by\", about,"
        " corrects, body, personal_fingerprint, salt, 'x', 'x' FROM book_record WHERE seq = 3",
    )
    assert verify(readings).breaks[0].seq == 4


def test_reordered_records_are_found(readings):
    force(
        readings,
        "UPDATE book_record SET seq = 1000 WHERE seq = 5",
        "UPDATE book_record SET seq = 5 WHERE seq = 6",
        "UPDATE book_record SET seq = 6 WHERE seq = 1000",
    )
    assert verify(readings).breaks[0].seq == 5


def test_the_last_records_removed_are_found_by_the_head_outside(readings):
    last = head().seq
    force(readings, f"DELETE FROM book_record WHERE seq > {last - 2}")
    assert [str(each) for each in verify(readings).breaks] == [
        f"record {last - 1}: the head kept outside names record {last}: the last 2 records are gone"
    ]
    assert start._end_of_book(readings)[0].seq == last - 1


def test_a_chain_written_anew_is_found_by_the_head_outside(readings):
    rows = list(Record.objects.order_by("seq").values(*chain.COLUMNS))
    prev, statements = chain.FIRST_PREV, []
    for row in rows:
        row["body"] = row["body"].replace("487.4", "387.4")
        row["prev"] = prev
        prev = chain.record_hash(prev=prev, seq=row["seq"], id=row["id"], digest=chain.content_digest(row))
        body = row["body"].replace("'", "''")
        statements.append(
            f"UPDATE book_record SET body = '{body}', prev = '{row['prev']}', hash = '{prev}' WHERE seq = {row['seq']}"
        )
    force(readings, *statements)
    assert str(verify(readings).breaks[0]).endswith("the chain was rewritten")


def test_changed_and_lost_personal_content_is_found(readings):
    force(readings, """UPDATE book_personal SET content = '{"name":"X"}' WHERE person = 'sam'""")
    assert "other content beside it" in str(verify(readings).breaks[0])
    force(readings, "DELETE FROM book_personal WHERE person = 'sam'")
    assert "no record says that it was erased" in str(verify(readings).breaks[0])


def test_dropped_guards_are_found_and_put_back_at_the_next_start(readings):
    connection.close()
    with closing(sqlite3.connect(readings / "book.sqlite3")) as database:
        database.execute("DROP TRIGGER book_record_no_update")
        database.commit()
    assert "book_record_no_update is gone" in str(verify(readings).breaks[0])
    assert "have been put back: book_record_no_update" in str(start.make_ready()[0])
    assert verify(readings).is_whole


def test_a_migration_that_remakes_the_table_keeps_the_guards(readings):
    app = apps.get_app_config("book")
    told = {"sender": app, "app_config": app, "using": "default", "verbosity": 0, "interactive": False, "plan": []}
    pre_migrate.send(**told, apps=apps)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys = OFF")
    state = ProjectState()
    state.add_model(ModelState.from_model(Record))
    model = state.apps.get_model("book", "record")
    altered = models.TextField(default="", null=True)
    altered.set_attributes_from_name("body")
    altered.model = model
    with connection.schema_editor() as editor:
        editor.alter_field(model, model._meta.get_field("body"), altered)
    assert set(missing_guards(start._rows)) == set(GUARDS)
    post_migrate.send(**told, apps=apps)
    assert missing_guards(start._rows) == ()
    assert verify(readings).is_whole
    with connection.cursor() as cursor, pytest.raises(IntegrityError, match="never changed"):
        cursor.execute("UPDATE book_record SET body = ''")


def test_a_head_file_that_is_behind_is_caught_up(readings):
    last = head()
    early = Record.objects.get(seq=2)
    head_file(readings).write_text(f"2 {early.hash}\n")
    found = verify(readings)
    assert found.is_whole
    assert found.caught_up_from == 2
    assert kept_head(readings) == last


def test_a_head_file_that_is_ahead_is_a_break_and_stays_one(readings):
    last = head()
    head_file(readings).write_text(f"{last.seq + 3} {'a' * 64}\n")
    assert "the last 3 records are gone" in str(verify(readings).breaks[0])
    assert keep_head(readings, last)
    assert kept_head(readings) == Head(last.seq + 3, "a" * 64)


def test_a_head_file_that_is_no_head_is_named(readings):
    head_file(readings).write_text("seven\n")
    with pytest.raises(BookBroken, match="does not hold a head"):
        kept_head(readings)
    assert "does not hold a head" in str(verify(readings).breaks[0])


def test_a_folder_without_a_book_is_named(tmp_path):
    with pytest.raises(UnknownName, match="name a data folder that holds a book"):
        verify(tmp_path)


def test_a_file_that_is_no_database_is_named(tmp_path):
    (tmp_path / "book.sqlite3").write_bytes(b"not a database, only some text" * 100)
    assert "cannot be read" in str(verify(tmp_path).breaks[0])
