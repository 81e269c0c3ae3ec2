"""How long `ullage lasts` takes from a cold start, also as a ratio to `python -c pass`."""

import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from statistics import median
from time import perf_counter

from benchmarks.frame import Figure

__all__ = ["figures"]

LIMIT_S = 0.3
RUNS = 9
ASKED = ("lasts", "--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min")
START = "from ullage.cli import main; main()"


def _seconds(words: Sequence[str], compiled: str) -> list[float]:
    """[s] of fresh processes; compiled code is kept apart, as it is where the product lives."""
    found = []
    environment = {"PYTHONPYCACHEPREFIX": compiled, "PATH": ""}
    for _ in range(RUNS + 1):
        start = perf_counter()
        subprocess.run(
            [sys.executable, *words], check=True, stdout=subprocess.DEVNULL, env=environment
        )
        found.append(perf_counter() - start)
    return found[1:]  # the first one compiles


def figures() -> Iterable[Figure]:
    """Fresh processes; the median, and the shortest against the shortest of an empty one."""
    with tempfile.TemporaryDirectory() as compiled:
        empty = _seconds(["-c", "pass"], compiled)
        found = _seconds(["-c", START, *ASKED], compiled)
    yield Figure(
        name="ullage lasts from a cold start",
        value=median(found),
        limit=LIMIT_S,
        comparison="<=",
        n=RUNS,
        unit="s",
        note=f"median of fresh processes, shortest {min(found):.3f} s",
    )
    yield Figure(
        name="ullage lasts over python -c pass",
        value=min(found) / min(empty),
        limit=LIMIT_S / 0.018,
        comparison="<=",
        n=RUNS,
        note=f"shortest against shortest, {1000 * min(empty):.0f} ms for an empty process;"
        " limit is 0.3 s over 18 ms",
    )
