"""What is still unknown before a first flight: asked of a sample flight, and sorted by the page that would answer it.

Nothing here is a list kept by hand: every gap is one that the answer to a real question names. Where no question can be
asked yet, what it would be asked about is the gap.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta

from django.conf import settings

from gyrewright.desk.book.kinds.flight import FlightAsked
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.record import Entry
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.opening.ask import Page
from gyrewright.desk.opening.law import OF_AIRCRAFT, OF_FIELD, OF_HOUSE, OF_SOME_AIRCRAFT
from gyrewright.desk.opening.person import PAGES as OF_PERSON
from gyrewright.desk.services import opening_books, opening_files, state
from gyrewright.desk.services.answers import Answered, answered
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.trying import as_if_recorded
from gyrewright.errors import GyrewrightError
from gyrewright.finding import Finding, Verdict, Whose
from gyrewright.people.read import DECLARATIONS
from gyrewright.release.question import Question
from gyrewright.words.gaps import WHEN_SAID, lacking_words
from gyrewright.words.tell import Said, tell

COMMANDS = ("instructor", "chief instructor", "pilot")
FITS = ("fitness", "fitness_at", "slept_h", "lessons_today")
DAY = "day"

TITLES = {**opening_files.CALLED, "books": "the books", "person": "people", DAY: "what the day itself brings"}
ORDER = ("field", "house", "aircraft", "program", "books", "person", "insurers", DAY)


@dataclass(slots=True)
class Gap:
    """A page that would answer something: what it lacks in words, and how many reasons of the answer turn on it."""

    file: str
    about: str
    page: str
    title: str
    lacks: dict[str, int] = field(default_factory=dict)
    sentences: list[str] = field(default_factory=list)
    frees: int = 0

    @property
    def words(self) -> list[str]:
        """What it lacks, what most reasons turn on first."""
        return sorted(self.lacks, key=lambda each: -self.lacks[each])


@dataclass(frozen=True, slots=True)
class Gaps:
    """Everything that is unknown: pages by file, the sample flight that was asked about, and the answer to it if any.

    Where nothing can be asked yet, `problem` says why.
    """

    pages: tuple[Gap, ...]
    asked: Asked | None = None
    found: Answered | None = None
    said: Said | None = None
    problem: str = ""

    @property
    def to_enter(self) -> tuple[Gap, ...]:
        """The pages that somebody fills before a day of flying, what frees most reasons first."""
        return tuple(gap for gap in self.pages if gap.file != DAY)

    @property
    def of_the_day(self) -> tuple[Gap, ...]:
        """What only the day of the flight can bring: weather, fuel, walk-round, declarations."""
        return tuple(gap for gap in self.pages if gap.file == DAY)

    @property
    def against(self) -> tuple[tuple[Verdict, str, str], ...]:
        """What would stop the flight or ask for a judgement as far as it is known: verdict, question, sentence."""
        told = self.said.findings if self.said else ()
        return tuple(
            (each.finding.verdict, each.question, each.sentence)
            for each in told
            if each.finding.verdict in (Verdict.STOP, Verdict.JUDGE)
        )


def is_opening() -> bool:
    """Return whether an own operation has not released its first flight yet."""
    return not settings.IS_DEMO and not Record.objects.filter(kind="release").exists()


def gaps(at: datetime, *, chosen: Mapping[str, str] | None = None) -> Gaps:
    """Return what is unknown before a first flight, asked of a sample flight with what is chosen for it.

    Args:
        at: When it is asked.
        chosen: The aircraft, commander and student to ask about, by id; what is not chosen is the first that fits.
    """
    missing = _not_there(at)
    if missing:
        return Gaps(tuple(missing))
    try:
        asked = sample(at, chosen or {})
        if asked is None:
            first = next(iter(all_people()), "")
            return Gaps((Gap("person", first, "who", "Somebody who may command: a pilot's or an instructor's role"),))
        found = answered(asked, at)
    except GyrewrightError as error:
        return Gaps((), problem=str(error))
    said = tell(found.answer)
    return Gaps(_sorted(found, said, asked), asked, found, said)


def _not_there(at: datetime) -> list[Gap]:
    out = []
    for file, page in (("field", "place"), ("house", "who")):
        if opening_files.text_now(file).record is None:
            out.append(Gap(file, "", page, opening_files.page_named(file, page).title, frees=1))
    if not state.fleet_ids():
        out.append(Gap("aircraft", "", "identity", "The first aircraft", frees=1))
    return out


def sample(at: datetime, chosen: Mapping[str, str]) -> Asked | None:
    """Return an ordinary flight of tomorrow with what is entered so far; None where nobody may command yet.

    Only what a question cannot be asked without is taken as given; what is known of it is asked like any other flight.
    """
    fleet = state.fleet_ids()
    aircraft = chosen["aircraft"] if chosen.get("aircraft") in fleet else fleet[0]
    on = at.astimezone(state.zone()).date()
    roles = {id: known.roles_on(on) for id, known in all_people().items()}
    pilots = [id for role in COMMANDS for id, held in roles.items() if role in held]
    students = [id for id, held in roles.items() if "student" in held]
    if not pilots:
        return None
    commander = chosen["commander"] if chosen.get("commander") in pilots else pilots[0]
    student = chosen.get("student", students[0] if students else "")
    student = student if student in students and student != commander else ""
    definition = state.machine(aircraft, at).aircraft.definition
    seats = [station.id for station in definition.stations if station.kind == "seat"]
    crew = [student, commander] if student and len(seats) > 1 else [commander]
    usable = next((fact for fact in definition.fuel if fact.name == "fuel_usable_l" and fact.is_known), None)
    field = state.house(at).field
    start = datetime.combine(on + timedelta(days=1), time(10), field.zone)
    act = FlightAsked(
        depart_at=start,
        block="1 h",
        purpose="instruction" if len(crew) > 1 else "private",
        commander=commander,
        instructor=commander if len(crew) > 1 else "",
        student=student if len(crew) > 1 else "",
        lesson="a first flight",
        runway=field.runways[0].name,
        runway_state="dry",
        take_offs="throughout",
        seats={seat: crew[number] if number < len(crew) else "empty" for number, seat in enumerate(seats)},
        fuel=usable.typed if usable else "",
        loads={station.id: "0 kg" for station in definition.stations if station.kind != "seat"},
        configuration=(),
        plain={"lands_elsewhere": False},
    )
    entry = Entry(new_id(), act, at, "laptop", aircraft)
    # Numbered 0: what was only tried is not kept for long.
    return Asked(entry.id, as_if_recorded([entry], after=-1)[0])


def _sorted(found: Answered, said: Said, asked: Asked) -> tuple[Gap, ...]:
    """Return the unknown reasons of an answer by the page that would answer them."""
    out: dict[tuple[str, str, str], Gap] = {}
    sheet = found.answer.situation.sheet

    def gap(file: str, about: str, page: str, title: str) -> Gap:
        return out.setdefault((file, about, page), Gap(file, about, page, title))

    for told in said.findings:
        finding = told.finding
        if finding.verdict is not Verdict.UNKNOWN:
            continue
        places = set()
        # Whoever says a thing says when: the time is a gap of its own only where the thing was said.
        alone = [
            name
            for name in finding.lacking
            if not (name.endswith(WHEN_SAID) and name.removesuffix(WHEN_SAID) in finding.lacking)
        ]
        for name in alone:
            fact = sheet.facts.get(name)
            file, about, page = _place(name, fact.where if fact else "", found.question, asked)
            one = gap(file, about, page.name if page else "", page.title if page else "")
            words = lacking_words(said.voice, name)
            one.lacks[words] = one.lacks.get(words, 0) + 1
            places.add((file, about, page.name if page else ""))
        if not finding.lacking:
            file, about, page = _by_finding(finding, found.question, asked)
            one = gap(file, about, page.name if page else "", page.title if page else "")
            one.sentences.append(told.sentence)
            places.add((file, about, page.name if page else ""))
        for place in places:
            out[place].frees += 1
    return tuple(sorted(out.values(), key=lambda each: (each.file == DAY, -each.frees, ORDER.index(each.file))))


_Place = tuple[str, str, Page | None]


def _place(name: str, where: str, question: Question, asked: Asked) -> _Place:
    """Return which page would answer a fact: by its name where the name alone tells, else by where it is missed."""
    aircraft = asked.aircraft
    if name in ("maintenance_program",):
        return "program", aircraft, opening_files.page_named("program", "program")
    if name == "walk_rules":
        return "house", "", opening_files.page_named("house", "walks")
    if name == "insurance":
        return "insurers", "", opening_files.page_named("insurers", "insurers")
    if name.startswith("limit:"):
        is_house = name.split(":")[1] == Whose.HOUSE.value
        file = "house" if is_house else "aircraft"
        return file, "" if is_house else aircraft, opening_files.page_named(file, "limits")
    if _is_word_of_the_day(name):
        return DAY, "", None
    for file, about, names in (
        ("field", "", OF_FIELD),
        ("house", "", OF_HOUSE),
        ("aircraft", aircraft, (*OF_AIRCRAFT, *OF_SOME_AIRCRAFT)),
    ):
        if name in names or name.rpartition("_")[0] in names:
            page = opening_files.page_named(file, "airspace" if file == "field" else "law")
            return file, about, page
    for table, printed in (("take_off_distance", "take-off"), ("landing_distance", "landing"), ("climb", "climb")):
        if name.startswith(table):
            # A manual that prints no such table leaves a number that nobody can work out.
            return "aircraft", aircraft, opening_files.page_named("aircraft", printed)
    if name == "flight_privileges":
        return _person(asked.act.commander, "privileges")
    place, _, key = where.partition(": ")
    for file, called in (("house", "the house rules"), ("field", "the field")):
        if place == called:
            return file, "", _page(file, key.removeprefix("house."))
    if place.startswith("the definition of "):
        return "aircraft", aircraft, _page("aircraft", key)
    if place.startswith("the program of "):
        return "program", aircraft, _page("program", key)
    if place.startswith("the books of "):
        return "books", aircraft, opening_books.page_named(aircraft, "papers" if name == "papers_held" else "open")
    if place == "People" and key.startswith("person["):
        person, _, rest = key.removeprefix("person[").partition("]")
        return _person(person, rest.lstrip(".") or name.partition("_")[2])
    return DAY, "", None


def _is_word_of_the_day(name: str) -> bool:
    bare = name.removesuffix("_at")
    return any(bare == each or bare.endswith(f"_{each}") for each in (*FITS, *DECLARATIONS))


def _page(file: str, key: str) -> Page:
    """Return the page of a file that asks for a key; the first one where none does."""
    top, _, rest = key.partition(".")
    top = f"table:{rest.partition('.')[0]}" if top == "table" else top.partition("[")[0]
    pages = opening_files.PAGES[file]
    return next((page for page in pages if top in page.tops), pages[0])


def _person(person: str, key: str) -> _Place:
    top = key.partition(".")[0].partition("[")[0]
    page = next((page for page in OF_PERSON if any(each in page.tops for each in _starts(top))), OF_PERSON[1])
    return "person", person, page


def _starts(name: str) -> tuple[str, ...]:
    """Return a name and its beginnings, longest first: `medical_route` is asked on the page of `medical`."""
    words = name.split("_")
    return tuple("_".join(words[:count]) for count in range(len(words), 0, -1))


_BOOK_PAGES = {
    "maintenance.inspection": "done",
    "maintenance.directive": "done",
    "maintenance.notice": "done",
    "maintenance.life": "parts",
    "maintenance.paper": "papers",
    "rule.us.39.7": "done",
    "rule.us.91.403.life": "parts",
}


def _by_finding(finding: Finding, question: Question, asked: Asked) -> _Place:
    """Return which page would answer a reason that names no fact: it says itself what is wrong."""
    if finding.id.startswith("maintenance.") or finding.id in _BOOK_PAGES:
        page = _BOOK_PAGES.get(finding.id, "open")
        return "books", asked.aircraft, opening_books.page_named(asked.aircraft, page)
    if finding.id == "people.insured":
        return "insurers", "", opening_files.page_named("insurers", "insurers")
    if finding.id.startswith("loading."):
        return "aircraft", asked.aircraft, opening_files.page_named("aircraft", "weighing")
    return DAY, "", None
