"""The listeners for phones: a process each, since each has hosts, cookies and pages of its own.

One answers in https under the desk's own authority; one in http, for the authority's file and for phones without it.
They end with the desk. The certificate is looked at every hour and after a change of address, and a listener whose
certificate or addresses are new brings up a new worker beside the old one.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from gyrewright.desk.environ import read_settings
from gyrewright.desk.family import be_parent, end_with_parent
from gyrewright.desk.phones.authority import files_in
from gyrewright.desk.phones.places import LISTENER, PHONES, PLAIN
from gyrewright.desk.refusal import Refused
from gyrewright.desk.serve import is_answered, run

LOOK_EVERY_S = 60.0
"""How often certificate and addresses are looked at: a laptop that changes the network is reached again soon."""


@contextmanager
def listening() -> Iterator[tuple[str, ...]]:
    """Answer phones while the body runs; yields what is to be told about it.

    Raises:
        Refused: The authority in the folder cannot be read.
    """
    from django.conf import settings
    from django.db import connection

    from gyrewright.desk.services.authority import places, ready_authority

    ready_authority()
    connection.close()
    started = {each: _started(each) for each in (PHONES, PLAIN)}
    for which, port in ((PHONES, settings.PHONES_PORT), (PLAIN, settings.PLAIN_PORT)):
        while not is_answered(settings.PHONES_ADDRESS, port):
            if started[which].poll() is not None:
                _end(started)
                raise Refused(f"the listener for phones at port {port} did not come up; see the lines above")
            time.sleep(0.05)
    is_over = threading.Event()
    threading.Thread(target=_watch, args=(started, is_over), daemon=True).start()
    where = ", ".join(map(str, places().addresses)) or "no address in a private network yet"
    try:
        yield (
            f"phones that trust its authority: https://{settings.PHONES_NAME}:{settings.PHONES_PORT}/",
            f"the authority's file, and phones without it: http://{settings.PHONES_NAME}:{settings.PLAIN_PORT}/",
            f"this machine is at {where}; the Phones page says how a phone gets there",
        )
    finally:
        is_over.set()
        _end(started)


def _end(started: dict[str, subprocess.Popen[bytes]]) -> None:
    for process in started.values():
        process.terminate()
    for process in started.values():
        with suppress(subprocess.TimeoutExpired):
            process.wait(10.0)
        process.kill()
        process.wait()


def _started(which: str) -> subprocess.Popen[bytes]:
    environ = {**os.environ, LISTENER: which}
    return subprocess.Popen([sys.executable, "-m", "gyrewright.desk.listener"], env=environ, stdin=subprocess.DEVNULL)


def _watch(started: dict[str, subprocess.Popen[bytes]], is_over: threading.Event) -> None:
    from gyrewright.desk.services.authority import places, renew

    before = places()
    told: set[str] = set()
    while not is_over.wait(LOOK_EVERY_S):
        try:
            is_new = renew()
        except Exception as error:  # said, and looked at again: phones keep what they have meanwhile
            sys.stderr.write(f"the certificate for phones could not be made anew: {error}\n")
            continue
        now = places()
        for which, process in started.items():
            if process.poll() is not None:
                if which not in told and not is_over.is_set():
                    told.add(which)
                    sys.stderr.write(f"the listener '{which}' has ended; phones keep what they have: start anew\n")
            elif now != before or (is_new and which == PHONES):
                process.send_signal(signal.SIGHUP)
        before = now


def main() -> None:
    """Be one listener, as the environment says which, until a signal or the desk ends it.

    Nothing of the site is loaded here: a worker that is brought up anew reads hosts and certificate anew.
    """
    end_with_parent()
    be_parent()
    given = read_settings()
    address = given["PHONES_ADDRESS"]
    if os.environ[LISTENER] == PLAIN:
        run(address, given["PLAIN_PORT"])
        return
    files = files_in(given["DATA"])
    run(address, given["PHONES_PORT"], ssl_cert=files.leaf, ssl_key=files.leaf_key)


if __name__ == "__main__":
    main()
