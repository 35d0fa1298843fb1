"""What each command does, between the files on disk and the lines on the screen."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from gyrewright.cli import AGAINST, FINE, WRONG, complain
from gyrewright.cli.page import WIDTH, brief, demo_line, foot, page, working_page, wrapped
from gyrewright.cli.source import Fetch, expanded, fetch_file, fetch_packaged, flights_in, packaged_files
from gyrewright.errors import DefinitionError, GyrewrightError
from gyrewright.finding import Verdict
from gyrewright.release.decide import decide
from gyrewright.release.files import check_files, read_question
from gyrewright.words.tell import Said, tell


def decide_one(path: str, *, at: str, working: str, as_data: bool) -> int:
    """Answer one flight."""
    try:
        said = _said(path, fetch_file, at)
        if working:
            _show_working(said, working, as_data=as_data)
        elif as_data:
            _print_answer(said)
        else:
            print_lines(page(said))
    except GyrewrightError as error:
        return complain(lines_of(error))
    return FINE if said.answer.verdict is Verdict.GO else AGAINST


def _show_working(said: Said, name: str, *, as_data: bool) -> None:
    from gyrewright.words.working import workings

    several = workings(said, name)
    if not as_data:
        print_lines(working_page(said, several))
        return
    from gyrewright.words.as_json import working_as_json

    print_data(working_as_json(several))


def _print_answer(said: Said) -> None:
    from gyrewright.words.as_json import as_json

    print_data(as_json(said))


def _said(path: str, fetch: Fetch, at: str = "") -> Said:
    asked_at = _moment(at) if at else None
    return tell(decide(read_question(Path(path).as_posix(), fetch, asked_at=asked_at, now=datetime.now(UTC))))


def _moment(text: str) -> datetime:
    """Return the moment that a person typed.

    Raises:
        GyrewrightError: It is none, or has no offset from UTC.
    """
    try:
        at: datetime | None = datetime.fromisoformat(text)
    except ValueError:
        at = None
    if at is None or at.tzinfo is None:
        raise GyrewrightError(
            f"--at {text!r} is no moment; write date, time and offset, such as 2027-06-12T06:16:00-07:00"
        )
    return at


def decide_day(folder: str, *, full: str, as_data: bool) -> int:
    """Answer every flight of a folder, or of the demonstration: one in full, the others in brief."""
    if folder:
        paths, fetch = flights_in(folder), fetch_file
        if not paths:
            return complain([f"{folder}: no flights there; name a folder with flight files, or leave it out"])
    else:
        paths = [path for path, _ in packaged_files() if path.startswith("flights/")]
        fetch = fetch_packaged
    told: dict[str, Said] = {}
    problems: list[str] = []
    for path in paths:
        try:
            told[path] = _said(path, fetch)
        except GyrewrightError as error:
            problems += [line for line in lines_of(error) if line not in problems]
    chosen = _chosen(told, full)
    if full and not chosen:
        problems.append(f"no flight is called {full!r}; use one of: {', '.join(Path(path).stem for path in told)}")
    if problems:
        return complain(problems)
    if as_data:
        from gyrewright.words.as_json import as_json

        print_data([{"file": path, "answer": as_json(said)} for path, said in told.items()])
    else:
        print_lines(_day_page(told, chosen, folder))
    return FINE


def _chosen(told: dict[str, Said], full: str) -> str:
    """Return the flight to be shown in full: the one named, else the first against which something stands."""
    if full:
        return next((path for path in told if Path(full).stem == Path(path).stem), "")
    return next((path for path, said in told.items() if said.answer.verdict is Verdict.STOP), next(iter(told), ""))


def _day_page(told: dict[str, Said], chosen: str, folder: str) -> list[str]:
    lines = page(told[chosen])
    lines += ["", "=" * WIDTH, ""]
    first = told[chosen]
    voice, question = first.voice, first.answer.situation.question
    lines += demo_line(first)
    gaps = {"place": question.field.name, "count": str(len(told))}
    lines += wrapped(voice.word("page", "day", **gaps))
    for path, said in told.items():
        lines += brief(said, Path(path).stem)
    shown = chosen if folder else f"DIR/{chosen}"
    lines += [""]
    lines += wrapped(voice.word("page", "see_full", name=Path(chosen).stem))
    if not folder:
        lines += wrapped(voice.word("page", "see_files"))
    lines += wrapped(voice.word("page", "see_more", file=shown))
    lines += wrapped(voice.word("page", "see_working", file=shown))
    return [*lines, *foot(voice)]


def check(paths: list[str], *, as_data: bool) -> int:
    """Read files and say what each is, or what is wrong in them."""
    several = expanded(paths)
    if not several:
        return complain([f"{', '.join(paths)}: no files there; name TOML files, or folders that hold some"])
    try:
        lines = check_files(several, fetch_file)
    except DefinitionError as error:
        if as_data:
            problems = [{"file": each.file, "key": each.key, "text": each.text} for each in error.problems]
            print_data({"schema": "gyrewright.check/1", "files": [], "problems": problems})
        return complain(lines_of(error))
    if as_data:
        known = [dict(zip(("file", "kind"), line.rsplit(": ", 1), strict=True)) for line in lines]
        print_data({"schema": "gyrewright.check/1", "files": known, "problems": []})
    else:
        print_lines([*lines, f"{len(lines)} files read, nothing wrong found in them."])
    return FINE


def write_demo(folder: str) -> int:
    """Write the demonstration into a folder: all of it, or nothing where any of it is there already."""
    root = Path(folder)
    several = [(root / path, text) for path, text in packaged_files()]
    for path, _ in several:
        if path.exists():
            return complain([f"{path}: is there already; nothing was written, choose a folder without such files"])
    try:
        for path, text in several:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    except OSError as error:
        return complain([f"{error.filename}: cannot be written: {error.strerror}; choose another folder"])
    example = next(path for path, _ in several if path.parent.name == "flights")
    print_lines(
        [
            f"{len(several)} files of the demonstration are in {root}: people, aircraft and place are invented.",
            f"All its flights:  gyrewright today {root}",
            f"One flight:       gyrewright decide {example}",
            f"What is wrong:    gyrewright check {root}",
        ]
    )
    return FINE


def lines_of(error: GyrewrightError) -> list[str]:
    """Return an error as one line for each problem."""
    if isinstance(error, DefinitionError):
        return [str(problem) for problem in error.problems]
    return [str(error)]


def print_lines(lines: Iterable[str]) -> None:
    """Print lines; a letter that the terminal cannot show does not stop the page."""
    text = "\n".join(line.rstrip() for line in lines) + "\n"
    encoding = sys.stdout.encoding or "utf-8"
    sys.stdout.write(text.encode(encoding, "replace").decode(encoding))


def print_data(data: Any) -> None:
    """Print plain data for programs."""
    sys.stdout.write(json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False) + "\n")


__all__ = ["WRONG", "check", "decide_day", "decide_one", "write_demo"]
