"""The frame that every benchmark shares: a figure, its limit, and the line that prints it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib import import_module
from math import isnan, nan
from pathlib import Path
from time import perf_counter
from typing import Literal

__all__ = ["ORDER", "Figure", "best_seconds", "figures_of", "line", "modules"]

#: The modules in the order of printing; one that is not there is printed as not measured.
ORDER = ("contents", "lasts", "day_plan", "estimator", "stock", "web_pages", "service_due")

Comparison = Literal["<=", ">=", "within"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One measured figure beside its limit.

    ``limit`` is one number for ``<=`` and ``>=``, and (low, high) for ``within``.
    """

    name: str
    value: float
    limit: float | tuple[float, float]
    comparison: Comparison
    n: int
    seed: int | None = None
    unit: str = ""
    note: str = ""

    @property
    def met(self) -> bool:
        """True when the value keeps its limit; not a number never does."""
        if isinstance(self.limit, tuple):
            return self.limit[0] <= self.value <= self.limit[1]
        return self.value <= self.limit if self.comparison == "<=" else self.value >= self.limit


def best_seconds(work: Callable[[], object], *, repeats: int = 5) -> float:
    """[s] the shortest of several runs, the one that others on the machine disturbed least."""
    found = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        found.append(perf_counter() - start)
    return min(found)


def line(figure: Figure) -> str:
    """One line: name, value, limit, n, seed, met or missed."""
    limit = figure.limit
    allowed = f"{limit[0]:g} to {limit[1]:g}" if isinstance(limit, tuple) else f"{limit:g}"
    asked = allowed if isinstance(limit, tuple) else f"{figure.comparison} {allowed}"
    value = "not measured" if isnan(figure.value) else f"{figure.value:.4g} {figure.unit}".strip()
    seed = "none" if figure.seed is None else str(figure.seed)
    words = [
        f"{figure.name}: {value}",
        f"limit {asked} {figure.unit}".strip(),
        f"n {figure.n}",
        f"seed {seed}",
        "met" if figure.met else "missed",
    ]
    return " | ".join([*words, figure.note] if figure.note else words)


def modules() -> tuple[str, ...]:
    """Every benchmark module: those of the order first, then any other that gives figures."""
    found = sorted(Path(__file__).parent.glob("*.py"))
    giving = [one.stem for one in found if "\ndef figures(" in one.read_text(encoding="utf-8")]
    others = (one for one in giving if one not in ORDER)
    return (*ORDER, *others)


def figures_of(module: str) -> Iterator[Figure]:
    """Run one module; a failure becomes a figure that was missed, so that no line is lost."""
    try:
        given: Iterable[Figure] = import_module(f"benchmarks.{module}").figures()
        yield from given
    except Exception as error:  # whatever went wrong is the result
        why = f"{type(error).__name__}: {error}".splitlines()[0]
        yield Figure(name=module, value=nan, limit=0.0, comparison="<=", n=0, note=why)
