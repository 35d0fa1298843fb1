"""`make run` as somebody meets it first: decisions, then an address as the last line, then an end on Ctrl-C."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import time
import urllib.request
from pathlib import Path

import pytest

from kit.desk_process import free_port, plain_environ

ROOT = Path(__file__).parents[2]
FIRST_ADDRESS_S = 60.0


@pytest.mark.skipif(shutil.which("make") is None, reason="make is missing")
@pytest.mark.skipif(not (ROOT / ".venv/.installed").exists(), reason="set up by other means than make")
def test_it_prints_the_day_and_then_answers_until_interrupted(tmp_path):
    port = free_port()
    environ = {**plain_environ(), "HOME": str(tmp_path), "GYREWRIGHT_PORT": str(port)}
    log = tmp_path / "log"
    begun = time.monotonic()
    with log.open("wb") as out:
        process = subprocess.Popen(
            ["make", "run"], cwd=ROOT, env=environ, stdout=out, stderr=subprocess.STDOUT, start_new_session=True
        )
    try:
        while "the desk answers at" not in log.read_text():
            assert process.poll() is None, log.read_text()
            assert time.monotonic() - begun < FIRST_ADDRESS_S, log.read_text()
            time.sleep(0.05)
        said = log.read_text()
        assert f"http://127.0.0.1:{port}/" in said.splitlines()[-1]
        assert said.index("This releases nothing: a person does.") < said.index("the desk answers at")
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=20) as answer:
            door = answer.read().decode()
        assert "Choose whom to be" in door
        assert re.search(r"12 Jun 2027 06:1\d PDT", door)
    finally:
        os.killpg(process.pid, signal.SIGINT)
        process.wait(30)
    folder = tmp_path / ".local/share/gyrewright-demo"
    assert (folder / "book.sqlite3").exists()
    assert not (tmp_path / ".local/share/gyrewright").exists()
