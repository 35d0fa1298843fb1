"""An aircraft's books, page by page as the logs lie on the table: what the meters showed, what was last done, parts,
papers, and that nothing else is open.

The questions follow from the program: its meters, its tasks, its life parts, its papers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from gyrewright.desk.opening.ask import Ask, Page, Rows
from gyrewright.maintenance.program import Program

NOTHING_OPEN = {
    "defect": "No defect is open that is not entered",
    "event": "No hard landing, contact or other event waits for its inspection",
    "work": "No work waits for its signature, second look or check flight",
    "marker": "No training marker is on the aircraft",
    "touch": "What happened to it between walk-rounds is entered from here on",
    "walk": "Walk-rounds are entered from here on",
    "booking": "Flights are asked for here from now on",
}
"""What may be said of lists in which nothing is entered yet: with that they are empty, and no longer unknown."""


def meters_of(program: Program | None, books: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the meters that the program counts on and those that the books know, by name."""
    counted = (clock.meter for task in (program.tasks if program else ()) for clock in task.clocks if clock.meter)
    known = (meter["name"] for meter in books.get("meter", ()))
    return tuple(dict.fromkeys((*counted, *known)))


def meters_page(names: Iterable[str]) -> Page:
    """Return the page of the meters."""
    return Page(
        "meters",
        "What the meters show",
        (
            Rows(
                "meter",
                "Each meter by its name",
                (
                    Ask("name", "Meter", hint="airframe"),
                    Ask("shows", "Shows", hint="487.3 h"),
                    Ask("at", "Read", "moment"),
                    Ask("counts", "Counts", "choice", among=("hours", "count")),
                ),
                "name",
                starts=tuple({"name": name} for name in names),
                spare=1,
            ),
        ),
        why="The newest reading of each, from the log or the machine. Hours of one meter never stand for another's.",
    )


def done_page(program: Program | None, books: Mapping[str, Any]) -> Page:
    """Return the page of what was last done: a row for every task that no part and no entry answers yet."""
    entered = {row["task"] for row in books.get("done", ())}
    open_ones = [task for task in (program.tasks if program else ()) if not task.part and task.id not in entered]
    meters = meters_of(program, books)
    return Page(
        "done",
        "What was last done",
        (
            Rows(
                "done",
                "Each task of the program, as its last signed entry says",
                (
                    Ask("task", "Task"),
                    Ask("on", "Done on", "day"),
                    *(Ask(f"at.{name}", f"{name.capitalize()} meter then", hint="396.0 h") for name in meters),
                    Ask("worker", "Done by"),
                    Ask("signed_by", "Signed by"),
                    Ask("reference", "Entry", hint="log 2, p. 41"),
                    Ask("not_applicable", "Does not apply, because", is_wide=True),
                ),
                "task",
                starts=tuple({"task": task.id} for task in open_ones),
                spare=0,
            ),
        ),
        why="An entry that nobody signed is a claim and no evidence: it stays unknown.",
    )


def parts_page(program: Program | None, books: Mapping[str, Any]) -> Page:
    """Return the page of life parts by serial number: a row for every part of the program that is not entered yet."""
    entered = {part["name"] for part in books.get("part", ())}
    tasks = [task for task in (program.tasks if program else ()) if task.part and task.part not in entered]
    return Page(
        "parts",
        "Life parts by serial number",
        (
            Rows(
                "part",
                "Each part that has a life",
                (
                    Ask("name", "Part"),
                    Ask("serial", "Serial number"),
                    Ask("number", "Part number"),
                    Ask("made_on", "Made on", "day"),
                    Ask("on", "Fitted on", "day"),
                    Ask("meter", "Its hours run with the meter", hint="rotor"),
                    Ask("meter_at", "which showed then", hint="0.0 h"),
                    Ask("own", "The part itself had then", hint="0.0 h"),
                ),
                "name",
                starts=tuple({"name": name} for name in dict.fromkeys(task.part for task in tasks)),
                spare=0,
            ),
        ),
        why="From the parts' own cards or the log: a part takes its hours along when it moves.",
    )


def papers_page(program: Program | None, books: Mapping[str, Any]) -> Page:
    """Return the page of papers: a row for every one that the program names and nobody entered yet."""
    entered = {row["name"] for row in books.get("paper", ())}
    names = [name for name in (program.papers if program else ()) if name not in entered]
    return Page(
        "papers",
        "Papers",
        (
            Rows(
                "paper",
                "Each paper that must be there",
                (
                    Ask("name", "Paper"),
                    Ask("expires_on", "Last day", "day"),
                    Ask("never_expires", "Has no last day", "yes"),
                    Ask("aboard", "Is it aboard?", "yes"),
                    Ask("reference", "Number or date", hint="for the weighing: its date"),
                ),
                "name",
                starts=tuple({"name": name} for name in names),
                spare=1,
            ),
        ),
        why="Look at each. A paper that nobody has looked at is not there.",
    )


def open_page(program: Program | None, books: Mapping[str, Any]) -> Page:
    """Return the page that closes the books: directives read, shares, and that nothing else is open."""
    clocks = [clock for task in (program.tasks if program else ()) for clock in task.clocks]
    shares = tuple(dict.fromkeys(clock.share for clock in clocks if clock.share))
    return Page(
        "open",
        "Nothing else open",
        (
            Ask("directives_read_on", "The lists of directives and notices were last read on", "day"),
            *(Ask(f"shares.{name}", f"Share of {name}", hint="8 %") for name in shares),
            *(Ask(f"nothing.{name}", words, "yes") for name, words in NOTHING_OPEN.items() if name not in books),
        ),
        why="Say yes only to what you have looked for in the log. What is open goes to the page of defects first.",
        answers=frozenset(("directives_read_on", "shares", *NOTHING_OPEN)),
    )


def pages_of(program: Program | None, books: Mapping[str, Any]) -> tuple[Page, ...]:
    """Return the pages of an aircraft's books as they have to be asked now."""
    return (
        meters_page(meters_of(program, books)),
        done_page(program, books),
        parts_page(program, books),
        papers_page(program, books),
        open_page(program, books),
    )
