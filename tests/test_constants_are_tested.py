"""No number of the day or the machine can be changed without a test noticing.

Each number at the top of a module of `air` or `aircraft` is changed in a loaded copy, alone, and the tests that name
its module are run until one fails. The coefficients of the magnetic models and the tables of the demonstration are
changed entry by entry.
"""

import json
import subprocess
import sys
from pathlib import Path

TESTS = Path(__file__).parent


def test_every_constant_of_the_day_and_the_machine_is_noticed_when_it_changes():
    found = subprocess.run(
        [sys.executable, str(TESTS / "kit" / "constants.py"), "air", "aircraft"],
        cwd=TESTS.parent,
        capture_output=True,
        text=True,
        timeout=170,
        check=False,
    )
    assert found.returncode == 0, found.stdout[-2000:] + found.stderr[-2000:]
    result = json.loads(found.stdout.splitlines()[-1])
    assert result["numbers"] > 100
    assert result["survivors"] == []
