"""A folder of data whose tables are there: made once by the commands of the site, then copied.

Each copy has a secret and keys of its own; nobody and nothing is in it yet.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

__all__ = ["clean_environment", "prepared"]

_MAKE = "from ullage.cli.site import open_site, prepare_site; open_site(); prepare_site()"


def clean_environment(home: Path, database: str = "") -> dict[str, str]:
    """The environment of a process in a home of its own."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    return clean | {"ULLAGE_HOME": str(home), "ULLAGE_DATABASE": database}


def prepared(home: Path) -> Path:
    """Lay tables and static files into a folder, so that a start there finds nothing to do."""
    home.mkdir(exist_ok=True)
    made = _made()
    shutil.copy2(made / "ullage.sqlite3", home)
    shutil.copytree(made / "static", home / "static", dirs_exist_ok=True)
    return home


@cache
def _made() -> Path:
    """What a first start leaves, once for each process of tests."""
    home = Path(tempfile.mkdtemp(prefix="ullage-prepared-"))
    program = [sys.executable, "-c", _MAKE]
    done = subprocess.run(
        program, env=clean_environment(home), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    # Closed by the last process, SQLite has laid its log back into the file.
    assert not (home / "ullage.sqlite3-wal").exists()
    return home
