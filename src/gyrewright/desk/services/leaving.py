"""Leaving with everything, any day: plain documented files out, and the same book again from them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from gyrewright.desk.book import chain
from gyrewright.desk.book.chain import COLUMNS, Head
from gyrewright.desk.book.head import keep_head
from gyrewright.desk.book.models import Personal, Photo, Record
from gyrewright.desk.book.reading import head
from gyrewright.desk.book.record import recorded
from gyrewright.desk.book.writing import disk_in_words
from gyrewright.desk.refusal import BookBroken, Refused

FORMAT = "gyrewright-book-1"


def export_book(*, folder: Path) -> Head:
    """Write the whole book as plain files into a new folder and return the head they hold.

    `README.md` in the folder says what each file is and how to check it without this program. Passwords are not in it.

    Raises:
        Refused: The folder is there already.
    """
    if folder.exists():
        raise Refused(f"{folder} is there already; name a folder that does not exist yet")
    # Written under another name first: a folder under its final name is always complete.
    draft = folder.with_name(folder.name + ".part")
    with disk_in_words(), transaction.atomic():
        (draft / "photos").mkdir(parents=True)
        last = head()
        with (draft / "records.jsonl").open("w", encoding="utf-8") as out:
            for row in Record.objects.order_by("seq").values(*COLUMNS).iterator():
                out.write(json.dumps(row, ensure_ascii=False) + "\n")
        with (draft / "personal.jsonl").open("w", encoding="utf-8") as out:
            for row in Personal.objects.order_by("fingerprint").values().iterator():
                out.write(json.dumps(row, ensure_ascii=False) + "\n")
        with (draft / "photos.jsonl").open("w", encoding="utf-8") as out:
            for photo in Photo.objects.order_by("fingerprint").iterator():
                (draft / "photos" / f"{photo.fingerprint}.jpg").write_bytes(photo.jpeg)
                line = {"fingerprint": photo.fingerprint, "salt": photo.salt, "person": photo.person}
                out.write(json.dumps(line, ensure_ascii=False) + "\n")
        (draft / "head.json").write_text(
            json.dumps({"format": FORMAT, "seq": last.seq, "hash": last.hash}) + "\n", encoding="utf-8"
        )
        guide = files("gyrewright.desk.services").joinpath("export-README.md").read_text(encoding="utf-8")
        (draft / "README.md").write_text(guide, encoding="utf-8")
        draft.rename(folder)
    return last


def _lines(file: Path) -> Iterator[dict[str, Any]]:
    if not file.is_file():
        raise Refused(f"{file} is not there; name a folder that an export wrote")
    with file.open(encoding="utf-8") as opened:
        for number, line in enumerate(opened, start=1):
            try:
                row = json.loads(line)
            except ValueError:
                row = None
            if not isinstance(row, dict):
                raise Refused(f"{file} line {number} is not one JSON object")
            yield row


def import_book(*, folder: Path) -> Head:
    """Take an export into an empty book and return its head, which is the head that was exported.

    Everything is checked before anything is kept: each record's form, the chain, what lies beside it, the head.

    Raises:
        Refused: This book is not empty, or the folder is no export.
        BookBroken: The export does not hold.
    """
    wanted = next(_lines(folder / "head.json"))
    if wanted.get("format") != FORMAT:
        raise Refused(f"{folder} is no export that can be read here: its head.json does not say {FORMAT!r}")
    with disk_in_words(), transaction.atomic():
        if head().seq:
            raise Refused("this book is not empty; import into a new data folder")
        rows = list(_lines(folder / "records.jsonl"))
        for row in rows:
            if set(row) != set(COLUMNS):
                raise Refused(f"{folder / 'records.jsonl'}: a record does not have exactly {', '.join(COLUMNS)}")
        walked = chain.walk(rows)
        if walked.broken:
            raise BookBroken(f"the export does not hold, nothing was imported: {walked.broken}")
        if (walked.head.seq, walked.head.hash) != (wanted.get("seq"), wanted.get("hash")):
            raise BookBroken("the export does not hold, nothing was imported: its records end elsewhere than its head")
        for row in rows:
            recorded(row, personal=None)
        Record.objects.bulk_create([Record(**row) for row in rows], batch_size=500)
        _import_beside(folder)
        data_dir = settings.DATA_DIR
        transaction.on_commit(lambda: keep_head(data_dir, walked.head) and None)
    return walked.head


def _import_beside(folder: Path) -> None:
    for row in _lines(folder / "personal.jsonl"):
        if set(row) != {"fingerprint", "salt", "person", "content"}:
            raise Refused(
                f"{folder / 'personal.jsonl'}: a line does not have exactly fingerprint, salt, person, content"
            )
        _check_fingerprint(row["fingerprint"], row["salt"], row["content"].encode())
        Personal.objects.create(**row)
    for row in _lines(folder / "photos.jsonl"):
        name = row.get("fingerprint", "")
        if set(row) != {"fingerprint", "salt", "person"} or len(name) != 64 or not name.isalnum():
            raise Refused(f"{folder / 'photos.jsonl'}: a line does not have exactly fingerprint, salt, person")
        jpeg = (folder / "photos" / f"{name}.jpg").read_bytes()
        _check_fingerprint(name, row["salt"], jpeg)
        Photo.objects.create(jpeg=jpeg, **row)


def _check_fingerprint(name: str, salt: str, content: bytes) -> None:
    try:
        same = chain.fingerprint(salt=salt, content=content) == name
    except ValueError:
        same = False
    if not same:
        raise BookBroken(f"the export does not hold, nothing was imported: {name[:12]} has other content beside it")
