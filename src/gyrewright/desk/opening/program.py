"""The maintenance program as its manual prints it: papers, what each event asks for, the tasks with their clocks."""

from __future__ import annotations

from gyrewright.desk.opening.ask import Ask, Page, Rows
from gyrewright.maintenance.program import COUNTS_AS, KINDS, SINCE

EVENTS = (
    "hard landing",
    "rotor contact",
    "propeller contact",
    "rotor overspeed",
    "engine overspeed",
    "engine overheated",
    "oil pressure lost",
    "coolant lost",
    "bird strike",
    "gust or low g",
    "lightning",
    "new vibration",
)
"""What may happen to a gyroplane that asks for an inspection."""

HEAD = Page(
    "program",
    "The program's papers and inspections",
    (
        Ask("title", "Title of the maintenance manual"),
        Ask(
            "papers",
            "Papers that must be there",
            "words",
            "airworthiness certificate, registration, flight manual, weight and balance, insurance",
            is_wide=True,
        ),
        *(Ask(f"inspection_after.{event}", f"After {event}", hint=f"{event} inspection") for event in EVENTS),
    ),
    answers=frozenset(("title", "papers", "inspection_after")),
)


def _clock(number: int, called: str) -> tuple[Ask, ...]:
    key = f"clock.{number}"
    return (
        Ask(f"{key}.every", f"{called}, every", hint="100 h or 12 months" if not number else "empty: none"),
        Ask(f"{key}.first", "or only the first time, at", hint="25 h"),
        Ask(f"{key}.meter", "Counted on", hint="airframe; empty for the calendar"),
        Ask(f"{key}.since", "Runs since", "choice", among=SINCE),
    )


TASKS = Page(
    "tasks",
    "What is due, and when",
    (
        Rows(
            "task",
            "Inspections, life parts, directives and notices",
            (
                Ask("id", "Short name", hint="100h"),
                Ask("name", "Name", hint="100 h check"),
                Ask("kind", "Kind", "choice", among=KINDS),
                Ask("page", "Page", hint="9-5"),
                Ask("document", "Document, where it is another one", hint="14 CFR 91.409(a)"),
                *_clock(0, "Due"),
                *_clock(1, "Also due"),
                Ask("part", "For a life part: its name", hint="rotor blades"),
                Ask("areas", "Concerns", "words", "rotor"),
                Ask("satisfied_by", "Also done with", "words", "annual"),
                Ask("counts_as", "Is the law's", "choice", among=COUNTS_AS),
                Ask("printed", "For a notice: printed as", "choice", among=("mandatory", "recommended")),
            ),
            "name",
            hint="A clock with a share of leaded fuel, or with leave to fly over, is written in the text below.",
            spare=4,
        ),
    ),
    why="From the maintenance manual, and the list of directives and notices for this type and its engine.",
)
PAGES = (HEAD, TASKS)
