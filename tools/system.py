"""Install the system packages that the tests need, or say plainly what is missing."""

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

__all__ = ["main", "missing"]

#: Program -> Debian package that brings it.
PROGRAMS = {
    "chromium": "chromium",
    "pdftotext": "poppler-utils",
    "pdftoppm": "poppler-utils",
    "initdb": "postgresql",
    "certutil": "libnss3-tools",
    "strace": "strace",
}


def _found(program: str) -> bool:
    """Say whether a program is on the path or where Debian keeps PostgreSQL's."""
    debian = Path("/usr/lib/postgresql").glob(f"*/bin/{program}")
    return shutil.which(program) is not None or any(debian)


def missing() -> list[str]:
    """The packages whose programs are not on this machine."""
    return sorted({package for program, package in PROGRAMS.items() if not _found(program)})


def _install(packages: Sequence[str]) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (("update",), ("install", "-y", *packages)):
        command = ["apt-get", "-q", *words]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)


def main() -> int:
    """Install what is missing where this is allowed; return the exit status."""
    wanted = missing()
    if not wanted:
        return 0
    words = " ".join(wanted)
    if shutil.which("apt-get") is None or os.geteuid() != 0:
        print(f"The tests need: {words}. Install them (as root: apt-get install {words}), then")
        print("run make test again. make demo and the command line work without them.")
        return 1
    print(f"Installing {words} for the tests.")
    _install(wanted)
    return 0


if __name__ == "__main__":
    sys.exit(main())
