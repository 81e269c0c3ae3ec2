"""What a database holds after a fault: worked out from the file itself, without Django."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import pytest

from tests.web.prepared import clean_environment
from ullage.web.upkeep.copies.chains import Looked, look_through
from ullage.web.upkeep.copies.sqlite import SqliteReading

__all__ = ["ROOT", "Found", "clean_environment", "look", "needs_strace", "tell", "writer"]

ROOT = Path(__file__).parents[3]


@dataclass(frozen=True, slots=True)
class Found:
    """The entries that stand, by id, with their order; and every chain worked out again."""

    entries: dict[str, int]
    looked: Looked


def look(path: Path) -> Found:
    """Open a database as the next start would, with its log if there is one."""
    with closing(sqlite3.connect(path)) as opened:
        reading = SqliteReading(opened)
        looked = look_through(reading.ask, reading.tables())
        rows = reading.ask("SELECT code, \"order\" FROM cases_line WHERE kind = 'entry'")
        return Found({str(UUID(code)): order for code, order in rows}, looked)


def writer(*words: str) -> list[str]:
    """The command of a process of `writer`."""
    return [sys.executable, "-m", "tests.web.durability.writer", *words]


def tell(figure: str) -> None:
    """What was measured, for whoever runs it with -s."""
    sys.stdout.write(f"\n{figure}\n")


def _no_strace() -> str:
    """Why programs cannot be watched here; nothing where they can."""
    if sys.platform != "linux":
        return "strace is a program of Linux"
    if shutil.which("strace") is None:
        return "strace is not on this computer"
    tried = ["strace", "-qq", "-o", os.devnull, "-e", "trace=fdatasync", "true"]
    done = subprocess.run(tried, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else f"watching is refused here: {done.stderr.strip()[:80]}"


_WHY = _no_strace()
needs_strace = pytest.mark.skipif(bool(_WHY), reason=_WHY or "it can be watched")
