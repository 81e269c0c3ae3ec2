"""A file that a process holds while it runs; the system lets go of it however the process ends."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["SERVING", "held"]

#: The file in the folder of the data that every server holds while it runs.
SERVING = "serving"


@contextmanager
def held(path: Path, *, alone: bool) -> Iterator[bool]:
    """Hold a file, with others or alone; say whether it could be held, and never wait.

    Parameters
    ----------
    path : of the file, made where it is not there.
    alone : nobody else may hold it; without this others may hold it in the same way.
    """
    opened = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    os.set_inheritable(opened, False)
    try:
        yield _take(opened, alone)
    finally:
        os.close(opened)


def _take(opened: int, alone: bool) -> bool:
    try:
        if os.name == "posix":
            import fcntl

            fcntl.flock(opened, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        else:
            import msvcrt

            # Here one process alone can hold it; a second one that shares goes on without.
            msvcrt.locking(opened, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]  # on Windows alone
    except OSError:
        return os.name != "posix" and not alone
    return True
