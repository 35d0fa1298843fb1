"""Who sees what: one table of routes and roles. What is not in it is refused.

`ALL` reaches every object, `OWN` only what the person did, is aboard of, owns or is about. A visitor from outside reads
between two days and changes nothing. Masses, totals and margins have a rule of their own, whatever the role.
Code, docs and the pages go by this table; the tests hold a second one, written by hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from gyrewright.desk.phones import places
from gyrewright.people.person import ROLES as PEOPLE_ROLES


class Reach(StrEnum):
    """How far a role reaches on a route."""

    NONE = "none"
    OWN = "own"
    ALL = "all"


VISITOR = "visitor"

ROLES = (*PEOPLE_ROLES, VISITOR)
"""Every role a person may hold at the desk: those of the people files, and the dated visitor who only reads."""


@dataclass(frozen=True, slots=True)
class Route:
    """One page or act: whether it changes anything, and how far each role reaches."""

    changes: bool
    reach: dict[str, Reach]
    says: str


def _reach(everyone: Reach = Reach.NONE, *, of: dict[str, Reach] | None = None) -> dict[str, Reach]:
    given = of or {}
    unknown = set(given) - set(ROLES)
    if unknown:
        raise ValueError(f"no such role: {', '.join(sorted(unknown))}")
    return {role: given.get(role, everyone) for role in ROLES}


_MANAGER = {"manager": Reach.ALL}
_TEACHES = dict.fromkeys(("instructor", "named instructor", "chief instructor"), Reach.ALL)
_MAINTAINS = dict.fromkeys(("maintainer", "inspector"), Reach.ALL)


def _own_only() -> dict[str, Reach]:
    return dict.fromkeys(PEOPLE_ROLES, Reach.OWN)


def _own_or_all() -> dict[str, Reach]:
    return _own_only() | _MANAGER | _TEACHES


OPEN = {
    "door": "the log-in page",
    "demo-door": "comes in as a person of the demonstration; refused on an operation's own data",
    "walk-worker": "the script by which a phone opens its walk-round page with no network; it holds nothing of anybody",
    "walk-later": "the later part of that page's script; it holds nothing of anybody",
    "front": "sends on to the first page or to the door",
    "plain": "what a phone without the authority is told, and how it comes by it",
    "authority-file": "the certificate of the authority for phones; never its key",
    "plain-walk": "a walk-round by a pass, in plain http alone; nothing in it is about anybody",
    "plain-token": "whether a pass still holds",
    "plain-background": "what goes wrong at each item, for that page",
    "plain-hand-over": "takes in what a phone with a pass has kept; it can stop a flight and never clear one",
}
"""Routes that need no log-in."""

HERE_ONLY = frozenset(
    (
        "demo-door",
        "phones",
        "phones-nothing-open",
        "phones-looked",
        "phones-asked",
        "phones-forget",
        "phones-pass",
    )
)
"""Routes of this machine alone: no listener for phones answers them."""

PLAIN = frozenset(
    (
        "front",
        "plain",
        "authority-file",
        "walk-later",
        "plain-walk",
        "plain-token",
        "plain-background",
        "plain-hand-over",
    )
)
"""The only routes in plain http: what anybody in the network may read, and what a pass opens."""

IN_JSON = frozenset(("walk-token", "walk-hand-over", "plain-token", "plain-background", "plain-hand-over"))
"""Routes that a phone's script asks: refusals are JSON, and whoever is not logged in is told so and not sent away."""

EVERYONE = {
    "out": "ends one's own session",
    "own-password": "changes one's own password",
    "own-reading": "chooses in which words and units one reads",
    "own-pin": "gives oneself a PIN, to sign with on somebody else's phone",
}
"""Routes for anybody who is logged in, even without a role: they touch nobody else."""

_SEES = _MANAGER | _TEACHES | _MAINTAINS | {VISITOR: Reach.ALL}
_WORKS = dict.fromkeys((role for role in PEOPLE_ROLES), Reach.ALL)
_READS = _WORKS | {VISITOR: Reach.ALL}
"""What everybody here may look at: who flies an aircraft has to know what holds for it and what is open on it."""

ROUTES = {
    "today": Route(False, _reach(Reach.OWN, of=_SEES), "the day: flights, aircraft, what is due, kept safe"),
    "flight-next": Route(False, _reach(Reach.OWN, of=_SEES), "sends on to the next flight"),
    "flight": Route(False, _reach(Reach.OWN, of=_SEES), "a flight with its answer; masses have a rule of their own"),
    "flight-ways": Route(False, _reach(Reach.OWN, of=_SEES), "what would make a flight pass"),
    "flight-working": Route(False, _reach(Reach.OWN, of=_SEES), "how a number of the answer was got"),
    "flight-picture": Route(False, _reach(Reach.OWN, of=_SEES), "a picture of a flight"),
    "flight-load-sheet": Route(
        False, _reach(Reach.OWN, of=_SEES), "a load sheet to print, for those aboard and whoever releases"
    ),
    "flight-card": Route(False, _reach(Reach.OWN, of=_SEES), "the card from start to take-off, to print"),
    "flight-ask": Route(True, _reach(of=_WORKS), "asks for a flight"),
    "flight-change": Route(True, _reach(of=_own_or_all()), "asks for something else in a flight's place"),
    "flight-say": Route(True, _reach(of=_own_or_all()), "says what the law asks about a flight"),
    "flight-drop": Route(True, _reach(of=_own_or_all()), "says that a flight will not be made"),
    "flight-report": Route(True, _reach(of=_own_or_all() | _MAINTAINS), "gives weather, and fuel as read"),
    "flight-sign": Route(True, _reach(of=_own_or_all()), "declares for a flight, each person for themself"),
    "flight-no": Route(True, _reach(of=_own_only()), "says no to a flight of one's own"),
    "flight-no-back": Route(True, _reach(of=_own_only()), "takes one's own no back"),
    "flight-judge": Route(True, _reach(of=_own_or_all()), "judges what the answer asks this person to judge"),
    "flight-release": Route(
        True,
        _reach(of=_TEACHES | dict.fromkeys(("pilot", "examiner"), Reach.OWN)),
        "releases a flight, where the table of acts entitles the person",
    ),
    "flight-after": Route(False, _reach(Reach.OWN, of=_SEES), "a flight's numbers and what follows from them"),
    "flight-after-enter": Route(True, _reach(of=_own_or_all()), "enters or corrects the numbers of a flight"),
    "flight-after-log": Route(True, _reach(of=_own_only()), "says what one's own log of a flight shows"),
    "flight-after-answer": Route(True, _reach(of=_own_or_all()), "says why the logs of a flight differ"),
    "flight-after-settle": Route(True, _reach(of=_own_or_all()), "says whose numbers of a flight are true"),
    "question": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | _TEACHES | _MAINTAINS | {VISITOR: Reach.ALL}),
        "two truths about one thing, beside each other",
    ),
    "question-settle": Route(True, _reach(of=_own_or_all() | _MAINTAINS), "says which of two truths counts"),
    "release": Route(False, _reach(Reach.OWN, of=_SEES), "a release's sheet"),
    "release-sheet": Route(False, _reach(Reach.OWN, of=_SEES), "a release's sheet, to print"),
    "release-find": Route(False, _reach(Reach.OWN, of=_SEES), "finds the page of a sheet by its printed code"),
    "sheet-code": Route(False, _reach(Reach.OWN, of=_SEES), "the same, for a code that a camera has read"),
    "walk": Route(False, _reach(Reach.ALL), "the walk-round of each aircraft, and what phones have handed over"),
    "walk-one": Route(False, _reach(Reach.OWN, of=_SEES), "what one walk-round says; its pace beside earlier ones"),
    "walk-confirm": Route(True, _reach(of=_own_only()), "says whether a signature in one's own name is one's own"),
    "walk-settle": Route(True, _reach(of=_WORKS), "says which of two answers is true, where the table of acts lets it"),
    "walk-accept": Route(
        True, _reach(of=_own_or_all() | _MAINTAINS), "takes another's walk-round over, with spot checks"
    ),
    "walk-judge": Route(True, _reach(of=_own_or_all() | _MAINTAINS), "judges whether something small may fly"),
    "walk-odd": Route(
        True, _reach(of=_MANAGER | _TEACHES | _MAINTAINS), "says what looks odd on an aircraft and is right"
    ),
    "walk-own": Route(True, _reach(of=_MANAGER | _MAINTAINS), "takes in items from an aircraft's own manual"),
    "walk-file": Route(True, _reach(of=_WORKS), "takes in the file that a phone has saved"),
    "walk-page": Route(False, _reach(of=_WORKS), "the phone's page of an aircraft and a list"),
    "walk-background": Route(False, _reach(of=_WORKS), "what goes wrong at each item of a list"),
    "walk-odd-photo": Route(False, _reach(of=_WORKS), "the photo of what looks odd on an aircraft and is right"),
    "walk-token": Route(False, _reach(of=_WORKS), "a token for handing over"),
    "walk-paper": Route(True, _reach(of=_WORKS), "keys in a walk-round that was done on paper"),
    "walk-paper-code": Route(False, _reach(of=_WORKS), "goes there by the code on a sheet"),
    "walk-hand-over": Route(True, _reach(of=_WORKS), "takes in what a phone has kept"),
    "calendar": Route(False, _reach(of=_MANAGER | _TEACHES), "what is booked in a calendar"),
    "calendar-take": Route(True, _reach(of=_MANAGER | _TEACHES), "takes a calendar file in as bookings"),
    "calendar-day": Route(False, _reach(Reach.OWN, of=_SEES), "the day's flights as a calendar file, without names"),
    "papers": Route(False, _reach(Reach.ALL), "what can be printed for a day without power"),
    "walk-sheet": Route(False, _reach(Reach.ALL), "a walk-round list to print"),
    "blank-sheet": Route(False, _reach(Reach.ALL), "a blank form to print"),
    "records": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | {VISITOR: Reach.ALL}),
        "the list of records with the head",
    ),
    "record": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | {VISITOR: Reach.ALL}),
        "one record as it was entered, and what corrects it",
    ),
    "record-withdraw": Route(
        True, _reach(of=_own_only() | _MANAGER), "takes back what was entered by mistake; it stays readable"
    ),
    "records-verify": Route(
        True,
        _reach(Reach.ALL, of={VISITOR: Reach.NONE}),
        "walks the chain and says whether the book is whole",
    ),
    "clock-confirm": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "says that this machine's clock is right",
    ),
    "copy-make": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "makes a copy of the whole book beside it",
    ),
    "aircraft": Route(False, _reach(of=_READS), "every aircraft by its manual"),
    "aircraft-one": Route(False, _reach(of=_READS), "one aircraft: every value with its page and who checked it"),
    "aircraft-verify": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS | {"owner": Reach.ALL}),
        "types values again from the page, where the table of acts allows it",
    ),
    "aircraft-revision": Route(
        True,
        _reach(of=_MANAGER | {"inspector": Reach.ALL, "owner": Reach.ALL}),
        "adopts a new revision of the manual, where the table of acts allows it",
    ),
    "aircraft-read": Route(True, _reach(of=_WORKS), "says that one has read what a revision changed"),
    "aircraft-enter": Route(
        True,
        _reach(of=_MANAGER | _MAINTAINS | {"owner": Reach.ALL}),
        "enters a weighing or a paper, where the table of acts allows it",
    ),
    "upkeep": Route(False, _reach(of=_READS), "every aircraft with what is due next"),
    "upkeep-aircraft": Route(
        False, _reach(of=_READS), "one aircraft's upkeep: clocks, meters, parts, work, what is open"
    ),
    "upkeep-enter": Route(True, _reach(of=_WORKS), "enters an act of upkeep, where the table of acts allows it"),
    "frozen": Route(
        False,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS | {VISITOR: Reach.ALL}),
        "the copies that were set aside after an event",
    ),
    "frozen-make": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "sets a copy aside for an event that has none yet",
    ),
    "opening": Route(
        False,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "what is still unknown before a first flight",
    ),
    "opening-house": Route(True, _reach(of=_MANAGER), "enters house rules, field and insurers"),
    "opening-aircraft": Route(
        True, _reach(of=_MANAGER | _MAINTAINS), "enters an aircraft, its program and what its logs say"
    ),
    "opening-person": Route(
        True,
        _reach(of=_MANAGER | {"chief instructor": Reach.ALL}),
        "enters people: names, roles, papers and logbooks",
    ),
    "phones": Route(False, _reach(of=_own_or_all() | _MAINTAINS), "phones: which are known, what they have open"),
    "phones-nothing-open": Route(True, _reach(of=_own_only()), "says that nothing is open on one's own phone"),
    "phones-looked": Route(
        True, _reach(of=_MAINTAINS | _TEACHES), "has looked at the aircraft in a lost phone's place, where entitled"
    ),
    "phones-asked": Route(
        True,
        _reach(of=_MAINTAINS | _TEACHES),
        "says that every phone was asked after a copy came back, where entitled",
    ),
    "phones-pass": Route(True, _reach(of=_own_only()), "makes a pass for one's own phone without the authority"),
    "phones-forget": Route(True, _reach(of=_own_only() | _MANAGER), "takes a phone off the list"),
    "people": Route(False, _reach(Reach.OWN, of=_MANAGER | _TEACHES | {VISITOR: Reach.ALL}), "everybody's standing"),
    "person": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | _TEACHES | {VISITOR: Reach.ALL}),
        "one person's standing and papers; an examiner's applicants count as own",
    ),
    "person-add": Route(True, _reach(of=_MANAGER), "enters somebody new"),
    "person-enter": Route(
        True,
        _reach(of=_own_or_all() | _MAINTAINS | {"examiner": Reach.ALL}),
        "enters an act about a person, where the table of acts allows it",
    ),
    "report-begin": Route(False, _reach(of=_WORKS), "asks which aircraft a report is about"),
    "report-defect": Route(True, _reach(of=_WORKS), "reports that something on an aircraft is not right"),
    "report-event": Route(True, _reach(of=_WORKS), "reports that something happened, which locks the aircraft"),
    "defects": Route(False, _reach(of=_READS), "what stands open on every aircraft"),
    "defect": Route(False, _reach(of=_READS), "one report with every word and date since"),
    "defect-act": Route(True, _reach(of=_WORKS), "acts on a report, where the table of acts allows it"),
    "event": Route(False, _reach(of=_READS), "an event, its lock, and what takes the lock off"),
    "event-act": Route(True, _reach(of=_WORKS), "acts on an event, where the table of acts allows it"),
    "defect-tag": Route(False, _reach(of=_READS), "a tag to hang on an aircraft with an open report"),
    "event-tag": Route(False, _reach(of=_READS), "a tag to hang on an aircraft that an event has locked"),
    "exercises": Route(
        True, _reach(Reach.OWN, of=_MANAGER | _TEACHES | {VISITOR: Reach.NONE}), "walk-rounds with markers"
    ),
    "exercise": Route(False, _reach(of=_WORKS), "a walk-round with markers: places are told to whoever may know them"),
    "exercise-act": Route(
        True, _reach(of=_WORKS), "hangs, finds and counts markers, where the table of acts allows it"
    ),
    "marker-act": Route(True, _reach(of=_WORKS), "takes off or counts a marker of no exercise"),
    "teaches": Route(False, _reach(of=_MANAGER | _TEACHES | _MAINTAINS), "what walk-rounds teach, without names"),
    "teaches-decide": Route(True, _reach(of=_MANAGER | _TEACHES), "decides on a proposal about an item"),
    "photo": Route(False, _reach(Reach.OWN, of=_SEES), "a photo that a record names"),
    "accounts": Route(
        False,
        _reach(of=_MANAGER),
        "the list of accounts",
    ),
    "account-open": Route(
        True,
        _reach(of=_MANAGER),
        "lets a person log in",
    ),
    "account-password": Route(
        True,
        _reach(of=_MANAGER),
        "gives another person a new password",
    ),
    "account-close": Route(
        True,
        _reach(of=_MANAGER),
        "ends a person's log-in",
    ),
}
"""Every other route by its name in `urls`."""


def is_answered(route: str, listener: str) -> bool:
    """Return whether a listener answers a route at all, whoever asks."""
    if listener == places.HERE:
        return True
    return route in PLAIN if listener == places.PLAIN else route not in HERE_ONLY


def reach(*, route: str, roles: Collection[str]) -> Reach:
    """Return how far a person in these roles reaches on a route; a visitor never reaches a route that changes."""
    known = ROUTES.get(route)
    if known is None:
        return Reach.NONE
    found = {known.reach.get(role, Reach.NONE) for role in roles if not (known.changes and role == VISITOR)}
    if Reach.ALL in found:
        return Reach.ALL
    return Reach.OWN if Reach.OWN in found else Reach.NONE


def may(*, route: str, roles: Collection[str], is_own: bool = False) -> bool:
    """Return whether a person in these roles may use a route on an object that is or is not their own."""
    far = reach(route=route, roles=roles)
    return far is Reach.ALL or (far is Reach.OWN and is_own)


def sees_masses(*, person: str, aboard: Iterable[str], releasing: str) -> bool:
    """Return whether a person sees the masses, totals, margins and load sheet of one flight, whatever their role."""
    return bool(person) and (person in set(aboard) or person == releasing)


def as_text() -> str:
    """Return the whole table as the text of docs/who-sees-what.md."""
    words = {Reach.ALL: "all", Reach.OWN: "own", Reach.NONE: "-"}
    head = f"| Page or act | {' | '.join(ROLES)} |"
    lines = [head, "|---" * (len(ROLES) + 1) + "|"]
    for name, row in ROUTES.items():
        reaches = " | ".join(words[reach(route=name, roles=(role,))] for role in ROLES)
        lines.append(f"| `{name}`: {row.says} | {reaches} |")
    return "\n".join(lines) + "\n"


def routes_without_a_row(names: Iterable[str]) -> tuple[str, ...]:
    """Return the names of routes that this table does not know: they would be refused to everybody."""
    return tuple(sorted(set(names) - set(ROUTES) - set(OPEN) - set(EVERYONE)))
