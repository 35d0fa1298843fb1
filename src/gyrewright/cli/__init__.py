"""The command line: parse, call, print. Exit 0: no reason found against; 1: any other verdict; 2: a wrong question."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable
from typing import Any, NoReturn

FINE, AGAINST, WRONG, STOPPED = 0, 1, 2, 130


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line."""

    def error(self, message: str) -> NoReturn:
        """Print one line and leave."""
        print(f"{self.prog}: {message}; try {self.prog} --help", file=sys.stderr)
        raise SystemExit(WRONG)


def main(argv: list[str] | None = None) -> int:
    """Run a command and return its exit code."""
    try:
        arguments = _parser().parse_args(argv)
        code: int = arguments.run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read the page has seen enough; what Python still holds back goes nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return AGAINST
    except KeyboardInterrupt:
        return STOPPED
    return code


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="gyrewright",
        description="May this gyroplane fly this lesson; and if not, what would have to change?",
        epilog="It releases nothing: a person does. The aircraft's own manual, the law and licensed people decide.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND", dest="command")

    one = commands.add_parser("decide", help="answer one flight, with every reason")
    one.add_argument("file", metavar="FILE", help="the flight's file")
    one.add_argument("--at", metavar="WHEN", default="", help="when it is asked, such as 2027-06-12T06:16:00-07:00")
    one.add_argument("--working", metavar="NAME", default="", help="show how a number was got: its name, or all")
    one.add_argument("--json", action="store_true", help="print it for programs")
    one.set_defaults(run=_decide)

    day = commands.add_parser("today", help="answer every flight of a folder: one in full, the others in brief")
    day.add_argument("folder", metavar="DIR", nargs="?", default="", help="left out: the demonstration day")
    day.add_argument("--full", metavar="FLIGHT", default="", help="which one in full, by its file name")
    day.add_argument("--json", action="store_true", help="print all of them for programs")
    day.set_defaults(run=_today)

    checked = commands.add_parser("check", help="read files and say what is wrong in them")
    checked.add_argument("paths", metavar="PATH", nargs="+", help="files, or folders of files")
    checked.add_argument("--json", action="store_true", help="print it for programs")
    checked.set_defaults(run=_check)

    demo = commands.add_parser("demo", help="write the demonstration as files to start from")
    demo.add_argument("folder", metavar="DIR", help="a folder without such files")
    demo.set_defaults(run=_demo)

    changes = commands.add_parser("ways", help="say what would have to change, and when the flight could go")
    changes.add_argument("files", metavar="FILE", nargs="+", help="a flight; several: which of them could go when")
    changes.add_argument(
        "--over",
        metavar="KIND",
        action="append",
        default=[],
        help="a kind of change to look at, such as fuel; may be said again",
    )
    changes.add_argument("--json", action="store_true", help="print it for programs")
    changes.set_defaults(run=_ways)

    next_due = commands.add_parser("due", help="list what is due next on an aircraft, with the working")
    next_due.add_argument("file", metavar="AIRCRAFT", help="the aircraft's file")
    next_due.add_argument("--on", metavar="DATE", default="", help="the day; left out: today")
    next_due.add_argument("--purpose", metavar="PURPOSE", default="instruction", help="what the flying is for")
    next_due.add_argument("--json", action="store_true", help="print it for programs")
    next_due.set_defaults(run=_due)

    shown = commands.add_parser("rule", help="show a rule in our words, with citation, dates and certainty")
    shown.add_argument("id", metavar="ID", nargs="?", default="", help="left out: a line for every rule")
    shown.add_argument("--on", metavar="DATE", default="", help="the day; left out: today")
    shown.add_argument("--pack", metavar="NAME", default="us", help="the rule pack")
    shown.set_defaults(run=_rule)

    drawn = commands.add_parser("picture", help="draw a picture of a flight")
    drawn.add_argument("name", metavar="NAME", help="which picture")
    drawn.add_argument("file", metavar="FILE", help="the flight's file")
    drawn.add_argument("-o", "--out", metavar="OUT.svg", required=True, help="where to write it")
    drawn.set_defaults(run=_picture)

    desk = commands.add_parser("desk", help="keep the records and answer in a browser on this machine, until Ctrl-C")
    desk.add_argument("--data", metavar="DIR", default="", help="the folder of the records")
    desk.add_argument("--port", metavar="N", type=int, help="the port on this machine")
    desk.add_argument("--demo", action="store_true", help="an invented operation with a clock of its own")
    desk.add_argument("--phones", action="store_true", help="answer phones of the local network as well")
    desk.set_defaults(run=_desk)

    walked = commands.add_parser("verify", help="walk the records' chain and say whether it is whole")
    walked.add_argument("--data", metavar="DIR", default="", help="the folder of the records")
    walked.set_defaults(run=_verify)

    opened = commands.add_parser("open", help="open an operation's own book, with its accountable manager")
    opened.add_argument("operation", metavar="OPERATION", help="what the operation is called")
    opened.add_argument("person", metavar="ID", help="the manager's id and log-in name, such as ost")
    opened.add_argument("name", metavar="NAME", help="the manager's name")
    opened.add_argument("--data", metavar="DIR", default="", help="an empty folder for the records")
    opened.set_defaults(run=_open)

    locked_out = commands.add_parser("password", help="give somebody a password for one log-in, at this laptop")
    locked_out.add_argument("name", metavar="NAME", help="the log-in name, or the id of a person who has none yet")
    locked_out.add_argument("--data", metavar="DIR", default="", help="the folder of the records")
    locked_out.set_defaults(run=_password)
    _carrying(commands)
    return parser


def _carrying(commands: Any) -> None:
    """Add the commands that carry a book, or one aircraft's part of it, out of its folder and in again."""
    out = commands.add_parser("export", help="write the whole book as plain documented files")
    out.add_argument("folder", metavar="FOLDER", help="a folder that does not exist yet")
    out.set_defaults(run=_export)

    into = commands.add_parser("import", help="take an export into an empty data folder")
    into.add_argument("folder", metavar="FOLDER", help="the folder that an export wrote")
    into.set_defaults(run=_import)

    copied = commands.add_parser("copy", help="copy the whole book, also while a desk is running on it")
    copied.add_argument("folder", metavar="FOLDER", nargs="?", default="", help="left out: copies/ in the data folder")
    copied.set_defaults(run=_copy)

    back = commands.add_parser("restore", help="put a copy into an empty data folder")
    back.add_argument("file", metavar="FILE", help="the copy")
    back.set_defaults(run=_restore)

    packed = commands.add_parser("pack", help="write one aircraft's records, with their proof, into a file")
    packed.add_argument("aircraft", metavar="AIRCRAFT", help="its id")
    packed.add_argument("file", metavar="FILE", help="a file that does not exist yet")
    packed.set_defaults(run=_pack)

    taken = commands.add_parser("take", help="take a bought aircraft's records in")
    taken.add_argument("file", metavar="FILE", help="the file that the other operation packed")
    taken.set_defaults(run=_take)

    for each in (out, into, copied, back, packed, taken):
        each.add_argument("--data", metavar="DIR", default="", help="the folder of the records")


def _decide(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import commands

    return commands.decide_one(arguments.file, at=arguments.at, working=arguments.working, as_data=arguments.json)


def _today(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import commands

    return commands.decide_day(arguments.folder, full=arguments.full, as_data=arguments.json)


def _check(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import commands

    return commands.check(arguments.paths, as_data=arguments.json)


def _demo(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import commands

    return commands.write_demo(arguments.folder)


def _ways(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import looking

    return looking.ways_of(arguments.files, over=arguments.over, as_data=arguments.json)


def _due(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import looking

    return looking.due(arguments.file, on=arguments.on, purpose=arguments.purpose, as_data=arguments.json)


def _rule(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import looking

    return looking.rule(arguments.id, on=arguments.on, pack=arguments.pack)


def _picture(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import looking

    return looking.picture(arguments.name, arguments.file, out=arguments.out)


def _desk(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import desk_commands

    return desk_commands.run(
        data=arguments.data, port=arguments.port, is_demo=arguments.demo, has_phones=arguments.phones
    )


def _verify(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import desk_commands

    return desk_commands.verify(data=arguments.data)


def _open(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import desk_commands

    return desk_commands.open_own(
        data=arguments.data, operation=arguments.operation, person=arguments.person, name=arguments.name
    )


def _password(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import desk_commands

    return desk_commands.password(data=arguments.data, name=arguments.name)


def _export(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.export(to=arguments.folder, data=arguments.data)


def _import(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.bring_in(source=arguments.folder, data=arguments.data)


def _copy(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.copy(to=arguments.folder, data=arguments.data)


def _restore(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.restore(source=arguments.file, data=arguments.data)


def _pack(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.pack(aircraft=arguments.aircraft, to=arguments.file, data=arguments.data)


def _take(arguments: argparse.Namespace) -> int:
    from gyrewright.cli import book_commands

    return book_commands.take(source=arguments.file, data=arguments.data)


def complain(lines: Iterable[Any]) -> int:
    """Print one line for each problem and return the exit code of a wrong question."""
    for line in lines:
        print(line, file=sys.stderr)
    return WRONG
