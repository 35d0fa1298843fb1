"""Through which phone an act came in, by whose clock, and what tells it from another act under the same id."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Handed:
    """How an act reached the desk.

    Attributes:
        device: The phone, by the id it gave itself.
        phone_at: When the act was done, by the phone's own clock and as it stood.
        skew_s: How far the phone's clock was ahead of the desk's at the exchange; 0 within a minute. [s]
        sent: Digest of what the phone sent: the same id with another digest is another content.
    """

    device: str
    phone_at: datetime
    skew_s: int = 0
    sent: str = ""
