"""Commands beside the answer itself: what would have to change, what is due, what a rule says, pictures."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from gyrewright.cli import AGAINST, FINE, complain
from gyrewright.cli.commands import lines_of, print_data, print_lines
from gyrewright.cli.source import fetch_file
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.finding import Verdict
from gyrewright.reading import Problems
from gyrewright.release.files import opened, read_aircraft, read_fleet_of, read_question, read_upkeep
from gyrewright.release.question import Aircraft, Question


def ways_of(paths: list[str], *, over: list[str], as_data: bool) -> int:
    """Say what would have to change about a flight; for several flights, which of them could go when."""
    try:
        questions = [_question(path) for path in paths]
        fleet = read_fleet_of(Path(paths[0]).as_posix(), fetch_file)
        if len(questions) > 1:
            return _plan(questions, fleet)
        return _ways(questions[0], fleet, over, as_data)
    except GyrewrightError as error:
        return complain(lines_of(error))


def _question(path: str) -> Question:
    return read_question(Path(path).as_posix(), fetch_file, now=datetime.now(UTC))


def _ways(question: Question, fleet: list[Aircraft], over: list[str], as_data: bool) -> int:
    from gyrewright.cli.ways_page import ways_page
    from gyrewright.release.carry import numbers_to_carry
    from gyrewright.release.ways import KINDS, ways
    from gyrewright.words.tell import tell
    from gyrewright.words.ways_json import ways_as_json

    unknown = [kind for kind in over if kind not in KINDS]
    if unknown:
        raise UnknownName(f"--over {', '.join(unknown)}: no kind of change; use: {', '.join(KINDS)}")
    found = ways(question, fleet=fleet, over=over or KINDS)
    # Numbers to carry away are for a flight that passes; one that does not has none to compare.
    carries = numbers_to_carry(question) if found.asked.verdict <= Verdict.JUDGE else ()
    said = tell(found.asked)
    if as_data:
        print_data(ways_as_json(said, found, carries))
    else:
        names = {each.definition.id: f"the {each.definition.name}" for each in fleet}
        print_lines(ways_page(said, found, names, carries))
    return FINE if found.asked.verdict <= Verdict.JUDGE or found.offers else AGAINST


def _plan(questions: list[Question], fleet: list[Aircraft]) -> int:
    from gyrewright.cli.ways_page import plan_page
    from gyrewright.release.plan import plan_day

    slots = plan_day(questions, fleet)
    print_lines(plan_page(slots))
    return FINE if all(slot.question is not None for slot in slots) else AGAINST


def due(path: str, *, on: str, purpose: str, as_data: bool) -> int:
    """Say what is due next on an aircraft, on which clock, with the working."""
    from gyrewright.maintenance.due import due_lines, due_list, is_clear

    try:
        problems = Problems()
        place = Path(path).as_posix()
        definition, law = read_aircraft(opened(place, fetch_file, problems, "aircraft"))
        problems.stop_if_any()
        aircraft = read_upkeep(Aircraft(definition, law), fetch_file, problems)
        for said, name in ((aircraft.program, "program"), (aircraft.records, "records")):
            if said is None:
                raise UnknownName(f"{path}: {name}: names no file; without it nobody can say what is due")
        assert aircraft.program is not None
        assert aircraft.records is not None
        day = _day(on)
        dues = due_list(aircraft.program, aircraft.records, on=day, purpose=purpose)
    except GyrewrightError as error:
        return complain(lines_of(error))
    if as_data:
        print_data(
            {
                "schema": "gyrewright.due/1",
                "demo": definition.demo,
                "aircraft": definition.id,
                "on": day.isoformat(),
                "due": [
                    {
                        "task": each.task.id,
                        "name": each.task.name,
                        "clock": each.clock.meter or "calendar",
                        "state": each.state,
                        "due": _plain(each.binding.due) if each.binding else None,
                        "remaining": each.remaining,
                        "unit": each.unit,
                        "lacking": list(each.lacking),
                        "working": [[what, _plain(value), unit] for what, value, unit in each.working],
                    }
                    for each in dues
                ],
            }
        )
    else:
        print_lines(
            [
                *(["DEMONSTRATION: aircraft and books are invented.", ""] if definition.demo else []),
                f"{definition.name} {definition.id}, {day.isoformat()}",
                "",
                *due_lines(dues, history=aircraft.records.history, on=day),
            ]
        )
    return FINE if is_clear(dues) and all((each.remaining or 0.0) > 0.0 for each in dues) else AGAINST


def _plain(value: float | date) -> float | str:
    return value.isoformat() if isinstance(value, date) else float(value)


def _day(text: str) -> date:
    if not text:
        return datetime.now(UTC).astimezone().date()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UnknownName(f"--on {text!r} is no date; write it such as 2027-06-12") from None


def rule(id: str, *, on: str, pack: str) -> int:
    """Show one rule, or a line for each."""
    from gyrewright.rules import packaged, read_pack
    from gyrewright.rules.show import rule_lines

    try:
        print_lines(rule_lines(read_pack(packaged(pack)), id or None, _day(on)))
    except GyrewrightError as error:
        return complain(lines_of(error))
    return FINE


def picture(name: str, path: str, *, out: str) -> int:
    """Draw a picture of a flight."""
    from gyrewright.desk.pages.speech import speech_of
    from gyrewright.pictures.frame import View
    from gyrewright.pictures.registry import picture_named
    from gyrewright.release.decide import decide
    from gyrewright.words.tell import tell

    try:
        draw = picture_named(name)
        fleet = read_fleet_of(Path(path).as_posix(), fetch_file)
        answer = decide(_question(path))
        drawn = draw(answer, View(speech=speech_of(tell(answer)), fleet=tuple(fleet)))
    except GyrewrightError as error:
        return complain(lines_of(error))
    try:
        Path(out).write_text(drawn, encoding="utf-8")
    except OSError as error:
        return complain([f"{out}: cannot be written: {error.strerror}; choose another place"])
    return FINE
