"""What the desk refuses, each as one line that says what to do."""

from __future__ import annotations

from gyrewright.errors import GyrewrightError


class Refused(GyrewrightError, ValueError):
    """An act or a request cannot be taken as it was given. Nothing was written."""


class NotAllowed(Refused):
    """The person who asks may not do or see this."""


class BookBroken(GyrewrightError, RuntimeError):
    """The book of records is not whole: its chain, its guards or its head do not hold."""


class ClockInDoubt(Refused):
    """The machine's clock contradicts the records. Nothing is written until two people have confirmed it."""


class TooLarge(Refused):
    """What was sent is larger than anything that is taken in. Nothing was written."""


class DiskFull(Refused):
    """The data folder takes no more. Nothing was written."""


class Fault(GyrewrightError, RuntimeError):
    """The desk itself is at fault."""
