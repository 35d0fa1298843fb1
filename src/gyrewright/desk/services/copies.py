"""Copies of the whole book: made while the desk runs, checked, frozen after an event, put back."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from gyrewright.desk import clock
from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.head import head_file, keep_head, kept_head
from gyrewright.desk.book.kinds.operation import CopyFrozen, CopyMade
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import head
from gyrewright.desk.book.record import Kept
from gyrewright.desk.book.verify import DATABASE, Verified, open_read_only, verify_database
from gyrewright.desk.book.writing import disk_in_words
from gyrewright.desk.moments import moment_of
from gyrewright.desk.refusal import BookBroken, DiskFull, Refused
from gyrewright.desk.services.records import record_act
from gyrewright.errors import UnknownName


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy on disk, the head it holds and the digest of the file."""

    file: Path
    head: Head
    sha256: str


def make_copy(*, id: str, by: str, folder: Path | None = None) -> Kept:
    """Copy the whole book into a folder while it is in use, check the copy, and record that it was made.

    Raises:
        DiskFull: There is no room; no half copy is left.
        BookBroken: The copy does not verify; it is kept, under a name that says so.
    """
    copy = _copy(folder or settings.DATA_DIR / "copies", "book")
    act = CopyMade(file=copy.file.name, head_seq=copy.head.seq, head_hash=copy.head.hash, sha256=copy.sha256)
    return record_act(id=id, act=act, by=by)


def freeze_copy(*, id: str, event: str, by: str, about: str = "") -> Kept:
    """Set a copy of the whole book aside after an accident or event, read-only, and record its digest."""
    copy = _copy(settings.DATA_DIR / "frozen", "frozen")
    copy.file.chmod(0o400)
    act = CopyFrozen(
        event=event, file=copy.file.name, head_seq=copy.head.seq, head_hash=copy.head.hash, sha256=copy.sha256
    )
    return record_act(id=id, act=act, by=by, about=about)


@dataclass(frozen=True, slots=True)
class Last:
    """The last copy of the book: when it was made, and how many records have been entered since."""

    at: datetime
    since: int


def last_copy() -> Last | None:
    """Return the last copy that was made, or None where there never was one."""
    row = Record.objects.filter(kind="copy-made").order_by("-seq").values("entered_at", "seq").first()
    if row is None:
        return None
    return Last(moment_of(row["entered_at"]), head().seq - row["seq"])


def _copy(folder: Path, called: str) -> Copy:
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    stamp = clock.now().strftime("%Y%m%d-%H%M%S-%f")
    file = folder / f"{called}-{stamp}.sqlite3"
    draft = file.with_suffix(".part")
    try:
        with disk_in_words():
            draft.touch(mode=0o600)
            with (
                closing(open_read_only(settings.DATA_DIR / DATABASE)) as source,
                closing(sqlite3.connect(draft)) as target,
            ):
                # All pages in one go: one moment of the book, readers and writers going on beside it.
                source.backup(target)
                target.execute("PRAGMA journal_mode = DELETE")
                target.execute("DELETE FROM django_session")
                target.execute("DELETE FROM phones_pass")
                target.commit()
            _to_disk(draft)
            found = _verified(draft)
            digest = digest_of(draft)
            draft.rename(file)
    except (sqlite3.Error, DiskFull) as error:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
        raise DiskFull(f"no copy was made in {folder}: {error}; free some space or name another folder") from error
    if not found.is_whole:
        bad = file.with_name(f"{file.stem}-broken.sqlite3")
        file.rename(bad)
        raise BookBroken(f"the copy {bad} does not hold: {found.breaks[0]}")
    return Copy(file, found.head, digest)


def _verified(file: Path) -> Verified:
    with closing(open_read_only(file)) as database:
        return verify_database(database)


def digest_of(file: Path) -> str:
    """Return the SHA-256 digest of a file, as hex."""
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def _to_disk(file: Path) -> None:
    with file.open("rb") as opened:
        os.fsync(opened.fileno())


def restore(*, copy: Path, data_dir: Path) -> Head:
    """Put a copy into an empty data folder and return its head. The copy is checked first.

    Raises:
        Refused: The folder holds a book already.
        BookBroken: The copy does not verify.
        UnknownName: There is no such copy.
    """
    target = data_dir / DATABASE
    if target.exists() or kept_head(data_dir).seq:
        raise Refused(f"{data_dir} holds a book already; restore into an empty folder")
    if not copy.is_file():
        raise UnknownName(f"{copy} is not there; name a copy of a book, a file that ends in .sqlite3")
    found = _verified(copy)
    if not found.is_whole:
        raise BookBroken(f"{copy} does not hold, nothing was restored: {found.breaks[0]}")
    if not found.records:
        raise Refused(f"{copy} holds no records; choose another copy")
    data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = target.with_suffix(".part")
    try:
        with disk_in_words():
            shutil.copyfile(copy, draft)
            draft.chmod(0o600)
            _to_disk(draft)
            draft.rename(target)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    if not keep_head(data_dir, found.head):
        raise DiskFull(f"the book is restored, but {head_file(data_dir)} cannot be written; free some space")
    return found.head
