"""Imports run downward only, and the core knows no clock, file, database or network: held by contract and tried."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "gyrewright"
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
CORE = next(each["source_modules"] for each in CONTRACTS if each["type"] == "forbidden")


def lint(root: Path) -> subprocess.CompletedProcess[str]:
    """Return what the contracts of a copy of the project say."""
    return subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import import_linter; import_linter()", "lint", "--no-cache"],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root / "src"), "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def copied(tmp_path_factory):
    root = tmp_path_factory.mktemp("copy")
    shutil.copy(ROOT / "pyproject.toml", root)
    shutil.copytree(SOURCE, root / "src" / "gyrewright", ignore=shutil.ignore_patterns("__pycache__", "data"))
    (root / "src" / "gyrewright" / "data").mkdir()
    return root


def test_the_contracts_hold(copied):
    found = lint(copied)
    assert found.returncode == 0, found.stdout + found.stderr
    assert f"{len(CONTRACTS)} kept, 0 broken" in found.stdout


@pytest.mark.parametrize(
    ("module", "planted"),
    [
        ("air/wind.py", "from gyrewright.release import answer"),
        ("air/wind.py", "from gyrewright.aircraft import fuel"),
        ("aircraft/fuel.py", "from gyrewright.words import tell"),
        ("release/decide.py", "from gyrewright.desk import clock"),
        ("units.py", "from gyrewright import fact"),
        ("words/tell.py", "from gyrewright.cli import page"),
        ("release/decide.py", "import django"),
        ("people/checks.py", "import sqlite3"),
        ("rules/force.py", "from urllib import request"),
        ("maintenance/clocks.py", "import time"),
    ],
)
def test_a_planted_import_breaks_a_contract(copied, module, planted):
    path = copied / "src" / "gyrewright" / module
    whole = path.read_text()
    path.write_text(f"{whole}\n{planted}\n")
    try:
        found = lint(copied)
    finally:
        path.write_text(whole)
    assert found.returncode == 1, found.stdout + found.stderr
    assert "BROKEN" in found.stdout


def test_every_module_of_the_core_is_under_the_contract():
    above = {"cli", "desk", "pictures", "words", "data"}
    found = {each.stem for each in SOURCE.iterdir() if each.is_dir() or each.suffix == ".py"}
    assert {f"gyrewright.{each}" for each in found - above - {"__init__", "__main__", "__pycache__"}} == set(CORE)


READS_WITHOUT_BEING_TOLD = {
    *("datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.monotonic"),
    *("os.environ", "os.getenv", "sys.argv", "sys.stdin"),
}
BUILT_IN = {"open", "print", "input", "exec", "eval", "__import__"}


def core_files():
    for name in CORE:
        path = SOURCE / name.removeprefix("gyrewright.")
        yield from sorted(path.rglob("*.py")) if path.is_dir() else [path.with_suffix(".py")]


@pytest.mark.parametrize("path", list(core_files()), ids=lambda path: str(path.relative_to(SOURCE)))
def test_the_core_asks_no_clock_and_opens_no_file(path):
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Attribute):
            assert ast.unparse(node) not in READS_WITHOUT_BEING_TOLD, f"line {node.lineno}: {ast.unparse(node)}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in BUILT_IN, f"line {node.lineno}: {node.func.id}"
