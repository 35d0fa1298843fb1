"""Ask the public database of known holes about every locked package; say plainly where it was not asked.

Ends with 1 where a hole is known, with 0 where none is or nobody could be asked: the lines say which.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).parents[1]
LONGEST_S = 300


def main() -> int:
    """Run the audit in an environment of its own, which is thrown away."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder) / "bin" / "python"
        install = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "pip-audit>=2.9"]
        words = [
            python,
            "-m",
            "pip_audit",
            "-r",
            ROOT / "requirements.lock",
            "--no-deps",
            "--disable-pip",
            "-f",
            "json",
        ]
        try:
            subprocess.run(install, check=True, timeout=LONGEST_S, capture_output=True)
            ran = subprocess.run(words, check=False, timeout=LONGEST_S, capture_output=True, text=True)
            found = json.loads(ran.stdout)["dependencies"]
        except (subprocess.SubprocessError, OSError, ValueError, KeyError) as error:
            print(f"audit of the locked packages not run: {type(error).__name__}")
            return 0
    asked = [each for each in found if "skip_reason" not in each]
    holes = [(each["name"], each["version"], hole["id"]) for each in asked for hole in each["vulns"]]
    for hole in holes:
        print("known hole:", *hole)
    if len(asked) < len(found):
        print(f"audit not run for {len(found) - len(asked)} of {len(found)} locked packages: nobody answers for them")
    else:
        print(f"audit: {len(asked)} locked packages asked about, {len(holes)} known holes")
    return 1 if holes else 0


if __name__ == "__main__":
    sys.exit(main())
