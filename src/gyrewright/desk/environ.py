"""Settings from the environment: one table, small strict readers, unknown names refused by name."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from ipaddress import IPv4Address
from pathlib import Path
from typing import Any

from gyrewright.desk.refusal import Refused

PREFIX = "GYREWRIGHT_"


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: its name without the prefix, how its text is read, what holds where it is not given."""

    name: str
    read: Callable[[str, str], Any]
    default: str
    means: str


def read_whole(low: int, high: int) -> Callable[[str, str], int]:
    """Return a reader of whole numbers between two ends."""

    def read(name: str, text: str) -> int:
        if not text.isascii() or not text.isdigit() or not low <= int(text) <= high:
            raise Refused(f"{name}={text!r} is not accepted; write a whole number from {low} to {high}")
        return int(text)

    return read


def read_yes(name: str, text: str) -> bool:
    """Return yes or no."""
    if text not in ("yes", "no"):
        raise Refused(f"{name}={text!r} is not accepted; write yes or no")
    return text == "yes"


def read_folder(name: str, text: str) -> Path:
    """Return a folder by its whole path; it need not exist yet."""
    path = Path(text).expanduser()
    if not text or not path.is_absolute():
        raise Refused(f"{name}={text!r} is not accepted; write the whole path of a folder")
    if path.exists() and not path.is_dir():
        raise Refused(f"{name}={text!r} is a file; write the path of a folder")
    return path


_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")


def read_host(name: str, text: str) -> str:
    """Return a host name in small letters; no address, and none that every machine takes for itself."""
    labels = text.split(".")
    fits = len(text) <= 100 and all(_LABEL.fullmatch(each) for each in labels) and not labels[-1].isdigit()
    if not fits or "localhost" in labels:
        raise Refused(
            f"{name}={text!r} is not accepted; write one name in small letters, such as gyrewright.local or desk.lan"
        )
    return text


def read_address(name: str, text: str) -> str:
    """Return an IPv4 address of this machine to listen at."""
    try:
        return str(IPv4Address(text))
    except ValueError:
        raise Refused(f"{name}={text!r} is not accepted; write an address of this machine, or 0.0.0.0") from None


SETTINGS = (
    Setting("DATA", read_folder, "~/.local/share/gyrewright", "the folder that holds the book and its copies"),
    Setting(
        "DEMO", read_yes, "no", "whether this is the demonstration, with its own clock and a door without passwords"
    ),
    Setting("PORT", read_whole(1024, 65535), "8127", "the port on this machine at which the desk answers"),
    Setting("PHONES", read_yes, "no", "whether phones of the local network are answered as well"),
    Setting("PHONES_NAME", read_host, "gyrewright.local", "the one name by which phones reach the desk, for good"),
    Setting("PHONES_PORT", read_whole(1024, 65535), "8443", "the port at which phones are answered in https"),
    Setting("PHONES_ADDRESS", read_address, "0.0.0.0", "the address of this machine at which phones are answered"),
    Setting("PLAIN_PORT", read_whole(1024, 65535), "8128", "the port for phones without the authority, in http"),
    Setting("PLAIN_WALKS", read_yes, "yes", "whether a phone without the authority may carry a walk-round"),
    Setting("SESSION_H", read_whole(1, 24), "12", "hours after which a log-in ends by itself"),
    Setting("LOGIN_TRIES", read_whole(3, 20), "5", "wrong passwords for one name after which it has to wait"),
    Setting("LOGIN_WAIT_MIN", read_whole(1, 120), "15", "minutes it then has to wait"),
    Setting("PHOTO_MB", read_whole(1, 50), "12", "largest photo that is taken in, in megabytes"),
)
"""Every setting there is. docs/settings.md describes each; a test compares the two."""


def read_settings(environ: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return every setting by its name without the prefix.

    Raises:
        Refused: A value is not accepted, or a name with the prefix is none of the settings.
    """
    given = os.environ if environ is None else environ
    known = {PREFIX + each.name: each for each in SETTINGS}
    for name in sorted(given):
        if name.startswith(PREFIX) and name not in known:
            near = get_close_matches(name, known, n=1)
            hint = f"did you mean {near[0]}?" if near else f"known: {', '.join(known)}"
            raise Refused(f"{name} is no setting; {hint}")
    return {each.name: each.read(name, given.get(name, each.default)) for name, each in known.items()}
