"""The server as a process: start, end, kill in mid-write, many writers, a full disk."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.parse
import uuid
from contextlib import suppress
from pathlib import Path

import pytest
from django.db import connection

from gyrewright.desk.book.head import kept_head
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import head
from gyrewright.desk.book.verify import verify
from gyrewright.desk.services.accounts import open_account
from gyrewright.desk.services.records import open_book

LONGEST_S = 20.0
SERVE = (
    "import sys; from pathlib import Path; from gyrewright.desk.serve import serve;"
    " serve(data_dir=Path(sys.argv[1]), port=int(sys.argv[2]), is_demo=True)"
)


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Desk:
    """A server in a process group of its own, and a way to ask it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port, self.cookies, self.process = folder, free_port(), {}, None

    def start(self) -> float:
        begun = time.monotonic()
        environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
        self.process = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(self.folder), str(self.port)],
            start_new_session=True,
            env=environ,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        while time.monotonic() - begun < LONGEST_S:
            with suppress(OSError, http.client.HTTPException):
                assert self.ask("GET", "/door")[0] in (200, 302)
                return time.monotonic() - begun
            assert self.process.poll() is None, self.process.stdout.read().decode()
            time.sleep(0.005)
        raise AssertionError("no answer")

    def ask(self, method, path, form=None):
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_S)
        try:
            body = urllib.parse.urlencode(form) if form else None
            headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
            if body:
                headers["Content-Type"] = "application/x-www-form-urlencoded"
            line.request(method, path, body, headers)
            answer = line.getresponse()
            page = answer.read().decode()
            for name, value in answer.getheaders():
                if name.lower() == "set-cookie":
                    key, _, rest = value.partition("=")
                    self.cookies[key] = rest.partition(";")[0]
            return answer.status, page
        finally:
            line.close()

    def log_in(self, password):
        page = self.ask("GET", "/door")[1]
        token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page).group(1)
        form = {"name": "ada", "password": password, "csrfmiddlewaretoken": token}
        assert self.ask("POST", "/door", form)[0] == 302

    def record(self, id):
        token = self.cookies["gyrewright_demo_form"]
        return self.ask("POST", "/records/clock", {"id": id, "read_from": "x" * 150, "csrfmiddlewaretoken": token})[0]

    def members(self):
        """Return the processes of the server's group."""
        found = []
        for each in Path("/proc").iterdir():
            with suppress(OSError):
                if each.name.isdigit() and os.getpgid(int(each.name)) == self.process.pid:
                    found.append(int(each.name))
        return found

    def kill(self):
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(LONGEST_S)
        self.process.stdout.close()


@pytest.fixture
def desk(empty, password):
    open_book(operation="A school", manager="ada", manager_name="Ada Ost", is_demo=True)
    open_account(name="ada", person="ada", password=password, by="ada")
    connection.close()
    made = Desk(empty)
    yield made
    if made.process is not None:
        made.kill()


def gone(pids):
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        alive = [
            pid for pid in pids if Path(f"/proc/{pid}").exists() and " Z " not in Path(f"/proc/{pid}/stat").read_text()
        ]
        if not alive:
            return True
        time.sleep(0.02)
    return False


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_it_answers_and_ends_on_a_signal_with_nothing_left(desk, how):
    desk.start()
    members = desk.members()
    assert len(members) == 2
    os.kill(desk.process.pid, how)
    assert desk.process.wait(LONGEST_S) == 0
    assert gone(members)
    assert b"the desk answers at http://127.0.0.1:" in desk.process.stdout.read()


def test_a_worker_does_not_outlive_the_server(desk):
    desk.start()
    members = desk.members()
    os.kill(desk.process.pid, signal.SIGKILL)
    assert gone(members)


def test_it_is_reached_from_this_machine_alone(desk):
    desk.start()
    hexport = f":{desk.port:04X} "
    listening = [
        line.split()[1]
        for table in ("/proc/net/tcp", "/proc/net/tcp6")
        for line in Path(table).read_text().splitlines()[1:]
        if hexport in line.split()[1] + " " and line.split()[3] == "0A"
    ]
    assert listening == [f"0100007F:{desk.port:04X}"]


def test_a_second_desk_on_the_same_folder_is_refused(desk):
    desk.start()
    ran = subprocess.run(
        [sys.executable, "-c", SERVE, str(desk.folder), str(free_port())],
        capture_output=True,
        check=False,
        text=True,
        timeout=LONGEST_S,
    )
    assert ran.returncode != 0
    assert "another desk has" in ran.stderr


def test_own_data_and_the_demonstration_never_mix(desk):
    own = SERVE.replace("is_demo=True", "is_demo=False")
    ran = subprocess.run(
        [sys.executable, "-c", own, str(desk.folder), str(free_port())],
        capture_output=True,
        check=False,
        text=True,
        timeout=LONGEST_S,
    )
    assert "holds the demonstration, and an operation's own data were asked for" in ran.stderr


def test_killed_fifty_times_in_mid_write_no_acknowledged_record_is_lost(desk, password):
    acknowledged, sent = [], 0
    desk.start()
    desk.log_in(password)
    for round_ in range(50):
        if round_:
            desk.start()
        stop = threading.Event()

        def write(stop=stop):
            nonlocal sent
            with suppress(OSError, http.client.HTTPException):
                while not stop.is_set():
                    id = str(uuid.uuid4())
                    sent += 1
                    if desk.record(id) == 302:
                        acknowledged.append(id)

        writers = [threading.Thread(target=write) for _ in range(3)]
        for each in writers:
            each.start()
        # Not a fixed pause: the kill comes once this round has been acknowledged something, plus a drawn moment.
        goal = len(acknowledged) + 3 + round_ % 7
        until = time.monotonic() + LONGEST_S
        while len(acknowledged) < goal and time.monotonic() < until:
            time.sleep(0.001 + (round_ % 5) / 2000)
        desk.kill()
        stop.set()
        for each in writers:
            each.join()
        found = verify(desk.folder)
        assert found.is_whole, found.breaks
    kept = set(Record.objects.values_list("id", flat=True))
    assert len(acknowledged) > 150
    assert set(acknowledged) <= kept
    assert sent > len(acknowledged)
    assert kept_head(desk.folder) == head()


WRITE = """
import sys, uuid
from pathlib import Path
from gyrewright.desk import start
start.set_up(data_dir=Path(sys.argv[1]), is_demo=True)
start.start_clock()
from gyrewright.desk.book.kinds.upkeep import MeterRead
from gyrewright.desk.services.records import record_act
for number in range(40):
    record_act(act=MeterRead(meter="airframe", shows=f"{number} h"), by=sys.argv[2], about="N0-101D")
"""


def test_eight_writers_at_once_make_one_chain(desk):
    before = head().seq
    connection.close()
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITE, str(desk.folder), f"w{each}"], env=environ, stderr=subprocess.PIPE
        )
        for each in range(8)
    ]
    for each in writers:
        said = each.communicate(timeout=60)[1]
        assert each.returncode == 0, said.decode()
    assert head().seq == before + 320
    found = verify(desk.folder)
    assert found.is_whole
    assert kept_head(desk.folder) == head()


FULL = """
import resource, sys
from pathlib import Path
from gyrewright.desk import start
folder = Path(sys.argv[1])
start.set_up(data_dir=folder, is_demo=True)
start.start_clock()
from gyrewright.desk.book.kinds.upkeep import DefectReported
from gyrewright.desk.book.reading import head
from gyrewright.desk.refusal import DiskFull
from gyrewright.desk.services.copies import make_copy
from gyrewright.desk.services.records import new_id, record_act
def act():
    return record_act(act=DefectReported(item="K08", words="w" * 3900), by="ada", about="N0-101D")
act()
soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, hard))
kept = 0
try:
    while kept < 2000:
        act()
        kept += 1
except DiskFull as full:
    print(full)
assert kept < 2000
there = head()
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, hard))
try:
    make_copy(id=new_id(), by="ada")
except DiskFull as full:
    print(full)
assert head() == there
assert not list((folder / "copies").glob("*"))
resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
act()
assert head().seq == there.seq + 1
print(head().seq)
"""


def test_a_full_disk_is_one_message_and_nothing_is_half_written(desk):
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    ran = subprocess.run(
        [sys.executable, "-c", FULL, str(desk.folder)],
        capture_output=True,
        check=False,
        text=True,
        timeout=60,
        env=environ,
    )
    assert ran.returncode == 0, ran.stderr
    first, second, last = ran.stdout.splitlines()
    assert "is full or fails" in first
    assert first.endswith("nothing was written; free some space and do it again")
    assert "no copy was made" in second
    found = verify(desk.folder)
    assert found.is_whole
    assert found.head.seq == int(last)


def test_first_answer_and_memory_at_rest(desk, password):
    # The limits are those of `make bench`; here with room for a busy machine.
    assert desk.start() < 4.5
    desk.log_in(password)
    assert desk.ask("GET", "/records/")[0] == 200
    total_kb = 0
    for pid in desk.members():
        rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
        total_kb += int(re.search(r"^Pss:\s+(\d+)", rollup, re.MULTILINE).group(1))
    assert total_kb < 150_000


def test_no_worker_can_be_forked_while_a_thread_imports_what_it_will_need(monkeypatch):
    """A thread waits for the first answer while the worker is forked: what it imports then stays locked in there."""
    from gyrewright.desk import serve

    assert "encodings.idna" in sys.modules

    def looked_up(*_, **__):
        raise AssertionError("looked a name up, which imports")

    monkeypatch.setattr(socket, "getaddrinfo", looked_up)
    assert not serve.is_answered("127.0.0.1", free_port())
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        assert serve.is_answered("127.0.0.1", listening.getsockname()[1])
