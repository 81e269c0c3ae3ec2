"""Coverage of the estimator's bands, leaks found and false alarms, on made-up histories.

``python -m benchmarks.estimator`` also writes the tables of the explanation.
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cache, partial
from multiprocessing import get_context
from time import perf_counter

import numpy as np

from benchmarks import generator
from benchmarks.frame import Figure
from benchmarks.generator import DISTURBANCES, HARDER, PSI_KPA, Disturbance, Meter, Simulated
from ullage.answers.believed import known_of, leak_rule
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, Valve
from ullage.core.gas import Gas, contents_l
from ullage.core.supply.estimate import Estimate, estimate, reserve_outlook
from ullage.core.supply.history import Draw

__all__ = ["Coverage", "Detection", "coverage", "detection", "figures"]

HISTORIES = 2000
SEED = 20_250
_BATCH = 50
_PLACE = Place()
_CYLINDER = Cylinder(
    gas=Gas.OXYGEN,
    water_capacity_l=generator.WATER_L,
    full_scale_kpa=generator.FULL_SCALE_PSI * PSI_KPA,
    gauge_error_share=generator.CLASS_SHARE,
    water_capacity_share=0.0,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Shares of histories whose truth lies inside the 90 % band."""

    disturbance: str
    n: int
    contents_share: float
    flow_scale_share: float
    time_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A situation in which a leak is looked for."""

    name: str
    kind: str  # "night" or "case"
    leak_l_min: float
    flow_l_min: float = 1.0
    meter: Meter = field(default_factory=Meter)
    told: bool = True
    disturbance: Disturbance = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Detection:
    """How often a leak was reported in a scene."""

    scene: Scene
    n: int
    reported_share: float


def estimated(book: Simulated, meter: Meter) -> tuple[Estimate, tuple[Draw, ...]]:
    """Give the estimator what stands in the book, and the flow that goes on."""
    readings = [
        Reading(
            at_min=one.at_min,
            gauge_kpa=one.gauge_psi * PSI_KPA,
            temperature_k=one.room_k,
            valve_before=Valve(one.valve),
        )
        for one in book.seen
    ]
    flows = [
        FlowPeriod(
            start_min=one.start_min,
            end_min=one.end_min,
            flow_l_min=one.flow_l_min,
            flow_sd_share=meter.share_sd or 0.0,
        )
        for one in book.drawn
    ]
    known = known_of(_CYLINDER, readings, flows, book.now_min, _PLACE)
    if known is None:
        raise RuntimeError("A made-up history always has readings.")
    history, beliefs = known.history, known.beliefs
    if meter.limit_l_min is not None:
        draws = tuple(
            replace(one, error_share=meter.limit_l_min / one.flow_l_min / 3.0**0.5)
            for one in history.draws
        )
        history = replace(history, draws=draws)
        beliefs = replace(beliefs, flow_error_is_limit=True)
    ahead = replace(history.draws[-1], start_min=book.now_min, end_min=book.now_min + 1e5)
    return estimate(history, beliefs, leak_rule()), (ahead,)


def _covered(disturbance: Disturbance, seed: int) -> tuple[bool, bool, bool]:
    book = generator.days(np.random.default_rng(seed), disturbance=disturbance)
    found, ahead = estimated(book, Meter())
    kept = contents_l(
        Gas.OXYGEN, generator.WATER_L, generator.RESERVE_PSI * PSI_KPA, generator.ROOM_K
    )
    time = reserve_outlook(found, ahead, kept)
    truth = book.truth
    return (
        found.contents_l.low <= truth.contents_l <= found.contents_l.high,
        found.flow_scale.low <= truth.flow_scale <= found.flow_scale.high,
        (time.low_min or 0.0) <= truth.reserve_min <= (time.high_min or 1e9),
    )


def _reports(scene: Scene, seed: int) -> tuple[bool]:
    rng = np.random.default_rng(seed)
    given = {
        "leak_l_min": scene.leak_l_min,
        "flow_l_min": scene.flow_l_min,
        "meter": scene.meter,
        "disturbance": scene.disturbance,
    }
    if scene.kind == "night":
        book = generator.overnight(rng, told=scene.told, **given)  # type: ignore[arg-type]  # one scene's fields
    else:
        book = generator.case(rng, **given)  # type: ignore[arg-type]  # one scene's fields
    return (estimated(book, scene.meter)[0].reported,)


def _batch(one: Callable[[int], tuple[bool, ...]], seeds: range) -> list[tuple[bool, ...]]:
    return [one(seed) for seed in seeds]


@cache
def _pool(workers: int) -> ProcessPoolExecutor:
    """Processes that stay for all figures, since each takes a second to start."""
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"))


def _shares(one: Callable[[int], tuple[bool, ...]], n: int, workers: int) -> list[float]:
    """Shares of ``n`` histories, seed after seed, in one process or in two."""
    batches = [range(SEED + i, SEED + min(i + _BATCH, n)) for i in range(0, n, _BATCH)]
    work = partial(_batch, one)
    parts = map(work, batches) if workers == 1 else _pool(workers).map(work, batches)
    return [float(share) for share in np.mean([row for rows in parts for row in rows], axis=0)]


def coverage(disturbance: Disturbance, n: int = HISTORIES, workers: int = 2) -> Coverage:
    """How often the truth lies inside the 90 % bands, under one disturbance."""
    contents, scale, time = _shares(partial(_covered, disturbance), n, workers)
    return Coverage(
        disturbance=disturbance,
        n=n,
        contents_share=contents,
        flow_scale_share=scale,
        time_share=time,
    )


def detection(scene: Scene, n: int = HISTORIES, workers: int = 2) -> Detection:
    """How often a leak is reported in a scene; without a leak this is the false alarm."""
    return Detection(
        scene=scene, n=n, reported_share=_shares(partial(_reports, scene), n, workers)[0]
    )


NIGHT = Scene(name="night of 14 h, valve open, 1 L/min before", kind="night", leak_l_min=0.1)
CASE = Scene(name="case of 3 h at 1 L/min", kind="case", leak_l_min=0.5)
_OTHER = {
    "0.5 L/min": {"flow_l_min": 0.5},
    "2 L/min": {"flow_l_min": 2.0},
    "flow known to 25 %": {"meter": Meter(share_sd=0.25)},
    "flow known to ±0.5 L/min": {"meter": Meter(share_sd=None, limit_l_min=0.5)},
}


def variants() -> Iterator[tuple[str, Scene]]:
    """The two stated scenes and each in other settings, with what differs."""
    for stated in (NIGHT, CASE):
        yield "as stated", stated
        if stated.kind == "night":
            yield "valve not told", replace(stated, told=False)
        for words, changes in _OTHER.items():
            yield words, replace(stated, **changes)  # type: ignore[arg-type]  # fields of a scene
        for disturbance in (*DISTURBANCES[1:], "all three"):
            if not (stated.kind == "case" and disturbance == "cold night"):
                yield disturbance, replace(stated, disturbance=disturbance)


def _coverage_figures() -> Iterator[Figure]:
    for disturbance in DISTURBANCES:
        found = coverage(disturbance)
        shares = {
            "contents": found.contents_share,
            "flow scale": found.flow_scale_share,
            "time": found.time_share,
        }
        for quantity, share in shares.items():
            yield Figure(
                name=f"estimator, coverage of 90 % bands, {quantity}, disturbance: {disturbance}",
                value=100.0 * share,
                limit=(87.0, 93.0),
                comparison="within",
                unit="%",
                n=found.n,
                seed=SEED,
            )


def _found_figures() -> Iterator[Figure]:
    for scene in (NIGHT, CASE):
        found = detection(scene)
        yield Figure(
            name=f"estimator, leak of {1000 * scene.leak_l_min:.0f} mL/min reported, {scene.name}",
            value=100.0 * found.reported_share,
            limit=95.0,
            comparison=">=",
            unit="%",
            n=found.n,
            seed=SEED,
        )


def _false_figures() -> Iterator[Figure]:
    for words, scene in variants():
        if words in (*DISTURBANCES, *HARDER):
            continue
        found = detection(replace(scene, leak_l_min=0.0))
        yield Figure(
            name=f"estimator, false alarms, {scene.kind}, {words}",
            value=100.0 * found.reported_share,
            limit=1.0,
            comparison="<=",
            unit="%",
            n=found.n,
            seed=SEED,
        )


def _speed_figure() -> Figure:
    rng = np.random.default_rng(SEED)
    books = [generator.days(rng) for _ in range(200)]
    long = [one for one in books if len(one.seen) >= 30]
    taken = []
    for book in long:
        start = perf_counter()
        estimated(book, Meter())
        taken.append(1000.0 * (perf_counter() - start))
    return Figure(
        name="estimator, time of one history of 30 readings or more, median",
        value=float(np.median(taken)),
        limit=50.0,
        comparison="<=",
        unit="ms",
        n=len(long),
        seed=SEED,
    )


def figures() -> Iterable[Figure]:
    """Coverage under each disturbance, leaks found, false alarms, and the time it takes."""
    yield _speed_figure()
    yield from _coverage_figures()
    yield from _found_figures()
    yield from _false_figures()


def _tables() -> Iterator[str]:
    """The tables of the explanation, as Markdown."""
    yield "| disturbance | contents | flow scale | time | n |\n|---|---|---|---|---|"
    for disturbance in (*DISTURBANCES, *HARDER):
        one = coverage(disturbance)
        shares = (one.contents_share, one.flow_scale_share, one.time_share)
        yield (
            f"| {disturbance} | " + " | ".join(f"{100 * s:.1f} %" for s in shares) + f" | {one.n} |"
        )
    yield "\n| scene | setting | no leak | 50 mL/min | 100 mL/min | 500 mL/min | n |"
    yield "|---|---|---|---|---|---|---|"
    for words, scene in variants():
        leaks = (0.0, 0.05, 0.1, None) if scene.kind == "night" else (0.0, None, 0.1, 0.5)
        cells = [
            ""
            if leak is None
            else f"{100 * detection(replace(scene, leak_l_min=leak)).reported_share:.1f} %"
            for leak in leaks
        ]
        yield f"| {scene.kind} | {words} | " + " | ".join(cells) + f" | {HISTORIES} |"


if __name__ == "__main__":
    for row in _tables():
        print(row, flush=True)
