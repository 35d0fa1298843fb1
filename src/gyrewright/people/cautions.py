"""Cautions about people: by name and counted, never weighed. Every threshold is the house's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from gyrewright.check import check
from gyrewright.fact import Fact
from gyrewright.finding import Caution, Finding, Verdict
from gyrewright.people.person import Insurance, Person, as_of
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class CautionRule:
    """A house's thresholds; None is a caution that it does not use.

    Attributes:
        slept_under_h: Less sleep than this is a caution. [h]
        lessons_from: The instructor's lesson of the day from which on it is one.
        taught_over_h: More than this taught in the window is one (together with the lessons). [h]
        taught_window_h: The window. [h]
        lesson_over_days: More days than this since the student's last lesson are one.
    """

    slept_under_h: float | None = None
    lessons_from: int | None = None
    taught_over_h: float | None = None
    taught_window_h: float = 24.0
    lesson_over_days: int | None = None


def read_caution_rule(section: Section) -> CautionRule:
    """Return a house's thresholds from `slept_under`, `lessons_from`, `taught_over`, `lesson_over`."""
    slept = section.quantity("slept_under", "time", low=0.0, high=24.0)
    taught = section.quantity("taught_over", "time", low=0.0, high=24.0)
    window = section.quantity("taught_window", "time", low=1.0, high=72.0)
    since = section.quantity("lesson_over", "days", low=0.0, high=1000.0)
    made = CautionRule(
        slept_under_h=None if slept is None else slept.value,
        lessons_from=section.integer("lessons_from", low=1, high=50),
        taught_over_h=None if taught is None else taught.value,
        taught_window_h=24.0 if window is None else window.value,
        lesson_over_days=None if since is None else int(since.value),
    )
    section.finish()
    return made


def cautions(
    people: Mapping[str, Person],
    *,
    commander: str,
    instructor: str = "",
    student: str = "",
    flight_on: date,
    depart_at: datetime,
    rule: CautionRule,
) -> tuple[tuple[Caution, ...], tuple[str, ...]]:
    """Return the cautions about the crew, and the names of what nobody has said although a threshold asks for it.

    Fit with caution is one for each person who says so. Sleep is asked of whoever teaches, else of the commander.
    """
    out: list[Caution] = []
    lacking: list[str] = []
    for id in dict.fromkeys(each for each in (commander, instructor, student) if each):
        if people[id].fitness == "fit with caution":
            out.append(Caution("people.fit_with_caution", {"who": id}))
    rested = people[instructor or commander]
    if rule.slept_under_h is not None:
        if rested.slept_h is None:
            lacking.append("slept_h")
        elif rested.slept_h < rule.slept_under_h:
            out.append(Caution("people.sleep", {"who": rested.id, "slept_h": rested.slept_h}))
    if instructor:
        _teaching(people[instructor], rule, depart_at, out, lacking)
    if student and rule.lesson_over_days is not None:
        last = people[student].studies.last_lesson_on
        if last is None:
            lacking.append("last_lesson_on")
        elif (flight_on - last).days > rule.lesson_over_days:
            out.append(Caution("people.rusty", {"who": student, "days": (flight_on - last).days, "on": last}))
    return tuple(out), tuple(lacking)


def caution_fact(
    people: Mapping[str, Person],
    *,
    commander: str,
    instructor: str = "",
    student: str = "",
    flight_on: date,
    depart_at: datetime,
    asked_at: datetime | None,
    rule: CautionRule,
) -> Fact:
    """Return the fact `crew_cautions`: cautions about the crew, and what nobody has said though a threshold asks."""
    crew = {id: people[id] for id in (commander, instructor, student) if id}
    if asked_at is not None:
        crew = {id: as_of(person, asked_at) for id, person in crew.items()}
    found = cautions(
        crew,
        commander=commander,
        instructor=instructor,
        student=student,
        flight_on=flight_on,
        depart_at=depart_at,
        rule=rule,
    )
    return Fact("crew_cautions", found)


@check("people.cautions")
def cautions_known(crew_cautions: tuple[tuple[Caution, ...], tuple[str, ...]]) -> Finding:
    """Say whether everything is known that the house's cautions about people ask for."""
    found, lacking = crew_cautions
    if lacking:
        return Finding("people.cautions", Verdict.UNKNOWN, "unknown", lacking=lacking)
    return Finding("people.cautions", Verdict.GO, "go", params={"count": len(found)})


@dataclass(frozen=True, slots=True)
class Ends:
    """A paper that a flight rests on, and its last day: what it is ("medical", "review", ...), and whose."""

    what: str
    who: str
    until: date


def written_ends(people: Mapping[str, Person], *, authority: str, insurance: Insurance | None) -> tuple[Ends, ...]:
    """Return the papers whose last day is written on them: the authority that training rests on, the insurer's term.

    What only the law's clocks end, such as a review, is not here.
    """
    out = [
        Ends("authority", person.id, each.until_on)
        for person in people.values()
        for each in person.authorities or ()
        if authority and each.id == authority and each.until_on is not None
    ]
    if insurance is not None and insurance.until_on is not None:
        out.append(Ends("insurance", "", insurance.until_on))
    return tuple(out)


def papers_ending(ends: Iterable[Ends], *, flight_on: date) -> tuple[Caution, ...]:
    """Return a caution for every paper that ends in the month of the flight, on its day or later."""
    return tuple(
        Caution(
            f"people.ends.{each.what}", {"who": each.who, "until": each.until} if each.who else {"until": each.until}
        )
        for each in dict.fromkeys(ends)
        if flight_on <= each.until and each.until.replace(day=1) == flight_on.replace(day=1)
    )


def _teaching(person: Person, rule: CautionRule, depart_at: datetime, out: list[Caution], lacking: list[str]) -> None:
    """Add one caution where the day's lessons or the hours taught pass their thresholds: both together are one."""
    many = hours = False
    if rule.lessons_from is not None:
        if person.lessons_today is None:
            lacking.append("lessons_today")
        else:
            many = person.lessons_today + 1 >= rule.lessons_from
    taught_h = 0.0
    if rule.taught_over_h is not None:
        if person.taught is None:
            lacking.append("taught")
        else:
            taught_h = _taught_h(person.taught, depart_at, rule.taught_window_h)
            hours = taught_h > rule.taught_over_h
    if many or hours:
        params = {"who": person.id, "lessons": person.lessons_today, "taught_h": taught_h}
        out.append(Caution("people.long_day", params))


def _taught_h(spans: Sequence[tuple[datetime, datetime]], end: datetime, window_h: float) -> float:
    stop = end.astimezone(UTC)
    begin, hour = stop - timedelta(hours=window_h), timedelta(hours=1)
    return sum(
        max(0.0, (min(last.astimezone(UTC), stop) - max(first.astimezone(UTC), begin)) / hour) for first, last in spans
    )
