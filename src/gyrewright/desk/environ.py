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


def read_choice(*accepted: str) -> Callable[[str, str], str]:
    """Return a reader of one of some words."""

    def read(name: str, text: str) -> str:
        if text not in accepted:
            raise Refused(f"{name}={text!r} is not accepted; write one of: {', '.join(accepted)}")
        return text

    return read


def read_server(name: str, text: str) -> str:
    """Return a server's name or address; empty where there is none."""
    fits = len(text) <= 100 and all(_LABEL.fullmatch(each) for each in text.lower().split("."))
    if text and not fits:
        raise Refused(f"{name}={text!r} is not accepted; write the name of the server, such as mail.example.org")
    return text.lower()


def read_mail_address(name: str, text: str) -> str:
    """Return a mail address; empty where there is none."""
    if text and not re.fullmatch(r"[A-Za-z0-9._%+-]+@[A-Za-z0-9.-]+", text):
        raise Refused(f"{name}={text!r} is not accepted; write one address, such as desk@example.org")
    return text


def read_line(name: str, text: str) -> str:
    """Return a short text on one line; empty where there is none."""
    if len(text) > 100 or any(ord(letter) < 32 for letter in text):
        raise Refused(f"{name} is not accepted; write one line of at most 100 characters")
    return text


def read_secret_file(name: str, text: str) -> Path | None:
    """Return a file that holds a secret and that nobody but its owner can read; None where there is none."""
    if not text:
        return None
    path = Path(text).expanduser()
    if not path.is_absolute() or not path.is_file():
        raise Refused(f"{name}={text!r} is not accepted; write the whole path of a file that holds the password alone")
    if path.stat().st_mode & 0o077:
        raise Refused(f"{name}={text!r} can be read by others on this machine; let its owner alone read it (chmod 600)")
    return path


@dataclass(frozen=True, slots=True)
class Mail:
    """How an operation sends mail; None of it is there where no server is named."""

    host: str
    port: int
    security: str
    user: str
    password_file: Path | None
    sender: str

    def password(self) -> str:
        """Return the password, read anew each time."""
        return self.password_file.read_text(encoding="utf-8").strip() if self.password_file else ""


def mail_of(given: Mapping[str, Any]) -> Mail | None:
    """Return the operation's mail; None where no server is named.

    Raises:
        Refused: What is given of it does not go together.
    """
    names = ("MAIL_USER", "MAIL_PASSWORD_FILE", "MAIL_FROM")
    if not given["MAIL_HOST"]:
        lone = [name for name in names if given[name]]
        if lone:
            raise Refused(
                f"{PREFIX}{lone[0]} is given and {PREFIX}MAIL_HOST is not; name the server, or leave both out"
            )
        return None
    if not given["MAIL_FROM"]:
        raise Refused(f"{PREFIX}MAIL_HOST is given and {PREFIX}MAIL_FROM is not; write whose address mail comes from")
    if bool(given["MAIL_USER"]) != bool(given["MAIL_PASSWORD_FILE"]):
        raise Refused(f"{PREFIX}MAIL_USER and {PREFIX}MAIL_PASSWORD_FILE belong together; give both or none")
    if given["MAIL_USER"] and given["MAIL_SECURITY"] == "none":
        raise Refused(f"{PREFIX}MAIL_SECURITY=none would send the password in the open; write starttls or tls")
    return Mail(
        given["MAIL_HOST"],
        given["MAIL_PORT"],
        given["MAIL_SECURITY"],
        given["MAIL_USER"],
        given["MAIL_PASSWORD_FILE"],
        given["MAIL_FROM"],
    )


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
    Setting("MAIL_HOST", read_server, "", "the mail server that takes word of reports; empty where none is set up"),
    Setting("MAIL_PORT", read_whole(1, 65535), "587", "its port"),
    Setting("MAIL_SECURITY", read_choice("starttls", "tls", "none"), "starttls", "how the way to it is kept private"),
    Setting("MAIL_USER", read_line, "", "the name to log in to it with"),
    Setting(
        "MAIL_PASSWORD_FILE", read_secret_file, "", "the file that holds its password, readable by its owner alone"
    ),
    Setting("MAIL_FROM", read_mail_address, "", "the address that mail comes from"),
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
