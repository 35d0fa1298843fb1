"""Which numbers written at the top of a module can be changed without any test noticing.

Run as a program: it collects the tests of the rooms named, changes one number at a time in the loaded module, runs the
tests whose files name that module until one fails, and prints what survived as JSON. Nothing on disk is changed.
"""

from __future__ import annotations

import ast
import importlib
import json
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

import pytest

TESTS = Path(__file__).parent.parent
PACKAGE = TESTS.parent / "src" / "gyrewright"
FLOAT_RATIO = 1.001
COEFFICIENT_NT = 1.0
SLOWEST_S = 5


@dataclass
class Number:
    """A number at the top of a module: where it stands, and the statements that must be worked out again with it."""

    module: str
    line: int
    text: str
    statements: list[ast.stmt]


def modules_of(rooms: list[str]) -> list[str]:
    """Return the names of the modules of some rooms."""
    paths = [path for room in rooms for path in sorted((PACKAGE / room).rglob("*.py")) if path.stem != "__init__"]
    return [".".join(("gyrewright", *path.relative_to(PACKAGE).with_suffix("").parts)) for path in paths]


def path_of(module: str) -> Path:
    """Return where the source of a module lies."""
    return PACKAGE.parent.joinpath(*module.split(".")).with_suffix(".py")


def is_number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, (int, float)) and not isinstance(node.value, bool)


def assigned(statement: ast.stmt) -> tuple[list[str], ast.expr | None]:
    """Return the names that a statement gives a value, and the value."""
    if isinstance(statement, ast.Assign):
        targets = statement.targets
    elif isinstance(statement, ast.AnnAssign) and statement.value is not None:
        targets = [statement.target]
    else:
        return [], None
    names = [node.id for target in targets for node in ast.walk(target) if isinstance(node, ast.Name)]
    return names, statement.value


def changed(value: float) -> float:
    if isinstance(value, int) or value == 0.0:
        return value + 1
    return value * FLOAT_RATIO


def numbers_of(module: str) -> Iterator[Number]:
    """Yield every number at the top of a module, each with the statements in which it is another one."""
    body = ast.parse(path_of(module).read_text()).body
    for place, statement in enumerate(body):
        names, value = assigned(statement)
        for number, node in enumerate(each for each in ast.walk(value) if is_number(each)) if value else ():
            spoiled = deepcopy(statement)
            _, inner = assigned(spoiled)
            assert inner is not None
            other = [each for each in ast.walk(inner) if is_number(each)][number]
            assert isinstance(other, ast.Constant)
            other.value = changed(other.value)
            again, moved = [spoiled], set(names)
            for later in body[place + 1 :]:
                targets, expression = assigned(later)
                used = {each.id for each in ast.walk(expression) if isinstance(each, ast.Name)} if expression else set()
                if used & moved:
                    again.append(later)
                    moved.update(targets)
            yield Number(module, node.lineno, f"{', '.join(names)}: {ast.unparse(node)}", again)


@contextmanager
def in_place(module: ModuleType, statements: list[ast.stmt]) -> Iterator[None]:
    """Work statements out again in a loaded module, and put everything back afterwards."""
    names = {name for each in statements for name in assigned(each)[0]}
    before = {name: vars(module)[name] for name in names}
    functions = [(function, function.__defaults__, function.__kwdefaults__) for function in plain_functions(module)]
    code = compile(ast.fix_missing_locations(ast.Module(list(statements), [])), str(module.__file__), "exec")
    forget()
    try:
        exec(code, vars(module))
        for function, defaults, by_name in functions:
            # What a parameter is when nobody gives it was worked out when the function was made.
            moved = [(old, vars(module)[name]) for name, old in before.items() if isinstance(old, (int, float))]
            function.__defaults__ = defaults and tuple(replaced(each, moved) for each in defaults)
            function.__kwdefaults__ = by_name and {name: replaced(each, moved) for name, each in by_name.items()}
        yield
    finally:
        for function, defaults, by_name in functions:
            function.__defaults__, function.__kwdefaults__ = defaults, by_name
        vars(module).update(before)
        forget()


def plain_functions(module: ModuleType) -> list[FunctionType]:
    """Return the functions that a module defines."""
    return [each for each in vars(module).values() if isinstance(each, FunctionType)]


def replaced(value: Any, moved: list[tuple[Any, Any]]) -> Any:
    """Return the new value where a value is one of those that moved."""
    return next((new for old, new in moved if value is old), value)


def forget() -> None:
    """Empty every cache of the package, so that nothing is remembered from other numbers."""
    for name, module in list(sys.modules.items()):
        if name.startswith("gyrewright"):
            for value in list(vars(module).values()):
                clear = getattr(value, "cache_clear", None)
                if clear is not None:
                    clear()


def imported(path: Path) -> set[str]:
    """Return the modules that a test file names in its imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found.update(f"{node.module}.{each.name}" for each in node.names)
        elif isinstance(node, ast.Import):
            found.update(each.name for each in node.names)
    return found


class TooSlow(BaseException):
    """A test ran for much longer than before: it noticed."""


def notices(item: Any) -> bool:
    """Whether a collected test fails now."""

    def stop(*_: object) -> None:
        raise TooSlow

    signal.signal(signal.SIGALRM, stop)
    signal.alarm(SLOWEST_S)
    try:
        item.obj(**(item.callspec.params if hasattr(item, "callspec") else {}))
    except KeyboardInterrupt:
        raise
    except pytest.skip.Exception:
        return False
    except BaseException:
        return True
    finally:
        signal.alarm(0)
    return False


class Loop:
    """Takes the place of the run of tests: the tests are collected as ever, and run as often as it takes."""

    def __init__(self, rooms: list[str]) -> None:
        self.rooms = rooms
        self.survivors: list[str] = []
        self.count = 0

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        plain = [item for item in session.items if self.is_plain(item)]
        named = {path: imported(path) for path in {item.path for item in plain}}
        seconds: dict[Any, float] = {}
        for module in modules_of(self.rooms):
            numbers = list(numbers_of(module))
            if not numbers:
                continue
            package = module.rpartition(".")[0]
            wanted = {module, package} if package.count(".") > 1 else {module}
            items = [item for item in plain if named[item.path] & wanted]
            for item in items:
                if item not in seconds:
                    begun = time.perf_counter()
                    assert not notices(item), f"{item.nodeid} fails before anything is changed"
                    seconds[item] = time.perf_counter() - begun
            items.sort(key=seconds.__getitem__)
            for number in numbers:
                self.count += 1
                killer = self.killer(importlib.import_module(module), number, items)
                if killer is None:
                    self.survivors.append(f"{number.module}:{number.line}: {number.text} ({len(items)} tests name it)")
                else:
                    items.remove(killer)
                    items.insert(0, killer)
        return True

    @staticmethod
    def is_plain(item: Any) -> bool:
        """Whether a test needs nothing but its parameters."""
        params = set(item.callspec.params) if hasattr(item, "callspec") else set()
        return isinstance(item, pytest.Function) and set(item.fixturenames) <= params

    @staticmethod
    def killer(module: ModuleType, number: Number, items: list[Any]) -> Any:
        try:
            with in_place(module, number.statements):
                return next((item for item in items if notices(item)), None)
        except Exception:  # the module cannot even be loaded with that number: everything notices
            return items[0] if items else None


class Coefficients(Loop):
    """Changes the coefficients of the shipped magnetic models one by one, instead of constants.

    The tests that read a model when they are loaded are given the changed one, and so are those that read the file.
    """

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        magnetism = importlib.import_module("gyrewright.air.magnetism")
        plain = [item for item in session.items if self.is_plain(item)]
        items = [item for item in plain if magnetism.__name__ in imported(item.path)]
        for file in magnetism._SHIPPED:
            text = (PACKAGE / "data" / "wmm" / file).read_text()
            name = magnetism.load_model(text).name
            models = {item.module: item.module.MODEL for item in items if getattr(item.module, "MODEL", 0)}
            models = {module: model for module, model in models.items() if model.name == name}
            readers = {item.module: item.module.text_of for item in items if hasattr(item.module, "text_of")}
            using = [item for item in items if item.module in models or item.module in readers]
            for spoiled, told in spoiled_lines(text):
                self.count += 1
                for module in models:
                    module.MODEL = magnetism.load_model(spoiled)
                for module, read in readers.items():
                    module.text_of = lambda asked, read=read, spoiled=spoiled, file=file: (
                        spoiled if asked == file else read(asked)
                    )
                killer = next((item for item in using if notices(item)), None)
                if killer is None:
                    self.survivors.append(f"{file}: {told}")
                else:
                    using.remove(killer)
                    using.insert(0, killer)
            for module, model in models.items():
                module.MODEL = model
            for module, read in readers.items():
                module.text_of = read
        return True


def spoiled_lines(text: str) -> Iterator[tuple[str, str]]:
    """Yield a coefficient file with one number changed, for each that bears on the field, and which it is."""
    lines = text.splitlines()
    for number, line in enumerate(lines):
        words = line.split()
        if len(words) != 6 or not words[0].isdigit():
            continue
        for place in range(2, 6):
            if words[1] == "0" and place in (3, 5):
                continue  # a sine of order zero is nothing, whatever it is multiplied by
            other = [*words[:place], str(float(words[place]) + COEFFICIENT_NT), *words[place + 1 :]]
            yield "\n".join([*lines[:number], " ".join(other), *lines[number + 1 :]]), f"{line.strip()}: {place + 1}"


def main(rooms: list[str], show: Callable[[str], object] = print) -> None:
    """Print the count of numbers and the survivors, as JSON."""
    loop = Coefficients(rooms) if rooms == ["coefficients"] else Loop(rooms)
    folders = [str(TESTS / each) for each in (*(rooms if rooms != ["coefficients"] else ["air"]), "published")]
    code = pytest.main(["-q", "-p", "no:cacheprovider", *folders], plugins=[loop])
    assert code in (0, 5), code
    show(json.dumps({"numbers": loop.count, "survivors": loop.survivors}))


if __name__ == "__main__":
    main(sys.argv[1:])
