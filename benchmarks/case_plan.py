"""Planning a case: how long 200 draws take, from a cold start too, and how the cost grows."""

import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from benchmarks.frame import Figure, best_seconds
from ullage.answers import CaseInput, case_plan
from ullage.answers.plan import Case, Phase

__all__ = ["cases", "figures", "growth", "planned", "started"]

DRAWS, SEED = 200, 20_260
LIMIT_MS, COLD_LIMIT_S = 300.0, 1.5
RUNS = 9
EXAMPLES = Path(__file__).parent.parent / "examples"
START = "from ullage.cli import main; main()"


def _case(species: str, weight_kg: float, system: str, *phases: tuple[float, float, float]) -> Case:
    """A case of phases given as minutes, oxygen and nitrous oxide [L/min]."""
    return Case(
        name="Rowan",
        machine="Heron",
        start_min=510.0,
        species=species,
        weight_kg=weight_kg,
        system=system,
        phases=tuple(
            Phase(name=name, minutes=minutes, oxygen_l_min=oxygen, nitrous_oxide_l_min=nitrous)
            for name, (minutes, oxygen, nitrous) in zip(
                ("preparation", "procedure", "waking"), phases, strict=True
            )
        ),
    )


def cases() -> dict[str, CaseInput]:
    """A mouse at a nose cone, a cat on a T-piece, a pig on a circle, and the pig with N2O."""
    pig = _case("pig", 30.0, "circle", (10, 3.0, 0.0), (120, 1.0, 0.0), (15, 4.0, 0.0))
    found = {
        "mouse": _case("mouse", 0.025, "nose cone", (5, 0.5, 0.0), (40, 0.5, 0.0), (10, 0.5, 0.0)),
        "cat": _case("cat", 4.0, "T-piece", (15, 1.0, 0.0), (45, 1.0, 0.0), (10, 1.0, 0.0)),
        "pig": pig,
        "pig with nitrous oxide": _case(
            "pig", 30.0, "circle", (10, 2.0, 2.0), (120, 0.5, 0.5), (15, 4.0, 0.0)
        ),
    }
    return {
        name: CaseInput(case=one, agent="isoflurane", target_mac=1.2, drugs=())
        for name, one in found.items()
    }


def planned(draws: int, repeats: int) -> Iterator[Figure]:
    """The plan of each case, and with what changes beside it."""
    for name, given in cases().items():
        seconds = best_seconds(partial(case_plan, given, draws, SEED), repeats=repeats)
        begun = process_time()
        plan = case_plan(given, draws, SEED)
        own = 1e3 * (process_time() - begun)
        begun = process_time()
        count = len(plan.changes)
        changes = 1e3 * (process_time() - begun)
        yield Figure(
            name=f"plan a case, {name}",
            value=1e3 * seconds,
            limit=LIMIT_MS,
            comparison="<=",
            n=draws,
            seed=SEED,
            unit="ms",
            note=f"processor {own:.0f} ms; what changes, {count} ways, asked for afterwards: "
            f"processor {changes:.0f} ms",
        )


def growth(draws: int, repeats: int) -> Iterator[Figure]:
    """Twice the animals and twice the minutes: how many times the cost of a plan."""
    pig = cases()["pig"]
    longer = replace(
        pig,
        case=replace(
            pig.case,
            phases=tuple(replace(one, minutes=2.0 * one.minutes) for one in pig.case.phases),
        ),
    )
    once, time, animals = (
        best_seconds(partial(case_plan, given, count, SEED), repeats=repeats)
        for given, count in ((pig, draws), (longer, draws), (pig, 2 * draws))
    )
    for what, many in (("time", time), ("animals", animals)):
        yield Figure(
            name=f"cost of a plan of twice the {what}, over that of once",
            value=many / once,
            limit=2.6,
            comparison="<=",
            n=draws,
            seed=SEED,
        )


def started(runs: int) -> Iterator[Figure]:
    """`ullage case` in fresh processes, with compiled code kept apart."""
    with tempfile.TemporaryDirectory() as compiled:
        environment = {"PYTHONPYCACHEPREFIX": compiled, "PATH": ""}
        for name in ("mouse", "cat", "pig"):
            words = ["-c", START, "case", str(EXAMPLES / f"case_{name}.toml")]
            found = []
            for _ in range(runs + 1):
                begun = perf_counter()
                subprocess.run(
                    [sys.executable, *words],
                    check=True,
                    stdout=subprocess.DEVNULL,
                    env=environment,
                )
                found.append(perf_counter() - begun)
            found = found[1:]  # the first one compiles
            yield Figure(
                name=f"ullage case from a cold start, {name}",
                value=median(found),
                limit=COLD_LIMIT_S,
                comparison="<=",
                n=runs,
                unit="s",
                note=f"median of fresh processes, shortest {min(found):.2f} s",
            )


def figures() -> Iterable[Figure]:
    """Every figure of planning a case, at its full count."""
    yield from planned(DRAWS, repeats=7)
    yield from growth(DRAWS, repeats=5)
    yield from started(RUNS)
