"""Passes for phones without the authority: each for one person, one aircraft and a short time.

A pass goes over a connection that anybody in the network can read, so it is worth little: with it a phone hands over
what it found, in the person's name. What comes that way can stop a flight and never clear one; see `handover`.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, reach
from gyrewright.desk.phones.models import Pass
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import roles_held

LASTS = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Given:
    """A pass as it is shown once: the token itself is kept nowhere."""

    token: str
    aircraft: str
    ends_at: datetime


def give_pass(*, person: str, aircraft: str) -> Given:
    """Make a pass for a person's own phone and one aircraft.

    Raises:
        Refused: Such phones may carry no walk-round here.
        UnknownName: There is no such aircraft.
    """
    if not settings.PLAIN_WALKS:
        raise Refused("this desk gives phones without the authority no walk-round (GYREWRIGHT_PLAIN_WALKS=no)")
    now = clock.now()
    state.machine(aircraft, now)
    token, ends_at = secrets.token_urlsafe(24), now + LASTS
    Pass.objects.filter(ends_at__lte=now).delete()
    Pass.objects.create(digest=_digest(token), person=person, aircraft=aircraft, made_at=now, ends_at=ends_at)
    return Given(token, aircraft, ends_at)


def pass_for(token: str) -> Pass:
    """Return a pass that holds now.

    Raises:
        NotAllowed: It has ended, was taken back, or never was; or its person may no longer walk round.
    """
    found = (
        Pass.objects.filter(digest=_digest(token), ends_at__gt=clock.now()).first() if settings.PLAIN_WALKS else None
    )
    if found is None or not settings.PLAIN_WALKS:
        raise NotAllowed("this pass has ended: nothing kept on the phone is lost; make a new pass at the laptop")
    if reach(route="walk-page", roles=roles_held(found.person, on=state.today())) is Reach.NONE:
        raise NotAllowed("whoever this pass was made for holds no role here today")
    return found


def bind(found: Pass, *, phone: str) -> None:
    """Bind a pass to the first phone that uses it.

    Raises:
        NotAllowed: It is another phone's.
    """
    if not found.phone:
        Pass.objects.filter(digest=found.digest, phone="").update(phone=phone)
        found.refresh_from_db()
    if found.phone != phone:
        raise NotAllowed("this pass is another phone's; make one for this phone at the laptop")


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
