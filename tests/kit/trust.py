"""A browser's home that trusts an authority: what installing it on a phone does, by the store that Chromium reads."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

CALLED = "desk"


def home_that_trusts(home: Path, authority: Path) -> Path:
    """Return a home folder whose browser trusts an authority's certificate; in place of any it trusted before."""
    if shutil.which("certutil") is None:
        pytest.skip("certutil is missing; install Debian's libnss3-tools to let a browser trust the authority")
    store = home / ".pki" / "nssdb"
    if not store.exists():
        store.mkdir(parents=True)
        _certutil(store, "-N", "--empty-password")
    else:
        _certutil(store, "-D", "-n", CALLED)
    _certutil(store, "-A", "-t", "C,,", "-n", CALLED, "-i", str(authority))
    return home


def _certutil(store: Path, *words: str) -> None:
    subprocess.run(["certutil", "-d", f"sql:{store}", *words], check=True, capture_output=True, timeout=60)
