"""Programs of their own on one database file: what two workers of a server do to each other."""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from tests.web.prepared import prepared

ROOT = Path(__file__).parents[2]
_BEGIN = "import django; django.setup()\n"


def alone(home: Path, code: str, *words: str) -> subprocess.Popen[str]:
    """Start a program with the database of a folder; it has Django ready."""
    environment = {name: one for name, one in os.environ.items() if name != "ULLAGE_DATABASE"}
    environment |= {"ULLAGE_HOME": str(home), "DJANGO_SETTINGS_MODULE": "tests.settings"}
    return subprocess.Popen(
        [sys.executable, "-c", _BEGIN + code, *words],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def said(programs: Sequence[subprocess.Popen[str]]) -> list[str]:
    """What each program printed; one that failed stops the test."""
    found = []
    for one in programs:
        out, err = one.communicate(timeout=120)
        assert one.returncode == 0, err
        found.append(out)
    return found


def furnished(home: Path, code: str) -> None:
    """A database with its tables and what the code makes in it."""
    said([alone(prepared(home), code)])
