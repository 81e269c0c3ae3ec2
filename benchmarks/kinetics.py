"""Kinetics: how fast and how near, how the cost grows, and how the published studies come out.

The case is that of the fact base: 70 kg, seven settings in four hours, output every second. The
general-purpose integrator is LSODA on the same equations and outputs, written lean for one
animal; both are timed in the same run. Errors are absolute, in fractions of one atmosphere.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from benchmarks.frame import Figure, best_seconds
from benchmarks.kinetics_reference import Tolerance, circle_slope, integrated, linear_slope
from ullage.answers.animals import animal
from ullage.answers.bodies import body_of, solubility_of
from ullage.answers.comparisons import compared, score
from ullage.core.kinetics import (
    EFFECT,
    FA,
    FI,
    STATES,
    Feedback,
    Model,
    Run,
    Setting,
    System,
    SystemKind,
    breathing_air,
    feedback_course,
    linear_course,
    model_of,
)
from ullage.reference.solubility import ValueSet

Floats = NDArray[np.float64]
Work = Callable[[], Floats]

SEED = 20_261_125
CIRCLE = System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=5.0)
#: Minutes, delivered fraction, fresh gas [L/min] (uptake, section 6).
SCHEDULE = (
    (10, 0.03, 6.0),
    (20, 0.02, 2.0),
    (30, 0.025, 1.0),
    (60, 0.015, 0.5),
    (60, 0.02, 1.0),
    (30, 0.0, 6.0),
    (30, 0.0, 8.0),
)
GASES = ("isoflurane", "nitrous oxide", "oxygen", "nitrogen")
FEEDBACK = Feedback(
    balance=True,
    ventilation_slope=0.35,
    output_slope=0.15,
    mac_fraction={"isoflurane": 0.0117, "nitrous oxide": 1.04},
)
KEPT = (FI, FA, EFFECT)

_USUAL = Tolerance(1e-6, 1e-9)


def settings(*, nitrous: bool, repeats: int = 1) -> list[Setting]:
    """The schedule, repeated; with or without half of nitrous oxide in the first three hours."""
    rows = SCHEDULE * repeats
    starts = [0, *accumulate(minutes for minutes, _, _ in rows)]
    found = []
    for start, (_, agent, flow) in zip(starts, rows, strict=False):
        half = 0.5 if nitrous and agent > 0.0 else 0.0
        delivered = {"isoflurane": agent}
        if nitrous:
            delivered |= {"nitrous oxide": half, "oxygen": 1.0 - agent - half}
        found.append(Setting(start_min=float(start), fresh_gas_l_min=flow, delivered=delivered))
    return found


def model(count: int, *, feedback: bool, effect_per_min: float = 0.25) -> Model:
    """One animal, or as many as are asked for, drawn from the distributions of the tables."""
    man = animal("human", 70.0, which=ValueSet.UPTAKE)
    draws = count if count > 1 else 0
    names = GASES if feedback else GASES[:1]
    gases = {one: solubility_of(one, "human", draws, SEED, which=ValueSet.UPTAKE) for one in names}
    body = body_of(man, draws, SEED)
    return model_of(body, gases, CIRCLE, FEEDBACK if feedback else Feedback(), effect_per_min)


def start(chosen: Model) -> Floats:
    """From air on, or from nothing for a single gas."""
    if len(chosen.names) == 1:
        return np.zeros((chosen.body.count, 1, STATES))
    return breathing_air(chosen, {"oxygen": 0.21, "nitrogen": 0.79}, 0.15, 0.80)


def run_of(
    chosen: Model, plan: Sequence[Setting], times: Floats, keep: Sequence[int] | None = None
) -> Run:
    """A run of the model from its start."""
    return Run(settings=plan, times_min=times, start=start(chosen), keep=keep)


def every(seconds: float, minutes: float) -> Floats:
    """Times from the first step on."""
    return seconds / 60.0 * np.arange(1.0, round(60.0 * minutes / seconds) + 1.0)


@cache
def _chosen(feedback: bool, minutes: float) -> tuple[Model, Run]:
    found = model(1, feedback=feedback)
    return found, run_of(found, settings(nitrous=feedback), every(1.0, minutes))


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One animal over some minutes at one output a second, linear or with feedbacks."""

    feedback: bool
    minutes: float

    @property
    def name(self) -> str:
        """Words for the figures."""
        kind = "with feedbacks" if self.feedback else "linear"
        return f"{self.minutes:g} min at 1 s, {kind}"

    def ours(self) -> Floats:
        """The course by the engine."""
        chosen, run = self.chosen()
        return feedback_course(chosen, run) if self.feedback else linear_course(chosen, run)

    def chosen(self) -> tuple[Model, Run]:
        """Model and run, made once so that only the course is timed."""
        return _chosen(self.feedback, self.minutes)

    def theirs(self, tolerance: Tolerance) -> Floats:
        """The course by LSODA, in the same shape."""
        chosen, run = self.chosen()
        inside = [one for one in run.settings if one.start_min < self.minutes]
        slope_of = circle_slope if self.feedback else linear_slope
        plan = inside, run.times_min
        return integrated(chosen, plan, start(chosen), slope_of, tolerance)

    def error(self) -> float:
        """Largest difference from LSODA at a fine tolerance, in fractions of one atmosphere."""
        exact = self.theirs(Tolerance(1e-10, 1e-13))
        return float(np.abs(self.ours()[0].reshape(exact.shape) - exact).max())


def one_animal(minutes: float, repeats: int) -> Iterator[Figure]:
    """The four-hour case, linear and with feedbacks: time, times faster, error."""
    for feedback in (False, True):
        case = Case(feedback=feedback, minutes=minutes)
        count = case.chosen()[1].times_min.size
        seconds = best_seconds(case.ours, repeats=repeats)
        other = best_seconds(partial(case.theirs, _USUAL), repeats=max(2, repeats // 4))
        yield _timed(case.name, 1e3 * seconds, 40.0 if feedback else 5.0, "ms", count)
        yield Figure(
            name=f"{case.name}, times faster than LSODA at 1e-6",
            value=other / seconds,
            limit=1.0 if feedback else 5.0,
            comparison=">=",
            n=count,
            note=f"LSODA {1e3 * other:.1f} ms",
        )
        yield Figure(
            name=f"{case.name}, largest error against LSODA at 1e-10",
            value=case.error(),
            limit=1e-6,
            comparison="<=",
            n=count,
            unit="atm",
        )


def _timed(name: str, value: float, limit: float, unit: str, n: int) -> Figure:
    return Figure(name=name, value=value, limit=limit, comparison="<=", n=n, unit=unit)


def crowd(count: int, *, feedback: bool, cases: int = 1, minutes: float = 240.0) -> Work:
    """Many animals through the schedule, repeated, with an output every ten seconds."""
    chosen = model(count, feedback=feedback)
    plan = settings(nitrous=feedback, repeats=cases)
    run = run_of(chosen, plan, every(10.0, minutes * cases), KEPT)
    return partial(feedback_course if feedback else linear_course, chosen, run)


def ensembles(count: int, repeats: int) -> Iterator[Figure]:
    """Two hours of many animals, output every ten seconds."""
    for feedback in (False, True):
        work = crowd(count, feedback=feedback, minutes=120.0)
        kind = "all feedbacks" if feedback else "linear"
        limit = (3.0 if feedback else 0.15) * count / 1000.0
        name = f"{count} animals, two hours at 10 s, {kind}"
        found = _timed(name, best_seconds(work, repeats=repeats), limit, "s", count)
        yield replace(found, seed=SEED, note="aim 1 s for 1000" if feedback else "")


def growth(count: int, repeats: int) -> Iterator[Figure]:
    """Twice the time and twice the animals: how many times the cost."""
    for feedback in (False, True):
        kind = "with feedbacks" if feedback else "linear"
        once, longer, more = (
            best_seconds(crowd(count * times, feedback=feedback, cases=cases), repeats=repeats)
            for times, cases in ((1, 1), (1, 2), (2, 1))
        )
        for what, many in (("time", longer), ("animals", more)):
            yield Figure(
                name=f"cost of twice the {what}, {kind}, over that of once",
                value=many / once,
                limit=(1.4, 2.6),
                comparison="within",
                n=count,
                seed=SEED,
            )


def studies(draws: int) -> Iterator[Figure]:
    """Score and bands on the published studies."""
    found = score(compared(draws, SEED))
    scored = found.scored
    yield Figure(
        name="published rows inside tolerance",
        value=found.inside,
        limit=43.0,
        comparison=">=",
        n=scored,
    )
    yield Figure(
        name="published rows, median error",
        value=100 * found.median_error_share,
        limit=11.0,
        comparison="<=",
        n=scored,
        unit="%",
    )
    yield Figure(
        name="published rows inside their band",
        value=100 * found.held_share,
        limit=(85.0, 95.0),
        comparison="within",
        n=scored,
        seed=SEED,
        unit="%",
    )
    for what, value, limit in (
        ("levels", found.level_width_share, 25.0),
        ("times", found.time_width_share, 50.0),
    ):
        yield Figure(
            name=f"half width of the band, {what}, median",
            value=100 * value,
            limit=limit,
            comparison="<=",
            n=scored,
            seed=SEED,
            unit="%",
        )
    yield Figure(
        name="one relative band of the same coverage, times as wide as ours",
        value=found.even_share / found.width_share,
        limit=1.0,
        comparison=">=",
        n=scored,
        seed=SEED,
        note=f"ours {100 * found.width_share:.1f} %, that one {100 * found.even_share:.1f} %",
    )


def figures() -> Iterator[Figure]:
    """Every figure of kinetics, at its full count."""
    yield from one_animal(240.0, repeats=20)
    yield from ensembles(1000, repeats=3)
    yield from growth(100, repeats=4)
    yield from studies(100)
