"""No number of the day or the machine can be changed without a test noticing.

Each number at the top of a module of `air` or `aircraft` is changed in a loaded copy, alone, and the tests that name
its module are run until one fails. So are the coefficients of the magnetic models, one by one. The tables of the
demonstration are changed entry by entry in tests/scenarios/test_demo_tables.py.
"""

import json
import subprocess
import sys
from pathlib import Path

TESTS = Path(__file__).parent


def changed(*rooms):
    """Return how many numbers were changed, and which of them nothing noticed."""
    found = subprocess.run(
        [sys.executable, str(TESTS / "kit" / "constants.py"), *rooms],
        cwd=TESTS.parent,
        capture_output=True,
        text=True,
        timeout=170,
        check=False,
    )
    assert found.returncode == 0, found.stdout[-2000:] + found.stderr[-2000:]
    return json.loads(found.stdout.splitlines()[-1])


def test_every_constant_of_the_day_and_the_machine_is_noticed_when_it_changes():
    found = changed("air", "aircraft")
    assert found["numbers"] > 100
    assert found["survivors"] == []


def test_every_coefficient_of_the_magnetic_models_is_noticed_when_it_changes():
    found = changed("coefficients")
    assert found["numbers"] == 672
    assert found["survivors"] == []
