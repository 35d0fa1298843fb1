"""Walking a chain of 100,000 records, as the command does it."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

RECORDS = 100_000
_COMMAND = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"


def lines() -> Iterator[str]:
    """Yield how long the walk takes."""
    with tempfile.TemporaryDirectory(prefix="gyrewright-bench-") as folder:
        data = Path(folder) / "data"
        code = (
            "import sys; from pathlib import Path; from bench.verifying import make_long; make_long(Path(sys.argv[1]))"
        )
        environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
        subprocess.run([sys.executable, "-c", code, str(data)], check=True, env=environ, capture_output=True)
        begun = time.perf_counter()
        words = ["verify", "--data", str(data)]
        command = [sys.executable, "-c", _COMMAND, *words]
        ran = subprocess.run(command, check=False, capture_output=True, env=environ, text=True)
        took = time.perf_counter() - begun
        said = (ran.stdout or ran.stderr).strip().splitlines()[0]
        yield f"verify of {RECORDS:,} records: {took:.1f} s, the whole command (load {os.getloadavg()[0]:.1f})"
        yield f"  it said: {said}"


def make_long(folder: Path) -> None:
    """Make a book of many records: readings of a meter, a third of them with something personal beside."""
    from gyrewright.desk import start

    start.set_up(data_dir=folder, is_demo=True)
    start.make_ready()
    from django.conf import settings
    from django.db import transaction

    from gyrewright.desk.book import chain
    from gyrewright.desk.book.chain import Head
    from gyrewright.desk.book.head import keep_head
    from gyrewright.desk.book.models import Personal, Record
    from gyrewright.desk.book.reading import head
    from gyrewright.desk.services.records import new_id, open_book

    open_book(operation="long", manager="ada", manager_name="Ada Ost", is_demo=True)
    last, opened = head(), Record.objects.values().first()
    rows, beside = [], []
    for number in range(last.seq + 1, RECORDS + 1):
        fingerprint, salt = "", f"{number:032x}"
        if number % 3 == 0:
            content = '{"remarks":"a word or two about the day"}'
            fingerprint = chain.fingerprint(salt=salt, content=content.encode())
            beside.append(Personal(fingerprint=fingerprint, salt=salt, person="ada", content=content))
        row = {
            **opened,
            "seq": number,
            "id": new_id(),
            "kind": "meter-read",
            "about": f"N0-{number % 7}",
            "body": chain.canonical({"meter": "airframe", "shows": f"{number / 10:.1f} h"}),
            "personal_fingerprint": fingerprint,
            "salt": f"{number:032x}",
            "prev": last.hash,
        }
        row["hash"] = chain.record_hash(prev=last.hash, seq=number, id=row["id"], digest=chain.content_digest(row))
        last = Head(number, row["hash"])
        rows.append(Record(**row))
    with transaction.atomic():
        Record.objects.bulk_create(rows, batch_size=500)
        Personal.objects.bulk_create(beside, batch_size=500)
    keep_head(settings.DATA_DIR, last)
