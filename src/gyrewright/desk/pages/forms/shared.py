"""Words and small fields that the forms about people share."""

from __future__ import annotations

from datetime import date

from gyrewright.desk.pages.forms.fields import Choices, Given
from gyrewright.desk.pages.forms.form import Scene
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state

GYROPLANE = "rotorcraft gyroplane"
TEACHERS = frozenset(("instructor", "named instructor", "chief instructor", "examiner"))


def words(values: tuple[str, ...]) -> Choices:
    """Return words to choose from."""
    return tuple((each, each) for each in values)


def day(given: Given, name: str) -> date:
    """Return a day that has to be said."""
    found = given.day(name)
    if found is None:
        raise Refused("say on which day")
    return found


def today(scene: Scene) -> str:
    """Return the local day as a field holds it."""
    return scene.at.astimezone(scene.zone).date().isoformat()


def iso(when: date | None) -> str:
    """Return a day as a field holds it; empty where there is none."""
    return when.isoformat() if when else ""


def said(value: bool | None) -> str:
    """Return an answer as a field holds it; empty where nobody has said."""
    return {True: "yes", False: "no", None: ""}[value]


def models(scene: Scene) -> Choices:
    """Return the makes and models of the operation's aircraft."""
    return words(tuple(sorted({each.definition.make_model for each in state.fleet(scene.at)})))


def fleet(scene: Scene) -> Choices:
    """Return the operation's aircraft."""
    return tuple((each.definition.id, f"{each.definition.name} {each.definition.id}") for each in state.fleet(scene.at))
