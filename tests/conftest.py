"""What all tests share: published numbers name their source, and on CI nothing may be skipped."""

from __future__ import annotations

import os
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

HERE = Path(__file__).parent

# Test modules are imported by path; what several of them share (kit, the scenarios' fixture) is imported by name.
sys.path.append(str(HERE))
pytest.register_assert_rewrite("kit", "scenarios.fixture")

settings.register_profile(
    "steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("steady")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse a published number without its source."""
    bare = [item.nodeid for item in items if "published" in item.path.parts and not item.get_closest_marker("source")]
    if bare:
        raise pytest.UsageError("add @pytest.mark.source(document, place): " + ", ".join(bare))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name what was skipped for lack of a part, and what the acceptance scenarios ask for and no test proves yet."""
    for report in terminalreporter.stats.get("skipped", []):
        terminalreporter.write_line(f"not run: {report.nodeid}: {report.longrepr}")
    table = tomllib.loads((HERE / "scenarios" / "coverage.toml").read_text())["line"]
    unproved = [line for line in table if "open" in line]
    terminalreporter.write_line(f"acceptance scenarios: {len(unproved)} of {len(table)} lines are open")
    for line in unproved:
        terminalreporter.write_line(f"open: {line['scenario']} {line['kind']}: {line['says']} ({line['open']})")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Count a skip as a failure on CI, which installs every part."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if os.environ.get("CI") == "true" and reporter and reporter.stats.get("skipped") and exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
