"""A phone as the desk sees it: makes ids, counts its acts, has a clock of its own, and hands over as JSON."""

from __future__ import annotations

import base64
import json
import uuid
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from gyrewright.desk.services.walk_lists import list_of
from gyrewright.inspection.lists import items_for


def new_id() -> str:
    return str(uuid.uuid4())


@dataclass
class Phone:
    """A phone with its own clock, `ahead` of the desk's; `acts` is everything that it ever made, in order."""

    person: str
    ahead: timedelta = timedelta(0)
    device: str = field(default_factory=new_id)
    acts: list[dict[str, Any]] = field(default_factory=list)

    def act(self, kind: str, at: datetime, *, about: str, walk: str = "", **more: Any) -> dict[str, Any]:
        """Make an act at a moment of the true time."""
        body = {key: value for key, value in more.items() if key not in ("photos", "id")}
        made = {
            "id": more.get("id") or new_id(),
            "kind": kind,
            "about": about,
            "walk": walk,
            "at": (at + self.ahead).isoformat(timespec="milliseconds"),
            "n": len(self.acts) + 1,
            "person": self.person,
            "body": body,
            "photos": [{"id": new_id(), "jpeg": base64.b64encode(each).decode()} for each in more.get("photos", ())],
        }
        self.acts.append(made)
        return made

    def sent(self, now: datetime, *acts: dict[str, Any], open_walks: Any = (), **more: Any) -> bytes:
        """Return what goes to the desk: these acts, or all of them."""
        table = {
            "form": 1,
            "device": self.device,
            "earlier": "",
            "now": (now + self.ahead).isoformat(timespec="milliseconds"),
            "waiting": 0,
            "open": [{"about": about, "walk": walk} for about, walk in open_walks],
            "items": list(acts or self.acts),
        }
        return json.dumps(table | more).encode()


@dataclass
class Walker:
    """Somebody who walks an aircraft with a phone; each answer takes ten seconds of the true time."""

    phone: Phone
    aircraft: str
    at: datetime
    event: str = "first of the day"
    walk: str = field(default_factory=new_id)
    list: Any = None
    asked: Any = ()

    def begin(self, equipment: Any, **more: Any) -> Walker:
        self.list = self.list or list_of(self.aircraft, "walk-round", self.at)
        also = more.get("also", ())
        self.asked = items_for(self.list, event=self.event, equipment=frozenset(equipment), also=also)
        body = {
            "event": self.event,
            "list": self.list.id,
            "revision": self.list.revision,
            "fingerprint": self.list.fingerprint,
            "asked": [item.id for item in self.asked],
        }
        self._act("walk-begun", **body, **more)
        return self

    def _act(self, kind: str, **body: Any) -> dict[str, Any]:
        made = self.phone.act(kind, self.at, about=self.aircraft, walk=self.walk, **body)
        self.at += timedelta(seconds=10)
        return made

    def answer(self, item: str, answer: str = "as it should be", **more: Any) -> dict[str, Any]:
        asked = {each.id: each for each in self.asked}.get(item)
        own = (
            {"stand": asked.stand, "zone": asked.zone, "class_": asked.grade, "restores": bool(asked.of)}
            if asked
            else {}
        )
        return self._act("walk-answer", item=item, answer=answer, **own, **more)

    def answer_all(self, **but: Any) -> Walker:
        """Answer every item; `but` names answers for some."""
        for item in self.asked:
            given = but.get(item.id, "as it should be")
            self.answer(item.id, **given) if isinstance(given, dict) else self.answer(item.id, given)
        return self

    def interrupted(self, *on: str, restarted: str, minutes: float = 0.0, **more: Any) -> dict[str, Any]:
        begins = self.at + self.phone.ahead
        self.at += timedelta(minutes=minutes)
        ends = self.at + self.phone.ahead
        times = {"from": begins.isoformat(), "to": ends.isoformat()}
        return self._act("walk-break", on=list(on), restarted=restarted, **times, **more)

    def sign(self, signer: str = "") -> dict[str, Any]:
        return self._act("walk-signed", signer=signer or self.phone.person)
