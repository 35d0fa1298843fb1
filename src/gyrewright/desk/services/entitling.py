"""Whether a person may do an act, by the table of acts, in the roles they hold today for an aircraft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gyrewright.desk import clock
from gyrewright.desk.access import ROUTES
from gyrewright.desk.access import may as reaches
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import state
from gyrewright.desk.services.people import aircraft_of, person_known, roles_held
from gyrewright.people.roles import May, may, packaged_roles

NOBODY = ""
"""Stands for a relation in which nobody is."""


def allowed(act: str, *, person: str, aircraft: str = "", relations: Mapping[str, str] | None = None) -> May:
    """Return whether a person may do an act now.

    An owner's role counts for their own aircraft alone, and a role given for named aircraft for those.
    """
    now = clock.now()
    known = state.folk(now).people.get(person)
    if known is None:
        return May(False, "role")
    if aircraft:
        on = now.astimezone(state.zone()).date()
        held = [each for each in person_known(person).roles if each.holds(on)]
        here = {each.role for each in held if not each.aircraft or aircraft in each.aircraft}
        if aircraft not in aircraft_of(person, on=on):
            here.discard("owner")
        known = replace(known, roles=known.roles & frozenset(here))
    return may(known, act, relations=relations or {})


def require(act: str, *, person: str, aircraft: str = "", relations: Mapping[str, str] | None = None) -> None:
    """Let an act pass that a person may do.

    Raises:
        NotAllowed: The table of acts says no, or hangs on something that nobody has said.
    """
    found = allowed(act, person=person, aircraft=aircraft, relations=relations)
    if not found.allowed:
        raise NotAllowed(why_not(act, found))


def require_reach(route: str, *, person: str, is_own: bool) -> None:
    """Let an act pass that the table of who sees and does what lets this person do, on their own thing or another's.

    The pages go by the same table; here it holds for whatever calls the act.

    Raises:
        NotAllowed: It does not.
    """
    on = clock.now().astimezone(state.zone()).date()
    if not reaches(route=route, roles=roles_held(person, on=on), is_own=is_own):
        raise NotAllowed(f"{person} {ROUTES[route].says} in none of the roles they hold today; ask the manager")


def why_not(act: str, found: May) -> str:
    """Return in a clause who may do an act, for somebody who may not."""
    row = packaged_roles()[act]
    if found.why == "role":
        roles = sorted(row.roles)
        *most, last = roles
        who = f"{', '.join(most)} or {last}" if most else last
        return f"to {act} is for: {who}; {row.why}"
    if found.why == "own":
        return f"nobody may {act} where they are its {found.relation}: {row.why}"
    return f"{row.why}; that is asked for to {act}"
