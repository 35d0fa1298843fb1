"""Items from an aircraft's own manual, put beside those of a list of the package."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import resources

from gyrewright.inspection.lists import WalkList, read_list
from gyrewright.reading import Problems, Section, section_of


def read_own(section: Section) -> WalkList | None:
    """Return the list of the package with the items of an owner's file; problems are noted in the section.

    None where the file names no list of the package.
    """
    folder = resources.files("gyrewright") / "data" / "lists"
    known = {each.name.removesuffix(".toml"): each for each in folder.iterdir() if each.name.endswith(".toml")}
    meant = section.choice("list", tuple(sorted(known)), required=True)
    if meant not in known:
        return None
    base = section_of(known[meant].read_text(encoding="utf-8"), file=known[meant].name, problems=section.problems)
    return read_list(base, section)


def with_own(lists: Iterable[WalkList], text: str, *, file: str) -> tuple[WalkList, ...]:
    """Return lists with the items of an owner's file in the one that it names.

    Args:
        lists: Lists of the package.
        text: The text of the file.
        file: What to call it in a message.

    Raises:
        DefinitionError: It does not read; lists every problem.
    """
    problems = Problems()
    section = section_of(text, file=file, problems=problems)
    found = None if problems.found else read_own(section)
    problems.stop_if_any()
    return tuple(found if found is not None and found.id == each.id else each for each in lists)
