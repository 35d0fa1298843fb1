"""Shapes of the facts that are more than one value, as evaluators look at them.

Any object with these attributes will do: rooms that make such facts need not import this one. `Due` and `Inoperative`
are also given as plain dataclasses for whoever assembles a flight.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Protocol


class Landing(Protocol):
    """Take-offs and landings of one day in one aircraft. A flag is None where nobody has said."""

    @property
    def on(self) -> date:
        """Return the local date."""

    @property
    def aircraft_class(self) -> str:
        """Return category and class, such as "rotorcraft gyroplane"."""

    @property
    def take_offs(self) -> int:
        """Return the number of take-offs."""

    @property
    def landings(self) -> int:
        """Return the number of landings."""

    @property
    def sole(self) -> bool | None:
        """Return whether the person alone handled the controls."""

    @property
    def night(self) -> bool | None:
        """Return whether they lay in the hours that count as night for recency."""

    @property
    def full_stop(self) -> bool | None:
        """Return whether every landing ended in a full stop."""


class Endorsement(Protocol):
    """What an instructor has written for a person. An empty word or None is something that nobody has said."""

    @property
    def what_for(self) -> str:
        """Return the kind, such as "solo" or "night"."""

    @property
    def make_model(self) -> str:
        """Return the make and model it names, if any."""

    @property
    def place(self) -> str:
        """Return the airport or airspace it names, if any."""

    @property
    def given_by(self) -> str:
        """Return who gave it."""

    @property
    def given_on(self) -> date:
        """Return when it was written."""

    @property
    def rests_on(self) -> date | None:
        """Return the day of the training it rests on."""

    @property
    def for_flight_on(self) -> date | None:
        """Return the day of the one flight it is for, if it is for one."""

    @property
    def giver_in_standing(self) -> bool | None:
        """Return whether its giver could give it on that day."""


@dataclass(frozen=True, slots=True)
class Due:
    """Something that must be done by a day, by an hour, or both; with neither, nobody knows when.

    Attributes:
        name: What it is called.
        due_on: The last day on which it need not have been done.
        due_h: The hour on its own meter by which it must be done.
        now_h: That meter now.
    """

    name: str
    due_on: date | None = None
    due_h: float | None = None
    now_h: float | None = None


@dataclass(frozen=True, slots=True)
class Inoperative:
    """One item that does not work and has been deferred. None is something that nobody has said."""

    name: str
    required: bool | None = None
    removed: bool | None = None
    deactivated: bool | None = None
    placarded: bool | None = None
    entered: bool | None = None
    decided_by: str = ""
    decider_entitled: bool | None = None
