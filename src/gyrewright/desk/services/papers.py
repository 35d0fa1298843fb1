"""What people enter about people: papers as seen, landings, weighings, endorsements, check-outs, authorities, minimums.

Every act is checked against the table of acts, tried on everybody as they would read with it, recorded, and ends the
releases that it changes. No medical detail has a place here: a route and its dates.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, Literal
from uuid import UUID, uuid5

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.people import person_known
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.trying import done_on, people_with
from gyrewright.people.read import in_standing

SOLO = ("solo", "solo night")


def keep(entries: Sequence[Entry], *, by: str) -> list[Kept]:
    """Try entries about people, record them, and end what rested on something else."""
    people_with(entries)
    kept = append(entries)
    supersede(by=by)
    return kept


def _one(
    act: Any,
    *,
    id: str,
    person: str,
    by: str,
    done_at: datetime | None = None,
    corrects: str = "",
    personal: Any = None,
) -> Kept:
    person_known(person)
    entry = Entry(id, act, done_at or clock.now(), by, person, corrects, personal, person)
    return keep([entry], by=by)[0]


def today() -> date:
    """Return the local day."""
    return clock.now().astimezone(state.zone()).date()


# --- who they are -----------------------------------------------------------------------------------------------------


def add_somebody(
    *, id: str, person: str, name: str, contact: str, born_on: date | None, roles: Sequence[str], by: str
) -> Kept:
    """Record a new person with the roles they may act in from today on."""
    require("add a person", person=by)
    if not name:
        raise Refused("a person needs a name; write it as others here call them")
    now = clock.now()
    personal = kinds.PersonPersonal(name=name, contact=contact, born_on=born_on)
    entries = [Entry(id, kinds.Person(), now, by, person, personal=personal)]
    entries += [Entry(_derived(id, role), kinds.RoleGiven(role, today()), now, by, person) for role in roles]
    return keep(entries, by=by)[0]


def rename(*, id: str, person: str, name: str, contact: str, born_on: date | None, by: str) -> Kept:
    """Record a person's changed name, or how they are reached. The manager's act, or one's own."""
    if by != person:
        require("add a person", person=by)
    if not name:
        raise Refused("a person needs a name; write it as others here call them")
    return _one(
        kinds.Person(),
        id=id,
        person=person,
        by=by,
        personal=kinds.PersonPersonal(name=name, contact=contact, born_on=born_on),
    )


def _derived(id: str, role: str) -> str:
    """Return the id of an act that is handed in together with another, so that both are entered once."""
    return str(uuid5(UUID(id), role))


# --- papers -----------------------------------------------------------------------------------------------------------


def enter_papers(*, id: str, person: str, act: kinds.Standing, by: str, corrects: str = "") -> Kept:
    """Record what a person's papers say, as whoever enters it has seen them."""
    require("enter a person's papers", person=by, relations={"subject": person})
    if act == kinds.Standing(from_paper=act.from_paper):
        raise Refused("nothing was written; write what the paper in hand says")
    return _one(act, id=id, person=person, by=by, corrects=corrects)


def say_complete(*, id: str, person: str, act: kinds.ListsComplete, by: str) -> Kept:
    """Record which lists of a person are complete from here on: one with nothing in it is then known to be empty."""
    require("enter a person's papers", person=by, relations={"subject": person})
    if not act.complete:
        raise Refused("say of at least one list that it is complete")
    return _one(act, id=id, person=person, by=by)


def enter_landings(*, id: str, person: str, act: kinds.Landings, by: str, corrects: str = "") -> Kept:
    """Record take-offs and landings of a day: a pilot's own, or as somebody entitled saw them in a log."""
    if by == person:
        require("enter own landings", person=by, relations={"subject": person})
    else:
        require("enter a person's papers", person=by, relations={"subject": person})
    if act.on > today():
        raise Refused(f"{act.on} is still to come; landings are entered once they are made")
    if act.take_offs == 0 and act.landings == 0:
        raise Refused("say how many take-offs and landings there were")
    return _one(act, id=id, person=person, by=by, done_at=done_on(act.on), corrects=corrects)


def weigh(
    *,
    id: str,
    person: str,
    mass: str,
    origin: Literal["weighed", "stated"],
    by: str,
    done_at: datetime | None = None,
) -> Kept:
    """Record a person's mass, dressed to fly: read from a scale by somebody else, or stated by the person."""
    if origin == "weighed":
        require("weigh a person", person=by, relations={"subject": person})
    else:
        require("state one's own mass", person=by, relations={"subject": person})
    if not mass:
        raise Refused("write the mass with its unit, such as 74 kg or 163 lb")
    personal = kinds.MassPersonal(mass=mass)
    return _one(kinds.PersonWeighed(origin), id=id, person=person, by=by, done_at=done_at, personal=personal)


# --- what others write for somebody -----------------------------------------------------------------------------------


def endorse(
    *, id: str, person: str, act: kinds.Endorsement, by: str, gave_training: bool = False, corrects: str = ""
) -> Kept:
    """Record an endorsement: written now by whoever gave the training, or copied from a signed page.

    Raises:
        NotAllowed: Nobody endorses themself, nor for training that another gave; a solo limitation is changed by its
            giver alone.
        Refused: It says not what for, rests on later training, its giver could not give it on that day, or it is
            copied without its page.
    """
    if not act.what_for:
        raise Refused("say what it is for, such as: solo")
    if act.given_on > today():
        raise Refused(f"an endorsement carries the day on which it is written; {act.given_on} is still to come")
    if act.given_by == by:
        _may_endorse(person, act, by, gave_training)
    else:
        require("copy an endorsement from paper", person=by, relations={"subject": person})
        if not act.from_paper:
            raise Refused("an endorsement by somebody else is copied from its signed page; write which log and page")
    giver = state.folk(clock.now()).people.get(act.given_by)
    if giver is None or in_standing(giver, act.given_on) is False:
        raise Refused(
            f"by the papers entered here {_name(act.given_by)} could not give an endorsement on {act.given_on}"
        )
    return _one(act, id=id, person=person, by=by, done_at=done_on(act.given_on), corrects=corrects)


def _may_endorse(person: str, act: kinds.Endorsement, by: str, gave_training: bool) -> None:
    if not gave_training:
        raise Refused("say that you gave the training it rests on: nobody endorses for another's")
    require("endorse", person=by, relations={"subject": person, "trainer": by})
    if act.given_on != today():
        raise Refused("an endorsement is written on its own day; one written earlier is copied from its page")
    if act.rests_on is None:
        raise Refused("say on which day the training was given that it rests on")


def _name(person: str) -> str:
    known = state.folk(clock.now()).people.get(person)
    return known.name if known else person or "nobody"


def check_out(*, id: str, person: str, act: kinds.Checkout, by: str, corrects: str = "") -> Kept:
    """Record that a person was checked out on a make and model, by the instructor who flew along."""
    require("check somebody out", person=by, relations={"subject": person})
    if act.checked_by != by and not act.from_paper:
        raise Refused("another instructor's check-out is copied from its page; write which log and page")
    if act.on > today():
        raise Refused(f"{act.on} is still to come")
    if not act.make_model:
        raise Refused("say for which make and model")
    return _one(act, id=id, person=person, by=by, done_at=done_on(act.on), corrects=corrects)


def hold_authority(*, id: str, person: str, act: kinds.Authority, by: str, corrects: str = "") -> Kept:
    """Record a written authority that a person holds."""
    require("hold an authority", person=by)
    if not act.what_for:
        raise Refused("say what it allows, in its own words")
    if act.until_on is not None and act.until_on < act.issued_on:
        raise Refused(f"it would end on {act.until_on} before it begins on {act.issued_on}; check the two days")
    return _one(act, id=id, person=person, by=by, corrects=corrects)


# --- one's own --------------------------------------------------------------------------------------------------------


def set_minimums(*, id: str, person: str, limits: str, by: str) -> Kept:
    """Record a person's own minimums in the place of the earlier ones; never on the day of a flight.

    Raises:
        NotAllowed: Somebody else's, or on a day on which the person is asked for.
    """
    require("change own minimums", person=by, relations={"subject": person})
    now = clock.now()
    zone, on = state.zone(), today()
    flies = [
        each
        for each in state.flights(now).values()
        if each.is_open and person in each.people and each.act.depart_at.astimezone(zone).date() == on
    ]
    if flies:
        raise NotAllowed(
            "own minimums are not changed on the day of a flight: tighten them for today, or change them tomorrow"
        )
    return _one(kinds.Minimums(limits=limits), id=id, person=person, by=by)


def tighten(*, id: str, person: str, of: str, less: str, why: str, by: str) -> Kept:
    """Record that a person's own minimum is moved to the strict side for today."""
    require("tighten own minimums for today", person=by, relations={"subject": person})
    if not why:
        raise Refused("say why, in a word or two: tired, new field, gusts forecast; no detail is asked for")
    known = state.folk(clock.now()).people[person]
    if not any(limit.of == of and limit.value is not None for limit in known.own_limits):
        raise Refused(
            f"there is no own minimum on {of or 'that'} to tighten; write one first, on a day without a flight"
        )
    act = kinds.Today(on=today(), tighten=(kinds.Tightened(of=of, by=less, why=why),))
    return _one(act, id=id, person=person, by=by)
