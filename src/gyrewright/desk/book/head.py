"""The head outside the database: a small file beside it, written after every commit.

The chain alone cannot show that its last records were removed; a head kept elsewhere can. A file that is behind is
caught up (a crash between commit and file); a file that is ahead is a break.
"""

from __future__ import annotations

import fcntl
import os
from pathlib import Path

from gyrewright.desk.book.chain import EMPTY, Head
from gyrewright.desk.refusal import BookBroken


def head_file(data_dir: Path) -> Path:
    """Return where the head is kept."""
    return data_dir / "head"


def kept_head(data_dir: Path) -> Head:
    """Return the head as the file has it; the empty head where there is no file.

    Raises:
        BookBroken: The file cannot be read as a head.
    """
    path = head_file(data_dir)
    try:
        text = path.read_text(encoding="ascii")
    except FileNotFoundError:
        return EMPTY
    except (OSError, UnicodeDecodeError) as error:
        raise BookBroken(f"{path} cannot be read: {error}") from None
    parts = text.split()
    if len(parts) != 2 or not parts[0].isdigit() or len(parts[1]) != 64:
        raise BookBroken(f"{path} does not hold a head: a number and 64 hex digits")
    return Head(int(parts[0]), parts[1])


def keep_head(data_dir: Path, head: Head) -> bool:
    """Write the head to its file unless the file is already as far, and return whether the file now holds it.

    A failure is no failure of the record, which is committed: the next write catches up.
    """
    path = head_file(data_dir)
    try:
        with (data_dir / "head.lock").open("a") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if kept_head(data_dir).seq >= head.seq:
                return True
            draft = path.with_name("head.new")
            with draft.open("w", encoding="ascii") as file:
                file.write(f"{head.seq} {head.hash}\n")
                file.flush()
                os.fsync(file.fileno())
            draft.replace(path)
    except (OSError, BookBroken):
        return False
    return True
