"""Does a test notice when a check, an evaluator or a clock is made wrong on purpose?

    python -m soak.mutants [--minutes 40] [--jobs 2] [MODULE ...]

mutmut proposes the changes; two kinds are added: a verdict made milder, and a condition that is never met. mutmut
passes over decorated functions, and here every check and evaluator is one; so changes are tried in another way: the
tests are collected once, and for each change a forked process puts the changed code into the living functions and runs
the tests that pass through them, until one fails. No file is touched. Where time does not suffice for all, the changes
of verdicts go first, and then every module gets the same share of the rest tried.

Not changed: numbers outside functions, defaults of parameters and of fields, and texts in three quotes.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import gc
import mmap
import os
import pickle
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import libcst as cst
import pytest
from _pytest.runner import runtestprotocol
from mutmut.mutation import mutators
from mutmut.mutation.file_mutation import Mutation, create_mutations

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "gyrewright"

MIRRORS = {
    "release": ("release", "scenarios"),
    "rules": ("rules", "published", "release"),
    "people": ("people", "rules", "release", "scenarios"),
    "maintenance": ("maintenance", "published", "release"),
    "inspection": ("inspection", "scenarios"),
    "aircraft": ("aircraft", "published", "scenarios"),
    "air": ("air", "release", "scenarios"),
}
"""Where the tests of a room are, nearest first."""

MODULES = (
    *(f"release/{name}" for name in ("checks", "judge", "standing")),
    "rules/calendar",
    *(f"rules/evaluators/{path.stem}" for path in sorted((SOURCE / "rules" / "evaluators").glob("[a-z]*.py"))),
    *(f"people/{name}" for name in ("checks", "mass", "facts")),
    *(f"maintenance/{name}" for name in ("condition", "intervals", "documents", "clocks")),
    *(f"inspection/{name}" for name in ("answers", "holding", "leftovers", "pace")),
    "aircraft/fuel",
    "air/course",
)

PATIENCE_S = 4.0
"""For how long the tests of one change may run, by their time on unchanged code; the quickest and nearest go first."""

SLOW_S = 1.5
"""A test that takes longer is too slow to be run for every change."""

SURVIVED, KILLED, SAME, UNTESTED, UNUSABLE = 0, 1, 3, 4, 5


STRICT = ("GO_IF", "JUDGE", "UNKNOWN", "STOP")
RULINGS = ("only_if", "judged", "unknown", "stops")
MILD = "found_nothing_"


def milder_verdict(node: cst.Attribute) -> Iterator[cst.Attribute]:
    """Yield `Verdict.GO` for every other verdict named."""
    if isinstance(node.value, cst.Name) and node.value.value == "Verdict" and node.attr.value in STRICT:
        yield node.with_changes(attr=cst.Name("GO"))


def milder_ruling(node: cst.Call) -> Iterator[cst.Call]:
    """Yield a ruling without a reason against for every other ruling."""
    if isinstance(node.func, cst.Name) and node.func.value in RULINGS:
        yield cst.Call(cst.Name(MILD))


def never_met(node: cst.If) -> Iterator[cst.If]:
    """Yield the same lines under a condition that is never met."""
    yield node.with_changes(test=cst.Name("False"))


KINDS = ("verdict", "logic", "text")

OWN = [(cst.Attribute, milder_verdict), (cst.Call, milder_ruling), (cst.If, never_met)]
mutators.mutation_operators.extend(OWN)  # type: ignore[attr-defined]


@dataclass(slots=True)
class Module:
    """A module under change: its text, what is changed in it, and what came of it."""

    name: str
    text: str
    tree: cst.Module
    changes: list[Mutation]
    names: dict[cst.CSTNode, str]
    living: dict[str, list[FunctionType]] = field(default_factory=lambda: defaultdict(list))
    tests: dict[str, list[int]] = field(default_factory=dict)
    outcomes: dict[int, int] = field(default_factory=dict)

    @property
    def path(self) -> Path:
        """The file."""
        return SOURCE / f"{self.name}.py"

    def function(self, number: int) -> str:
        """Return the qualified name of the function or method that is changed."""
        node = self.changes[number].contained_by_top_level_function
        assert node is not None
        return self.names[node]

    def changed(self, number: int) -> str:
        """Return the text with one change made."""
        change = self.changes[number]
        function = change.contained_by_top_level_function
        assert function is not None
        was = self.tree.code_for_node(function)
        if self.text.count(was) == 1:  # much quicker than a new tree; a method is not found this way
            now = function.deep_replace(change.original_node, change.mutated_node)
            return self.text.replace(was, self.tree.code_for_node(now))
        made = self.tree.deep_replace(change.original_node, change.mutated_node)
        assert isinstance(made, cst.Module)
        return made.code

    def where(self, number: int) -> str:
        """Return the line that a change touches, and what it makes of it."""
        lines = difflib.unified_diff(self.text.splitlines(), self.changed(number).splitlines(), n=0, lineterm="")
        parts = [line for line in lines if not line.startswith(("---", "+++"))]
        place = parts[0].split()[1].lstrip("-").split(",")[0]
        was = " ".join(line[1:].strip() for line in parts if line.startswith("-"))
        now = " ".join(line[1:].strip() for line in parts if line.startswith("+"))
        return f"{self.name}.py:{place}\n    {was}\n  > {now}"

    def kind(self, number: int) -> str:
        """Return what kind of change it is: of a verdict or a condition as a whole, of a text alone, or of logic."""
        made = self.changes[number].mutated_node
        if isinstance(made, cst.SimpleString):
            return "text"
        verdict = isinstance(made, cst.Attribute) and isinstance(made.value, cst.Name) and made.value.value == "Verdict"
        ruling = isinstance(made, cst.Call) and isinstance(made.func, cst.Name) and made.func.value == MILD
        return "verdict" if verdict or ruling or isinstance(made, cst.If) else "logic"


def read(name: str) -> Module:
    """Return a module with all changes that mutmut proposes for its functions, of texts the first kind alone."""
    path = SOURCE / f"{name}.py"
    text = undecorated(path.read_text(encoding="utf-8"))
    tree, changes, _, _ = create_mutations(str(path), text)
    kept = [
        change
        for change in changes
        if isinstance(change.contained_by_top_level_function, cst.FunctionDef)
        and not (isinstance(change.mutated_node, cst.SimpleString) and "XX" not in change.mutated_node.value)
    ]
    return Module(name, text, tree, kept, names_of(tree))


def names_of(tree: cst.Module) -> dict[cst.CSTNode, str]:
    """Return the qualified names of a module's functions and methods."""
    out: dict[cst.CSTNode, str] = {}
    for node in tree.body:
        if isinstance(node, cst.FunctionDef):
            out[node] = node.name.value
        elif isinstance(node, cst.ClassDef):
            inner = [each for each in node.body.body if isinstance(each, cst.FunctionDef)]
            out |= {each: f"{node.name.value}.{each.name.value}" for each in inner}
    return out


def undecorated(text: str) -> str:
    """Return a module's text with the decorators of its functions and methods blanked, line by line."""
    lines = text.splitlines()
    body = ast.parse(text).body
    for node in [*body, *(inner for each in body if isinstance(each, ast.ClassDef) for inner in each.body)]:
        if isinstance(node, ast.FunctionDef) and node.decorator_list:
            for number in range(node.decorator_list[0].lineno - 1, node.lineno - 1):
                lines[number] = ""
    return "\n".join(lines) + "\n"


def codes(code: CodeType) -> Iterator[CodeType]:
    """Yield the codes inside a code, outermost first, in the order of the text."""
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from codes(inner)


def outermost(name: str) -> str:
    """Return the function or method of a module in which a code lies, by the code's qualified name."""
    return name.split(".<locals>")[0]


def put(module: Module, changed: str) -> bool:
    """Put the code of a changed module into its living functions; return whether any code differs."""
    before, after = (list(codes(compile(text, str(module.path), "exec"))) for text in (module.text, changed))
    new: dict[str, list[CodeType]] = defaultdict(list)
    for code in after:
        new[outermost(code.co_qualname)].append(code)
    different = {outermost(code.co_qualname) for code, other in zip(before, after, strict=False) if code != other} or {
        outermost(code.co_qualname) for code in (before if len(before) != len(after) else ())
    }
    if not different:
        return False
    for name in different:
        roots = {function.__code__ for function in module.living[name] if function.__code__.co_qualname == name}
        for root in roots:
            old = [root, *codes(root)]
            # Functions made by a function are exchanged too, as long as they can be told from one another.
            count = len(old) if len(old) == len(new[name]) else 1
            exchange = dict(zip(old[:count], new[name], strict=False))
            for function in module.living[name]:
                made = exchange.get(function.__code__)
                function.__globals__.setdefault(MILD, found_nothing)
                if made is not None and len(made.co_freevars) == len(function.__code__.co_freevars):
                    function.__code__ = made
    return True


def find_living(modules: Sequence[Module]) -> None:
    """Note every function of the modules that lives now, by the outermost function that it was made in."""
    by_path = {str(module.path): module for module in modules}
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and (module := by_path.get(each.__code__.co_filename)):
            module.living[outermost(each.__code__.co_qualname)].append(each)
    for module in modules:
        if not module.living:
            raise SystemExit(f"no test imports {module.path}; is the package installed from here?")


class Driver:
    """The plugin that takes the collected tests and tries the changes with them."""

    def __init__(
        self, modules: Sequence[Module], *, minutes: float, jobs: int, seed: int, kinds: Sequence[str]
    ) -> None:
        self.modules = modules
        self.minutes = minutes
        self.jobs = jobs
        self.seed = seed
        self.kinds = kinds
        self.costs: list[float] = []
        self.word = mmap.mmap(-1, 4)  # the test that noticed last, told by the forked processes

    def pytest_configure(self) -> None:
        """Let properties stop at their first failure, with a few examples: they run thousands of times."""
        from hypothesis import Phase, settings  # not before pytest has seen to its own part of it

        settings.register_profile(
            "mutants", settings(), phases=[Phase.explicit, Phase.generate], max_examples=30, database=None
        )
        settings.load_profile("mutants")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try the changes in place of running the tests."""
        if session.testsfailed:
            raise session.Interrupted("the tests cannot be collected")
        self.items = session.items
        began = time.monotonic()
        self.look()
        say(f"{len(self.items)} tests looked at in {time.monotonic() - began:.0f} s, {sum(self.costs):.0f} s of them")
        find_living(self.modules)
        self.drive()
        return True

    def pytest_internalerror(self, excrepr: object) -> None:
        """Say what went wrong in here; there is no terminal reporter that would."""
        say(str(excrepr))

    def look(self) -> None:
        """Find, in forked processes, which tests pass through which function, and what each costs."""
        size = ceil(len(self.items) / self.jobs)
        running = {}
        for first in range(0, len(self.items), size):
            told = tempfile.TemporaryFile()  # noqa: SIM115
            child = os.fork()
            if child == 0:
                try:
                    told.write(pickle.dumps(self.seen(range(first, min(first + size, len(self.items))))))
                    told.flush()
                    os._exit(0)
                finally:
                    os._exit(9)
            running[child] = told
        failed: set[int] = set()
        through: dict[tuple[str, str], list[int]] = defaultdict(list)
        self.costs = [0.0] * len(self.items)
        for child, told in running.items():
            if os.waitpid(child, 0)[1]:
                raise SystemExit("the unchanged tests did not come to their end")
            told.seek(0)
            for number, cost, passed, names in pickle.load(told):
                self.costs[number] = cost
                failed |= set() if passed else {number}
                for name in names:
                    through[name].append(number)
            told.close()
        for number in sorted(failed):
            if self.costs[number] < SLOW_S:
                say(f"fails on unchanged code, left out: {self.items[number].nodeid}")
        say(f"{sum(self.costs[number] >= SLOW_S for number in failed)} tests are too slow for this")
        for module in self.modules:
            rank = self.ranks(module.name)
            for (path, name), numbers in through.items():
                if path == str(module.path):
                    wanted = [each for each in numbers if rank[each] < 99 and each not in failed]
                    wanted.sort(key=lambda each, rank=rank: self.costs[each] * (1 + rank[each]))  # type: ignore[misc]
                    module.tests[name] = within(wanted, self.costs)

    def ranks(self, name: str) -> list[int]:
        """Return how near each test is to a module."""
        folders = MIRRORS[name.split("/")[0]]
        return [
            folders.index(folder) if (folder := item.path.relative_to(ROOT / "tests").parts[0]) in folders else 99
            for item in self.items
        ]

    def seen(self, numbers: range) -> list[tuple[int, float, bool, set[tuple[str, str]]]]:
        """Return, of some tests, the number, the cost, whether it passes, and the functions that it passes through."""
        quiet()
        signal.signal(signal.SIGPROF, too_slow)
        paths = {str(module.path) for module in self.modules}
        hit: set[CodeType] = set()

        def watch(frame: FrameType, event: str, _: Any) -> None:
            if event == "call" and frame.f_code.co_filename in paths:
                hit.add(frame.f_code)

        out = []
        for number in numbers:
            after = self.items[number + 1] if number + 1 in numbers else None
            hit.clear()
            began = time.process_time()
            signal.setitimer(signal.ITIMER_PROF, SLOW_S)
            sys.setprofile(watch)
            passed = passes(self.items[number], after)
            sys.setprofile(None)
            signal.setitimer(signal.ITIMER_PROF, 0.0)
            names = {(code.co_filename, outermost(code.co_qualname)) for code in hit}
            out.append((number, time.process_time() - began, passed, names))
        return out

    def drive(self) -> None:
        """Try changes until all are tried or the time is over."""
        ends = time.monotonic() + self.minutes * 60.0
        running: dict[int, tuple[Module, int, list[int]]] = {}
        gc.collect()
        gc.freeze()
        for module, number in self.order():
            tests = module.tests.get(module.function(number), [])
            if not tests:
                module.outcomes[number] = UNTESTED
                continue
            while len(running) >= self.jobs:
                self.reap(running)
            if time.monotonic() > ends:
                break
            child = os.fork()
            if child == 0:
                self.attempt(module, number, tests)
            running[child] = (module, number, tests)
        while running:
            self.reap(running)

    def reap(self, running: dict[int, tuple[Module, int, list[int]]]) -> None:
        """Wait for one attempt and note what came of it; one that ran away was noticed."""
        child, status = os.wait()
        module, number, tests = running.pop(child)
        module.outcomes[number] = os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else KILLED
        # The test that noticed goes first next time: it is likely to notice the next change of the same function.
        noticed = {each: at for at, each in enumerate(tests)}.get(int.from_bytes(self.word[:4], "little"))
        if module.outcomes[number] == KILLED and noticed:
            tests.insert(0, tests.pop(noticed))

    def order(self) -> Iterator[tuple[Module, int]]:
        """Yield the changes, verdicts first; at any time each module has had the same share of its own tried."""
        chance = random.Random(self.seed)
        queue = []
        for module in self.modules:
            numbers = list(range(len(module.changes)))
            chance.shuffle(numbers)
            for kind in self.kinds:
                alike = [number for number in numbers if module.kind(number) == kind]
                share = [((at + 0.5) / len(alike), number) for at, number in enumerate(alike)]
                queue += [(kind != KINDS[0], at, module.name, number, module) for at, number in share]
        for *_, number, module in sorted(queue, key=lambda each: each[:4]):
            yield module, number

    def attempt(self, module: Module, number: int, tests: list[int]) -> None:
        """Make a change and run the tests, in a forked process that ends here."""
        try:
            quiet()
            limit_s = ceil(3.0 + 10.0 * sum(self.costs[each] for each in tests) + time.process_time())
            resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 1))
            resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
            try:
                differs = put(module, module.changed(number))
            except (SyntaxError, ValueError):
                os._exit(UNUSABLE)
            if not differs:
                os._exit(SAME)
            for each, after in pairwise([*tests, None]):
                assert each is not None
                if not passes(self.items[each], None if after is None else self.items[after]):
                    self.word[:4] = each.to_bytes(4, "little")
                    os._exit(KILLED)
            os._exit(SURVIVED)
        finally:
            os._exit(KILLED)


def passes(item: pytest.Item, after: pytest.Item | None) -> bool:
    """Run one test and return whether it passes."""
    return not any(report.failed for report in runtestprotocol(item, nextitem=after, log=False))


def within(numbers: list[int], costs: list[float]) -> list[int]:
    """Return as many tests as patience allows for, and at least one."""
    out: list[int] = []
    spent = 0.0
    for each in numbers:
        if spent + costs[each] <= PATIENCE_S or not out:
            out.append(each)
            spent += costs[each]
    return out


def found_nothing() -> object:
    """Return what an evaluator returns where it finds no reason against."""
    from gyrewright.rules.registry import passes as nothing_against  # not before pytest has begun

    return nothing_against()


def too_slow(_number: int, _frame: FrameType | None) -> None:
    """End a test that takes too long to be run for every change."""
    raise TimeoutError("too slow for this")


def quiet() -> None:
    """Send what tests print to nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def report(modules: Sequence[Module]) -> None:
    """Print the survivors and the score of each module, of all its changes and by kind."""
    for module in modules:
        for number, outcome in sorted(module.outcomes.items()):
            if outcome in (SURVIVED, UNTESTED):
                fate = "survived" if outcome == SURVIVED else "untested"
                say(f"{fate} ({module.kind(number)}) {module.where(number)}")
    say(f"{'module':28}{'changes':>8}{'tried':>7}{'killed':>8}{'score':>8}" + "".join(f"{kind:>18}" for kind in KINDS))
    total: Counter[str] = Counter()
    for module in modules:
        count: Counter[str] = Counter(changes=len(module.changes))
        for number, outcome in module.outcomes.items():
            if outcome in (SAME, UNUSABLE):
                count["changes"] -= 1
                continue
            kind = module.kind(number)
            killed = outcome not in (SURVIVED, UNTESTED)
            count.update({"tried": 1, "killed": killed, kind: 1, kind + " killed": killed})
        total += count
        row(module.name, count)
    row("all", total)


def row(name: str, count: Counter[str]) -> None:
    """Print one row of the scores."""
    line = f"{name:28}{count['changes']:8}{count['tried']:7}{count['killed']:8}"
    line += f"{count['killed'] / max(count['tried'], 1):8.1%}"
    say(line + "".join(f"{count[kind + ' killed']:7} of {count[kind]:7}" for kind in KINDS))


def main() -> int:
    """Try changes and print what survived; return 0, since a survivor is a question to a person."""
    asked = argparse.ArgumentParser(prog="python -m soak.mutants")
    asked.add_argument("modules", nargs="*", metavar="MODULE", help="such as people/checks; without any, all")
    asked.add_argument("--minutes", type=float, default=40.0)
    asked.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    asked.add_argument("--kind", choices=KINDS, action="append", help="only changes of this kind; may be repeated")
    asked.add_argument("--folders", type=int, default=1, help="how many of a module's folders of tests, nearest first")
    asked.add_argument("--seed", type=int, default=1, help="which changes go first")
    given = asked.parse_args()
    unknown = [name for name in given.modules if name not in MODULES]
    if unknown:
        asked.error(f"{unknown[0]!r} is not one of {', '.join(MODULES)}")
    for room, folders in MIRRORS.items():
        MIRRORS[room] = folders[: given.folders]
    modules = [read(name) for name in given.modules or MODULES]
    wanted = dict.fromkeys(folder for module in modules for folder in MIRRORS[module.name.split("/")[0]])
    places = [str(ROOT / "tests" / folder) for folder in wanted if (ROOT / "tests" / folder).is_dir()]
    began = time.monotonic()
    driver = Driver(modules, minutes=given.minutes, jobs=given.jobs, seed=given.seed, kinds=given.kind or KINDS)
    addopts = "addopts=--strict-markers --strict-config --import-mode=importlib"
    options = ["-o", addopts, "-s", "-p", "no:cacheprovider", "-p", "no:terminal", f"--rootdir={ROOT}", *places]
    code = pytest.main(options, plugins=[driver])
    if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        return int(code)
    report(modules)
    tried = sum(len(module.outcomes) for module in modules)
    say(f"{tried} of {sum(len(module.changes) for module in modules)} changes in {time.monotonic() - began:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
