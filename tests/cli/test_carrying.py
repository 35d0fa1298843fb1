"""A book leaves and arrives by command: real processes on real folders, as an operation would do it."""

from __future__ import annotations

import os
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

LONGEST_S = 60.0


def gyrewright(*words, code=0):
    environ = {name: value for name, value in os.environ.items() if not name.startswith(("GYREWRIGHT_", "DJANGO_"))}
    ran = subprocess.run(
        [Path(sys.executable).with_name("gyrewright"), *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        timeout=LONGEST_S,
        env=environ,
    )
    assert ran.returncode == code, (ran.stdout, ran.stderr)
    return ran.stdout + ran.stderr


def head_in(text):
    return re.search(r"head ((?:[0-9a-f]{4} ?){5})", text)[1].strip()


@pytest.fixture(scope="module")
def own(tmp_path_factory):
    """An own book as `open` leaves it."""
    folder = tmp_path_factory.mktemp("own") / "data"
    said = gyrewright("open", "A school", "ost", "Ada Ost", "--data", folder)
    assert "Ada Ost logs in once as ost with: " in said
    return folder


def test_an_export_imports_elsewhere_with_the_same_head_and_lets_the_manager_in(own, tmp_path):
    left = gyrewright("export", tmp_path / "out", "--data", own)
    arrived = gyrewright("import", tmp_path / "out", "--data", tmp_path / "new")
    assert head_in(left) == head_in(arrived)
    assert head_in(gyrewright("verify", "--data", tmp_path / "new")) == head_in(left)
    assert "gyrewright password ID" in arrived
    # No account came along: the same command that helps a locked-out manager lets the person in.
    assert re.search(
        r"ost logs in once with: (\w{4}-){3}\w{4}", gyrewright("password", "ost", "--data", tmp_path / "new")
    )
    assert "not empty" in gyrewright("import", tmp_path / "out", "--data", tmp_path / "new", code=2)


def test_a_copy_restores_with_its_accounts(own, tmp_path):
    said = gyrewright("copy", tmp_path / "stick", "--data", own)
    file = next((tmp_path / "stick").glob("*.sqlite3"))
    assert str(file) in said
    back = gyrewright("restore", file, "--data", tmp_path / "back")
    assert "everybody logs in as before" in back
    with closing(sqlite3.connect(tmp_path / "back" / "book.sqlite3")) as database:
        assert database.execute("SELECT name FROM accounts_account").fetchall() == [("ost",)]
    assert head_in(gyrewright("verify", "--data", tmp_path / "back")) == head_in(back)
    assert "holds a book already" in gyrewright("restore", file, "--data", tmp_path / "back", code=2)


def test_a_folder_without_a_book_is_told_of(tmp_path):
    assert "holds no book yet" in gyrewright("export", tmp_path / "out", "--data", tmp_path / "none", code=2)
    assert not (tmp_path / "out").exists()
    assert "is not there" in gyrewright("restore", tmp_path / "no.sqlite3", "--data", tmp_path / "none", code=2)
    assert "is not there" in gyrewright("import", tmp_path / "no", "--data", tmp_path / "none", code=2)


def test_nobody_is_let_in_who_is_not_in_the_book(own):
    assert "no account has the name 'kim'" in gyrewright("password", "kim", "--data", own, code=2)


READ_A_METER = """
import sys
from pathlib import Path
from gyrewright.desk import start
start.set_up_as_it_is(Path(sys.argv[1]))
start.make_ready()
from gyrewright.desk.book.kinds.upkeep import MeterRead
from gyrewright.desk.services.records import record_act
record_act(act=MeterRead(meter="airframe", shows="487.3 h"), by="ost", about="N0-404K")
"""


def test_an_aircraft_leaves_one_book_and_arrives_in_another(own, tmp_path):
    subprocess.run([sys.executable, "-c", READ_A_METER, own], check=True, timeout=LONGEST_S)
    said = gyrewright("pack", "N0-404K", tmp_path / "k.json", "--data", own)
    assert "1 records of N0-404K written" in said
    assert "Ada Ost" not in (tmp_path / "k.json").read_text()
    buyer = tmp_path / "buyer"
    gyrewright("open", "Another school", "roe", "Una Roe", "--data", buyer)
    assert "2 records taken in; 0 were here already" in gyrewright("take", tmp_path / "k.json", "--data", buyer)
    assert "0 records taken in; 1 were here already" in gyrewright("take", tmp_path / "k.json", "--data", buyer)
    assert len(list((buyer / "arrived").glob("*.json"))) == 1
    assert "whole" in gyrewright("verify", "--data", buyer)
    changed = (tmp_path / "k.json").read_text().replace("487.3 h", "387.3 h")
    (tmp_path / "bad.json").write_text(changed)
    assert "nothing was taken in" in gyrewright("take", tmp_path / "bad.json", "--data", buyer, code=2)
    assert "no records of an aircraft" in gyrewright("pack", "N0-999", tmp_path / "x.json", "--data", own, code=2)


def test_without_a_folder_the_setting_names_it(own, tmp_path):
    ran = subprocess.run(
        [Path(sys.executable).with_name("gyrewright"), "export", tmp_path / "out"],
        capture_output=True,
        text=True,
        check=False,
        timeout=LONGEST_S,
        env={**os.environ, "GYREWRIGHT_DATA": str(own)},
    )
    assert ran.returncode == 0, ran.stderr
    assert (tmp_path / "out" / "head.json").exists()


def test_a_manager_who_is_locked_out_is_let_in_at_the_laptop(own):
    said = gyrewright("password", "ost", "--data", own)
    assert re.search(r"ost logs in once with: (\w{4}-){3}\w{4}", said)
    with closing(sqlite3.connect(own / "book.sqlite3")) as database:
        assert database.execute("SELECT must_change FROM accounts_account WHERE name = 'ost'").fetchall() == [(1,)]
        kinds = [row[0] for row in database.execute("SELECT kind FROM book_record ORDER BY seq")]
    assert kinds[-1] == "password-set"
