"""What three measured values do for the end-tidal level foretold, on made-up animals.

Truths come in two kinds. *As believed*: animals drawn from the distributions of the tables with
other seeds, with the model error and the error of the analyser that the estimator believes in.
*Otherwise*: animals that breathe and pump less than the tables say and whose breathing wanders, a
dial and flowmeters that are off, an analyser that is worse; no model error is added.
``python -m benchmarks.narrowing`` also writes the tables of the explanation.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from math import sqrt
from time import perf_counter, process_time

import numpy as np
from numpy.typing import NDArray

from benchmarks.frame import Figure
from ullage.answers import running_course
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_course import for_many
from ullage.answers.case_engine import Engine
from ullage.answers.case_things import Stretch
from ullage.answers.running_case import case_now
from ullage.answers.running_course import led_to, planned_for
from ullage.answers.running_now import doubt, now_of
from ullage.answers.running_things import CaseSubject, LevelRead, RunningCase, SetTo
from ullage.core.kinetics import TISSUE, Run, end_tidal, feedback_course

__all__ = [
    "KINDS",
    "SCENES",
    "Scored",
    "Wrongs",
    "figures",
    "recomputed",
    "refused_share",
    "scored",
    "together",
]

Floats = NDArray[np.float64]

SEED, TRUTHS = 7_310_000, 300
AHEAD_MIN = 15.0
READ_MIN = (10.0, 20.0, 30.0)
CHANGE_MIN = 35.0
#: Minutes ahead at which the forecast is scored, and all minutes of a truth.
AFTER_MIN = READ_MIN[-1] + np.arange(1.0, AHEAD_MIN + 1.0)
TIMES_MIN = np.array([*READ_MIN, *AFTER_MIN])


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """An animal, an agent and a system; dial in per cent and flow from minute 0, 10 and 35."""

    name: str
    subject: CaseSubject
    system: str
    dials: tuple[float, float, float]
    flows: tuple[float, float, float]

    @property
    def settings(self) -> tuple[SetTo, ...]:
        """What is written: two settings before the last reading and one after it."""
        return tuple(
            SetTo(at_min=at, dial_fraction=0.01 * dial, oxygen_l_min=flow, system=self.system)
            for at, dial, flow in zip((0.0, 10.0, CHANGE_MIN), self.dials, self.flows, strict=True)
        )

    @property
    def case(self) -> RunningCase:
        """The case without readings."""
        return RunningCase(subject=self.subject, settings=self.settings)


def _scene(species: str, kg: float, agent: str, system: str, *rows: tuple[float, float]) -> Scene:
    dials, flows = zip(*rows, strict=True)
    return Scene(
        name=f"{species}, {kg:g} kg, {agent}, {system}",
        subject=CaseSubject(species=species, weight_kg=kg, agent=agent),
        system=system,
        dials=dials,
        flows=flows,
    )


SCENES = (
    _scene("mouse", 0.025, "isoflurane", "nose cone", (3.0, 0.5), (2.0, 0.5), (1.5, 0.5)),
    _scene("rat", 0.3, "sevoflurane", "nose cone", (5.0, 1.0), (3.0, 1.0), (2.5, 1.0)),
    _scene("cat", 4.0, "isoflurane", "T-piece", (3.0, 2.0), (2.0, 1.5), (1.5, 1.5)),
    _scene("dog", 20.0, "sevoflurane", "circle", (4.0, 3.0), (3.0, 1.0), (2.5, 1.0)),
    _scene("dog", 20.0, "isoflurane", "circle", (3.0, 2.0), (2.5, 0.4), (3.0, 0.4)),
    _scene("pig", 30.0, "isoflurane", "circle", (3.0, 3.0), (2.0, 1.0), (1.5, 1.0)),
    _scene("horse", 500.0, "isoflurane", "circle", (4.0, 8.0), (3.0, 4.0), (2.0, 4.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrongs:
    """What is otherwise than believed: shares, one standard deviation each where it is an error."""

    dial_sd: float = 0.10
    flow_sd: float = 0.10
    breathing: float = 0.80
    wander_sd: float = 0.05
    wander_min: float = 5.0
    output: float = 0.85
    calibration_sd: float = 0.07
    noise_sd: float = 0.05


OTHERWISE = Wrongs()


@dataclass(frozen=True, slots=True, kw_only=True)
class Truths:
    """True levels of made-up animals at `TIMES_MIN`, and what an analyser shows, (n, 3)."""

    end_tidal: Floats
    brain: Floats
    read: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """How far the forecast was off, and how often its bands held, after 0, 1, 2 and 3 values.

    Errors are shares of the true level, means over the next 15 minutes and all animals; the brain
    is that after 3 values. ``refused`` is the share of good values that were not believed.
    """

    name: str
    n: int
    errors: tuple[float, ...]
    covered: tuple[float, ...]
    brain_covered: float
    refused: float
    effective: float

    @property
    def fall(self) -> float:
        """[1] by which the error falls from none to three values."""
        return 1.0 - self.errors[-1] / self.errors[0]


def as_believed(scene: Scene, count: int, seed: int) -> Truths:
    """Animals from the same distributions, with the errors that are believed in."""
    rng = np.random.default_rng(seed)
    case = replace(scene.case, draws=max(count, 20), seed=seed)
    led = led_to(case, TIMES_MIN[-1])
    found = {name: led.at(name, TIMES_MIN)[:count] for name in ("end_tidal", "brain")}
    held = doubt(scene.subject.agent)
    step = np.exp(-np.diff(TIMES_MIN) / held.passing_min)
    passing = np.empty((count, TIMES_MIN.size))
    passing[:, 0] = rng.standard_normal(count)
    for k, kept in enumerate(step):
        fresh = rng.standard_normal(count) * sqrt(1.0 - kept**2)
        passing[:, k + 1] = kept * passing[:, k] + fresh
    staying = held.staying_share * rng.standard_normal((count, 1))
    off = np.exp(staying + held.passing_share * passing)
    true = found["end_tidal"] * off
    read = _shown(true[:, : len(READ_MIN)], (held.calibration_share, 0.03), rng)
    return Truths(end_tidal=true, brain=found["brain"] * off, read=read)


def _shown(true: Floats, errors: tuple[float, float], rng: np.random.Generator) -> Floats:
    """What the analyser shows, to 0.1 %."""
    calibration, noise = errors
    off = calibration * rng.standard_normal((true.shape[0], 1))
    off = off + noise * rng.standard_normal(true.shape)
    return np.round(true * np.exp(off), 3)


def otherwise(scene: Scene, count: int, seed: int, wrongs: Wrongs = OTHERWISE) -> Truths:
    """Animals that are not as believed, one by one."""
    rng = np.random.default_rng(seed)
    levels = [_one_otherwise(scene, rng, wrongs) for _ in range(count)]
    true, brain = (np.stack(parts) for parts in zip(*levels, strict=True))
    read = _shown(true[:, : len(READ_MIN)], (wrongs.calibration_sd, wrongs.noise_sd), rng)
    return Truths(end_tidal=true, brain=brain, read=read)


def _one_otherwise(scene: Scene, rng: np.random.Generator, wrongs: Wrongs) -> tuple[Floats, Floats]:
    """End-tidal and brain level of one animal that differs from the tables."""
    planned = planned_for(scene.subject, (scene.system, None, None))
    engine = Engine(planned, 1, int(rng.integers(2**31)))
    body, gases = engine.parts
    engine.parts = (
        replace(
            body,
            alveolar_l_min=body.alveolar_l_min * wrongs.breathing,
            minute_volume_l_min=body.minute_volume_l_min * wrongs.breathing,
            cardiac_output_l_min=body.cardiac_output_l_min * wrongs.output,
        ),
        gases,
    )
    dial, flow = np.exp([wrongs.dial_sd, wrongs.flow_sd] * rng.standard_normal(2))
    settings, wander = [], 0.0
    for start in np.arange(0.0, TIMES_MIN[-1], wrongs.wander_min):
        wander += wrongs.wander_sd * rng.standard_normal()
        one = [row for row in scene.settings if row.at_min <= start][-1]
        stretch = Stretch(
            name="case",
            phase=FlowPhase.HOLD,
            start_min=float(start),
            minutes=wrongs.wander_min,
            oxygen_l_min=one.oxygen_l_min * flow,
        )
        made = engine.setting(stretch, one.dial_fraction * dial)
        settings.append(replace(made, ventilation=float(np.exp(wander))))
    model = engine.model(engine.stage(stretch))
    states = feedback_course(model, Run(settings=settings, times_min=TIMES_MIN), for_many())
    level = end_tidal(engine.parts[0], states)[0, :, 0]
    return level, states[0, :, 0, TISSUE.start]


type Maker = Callable[[Scene, int, int], Truths]

KINDS: dict[str, Maker] = {"as believed": as_believed, "otherwise": otherwise}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Forecast:
    """Bands ahead, values refused, draws that still count."""

    end_tidal: Floats
    brain: Floats
    refused: tuple[bool, ...]
    effective: float


def _forecast(case: RunningCase, read: Floats) -> _Forecast:
    """The forecast from the last reading, with some of the values."""
    readings = tuple(
        LevelRead(at_min=at, end_tidal_fraction=float(shown))
        for at, shown in zip(READ_MIN, read, strict=False)
    )
    now = now_of(replace(case, readings=readings), READ_MIN[-1])
    whole = led_to(case, float(TIMES_MIN[-1]))
    ends = [
        now.bands(whole.at(name, AFTER_MIN), AFTER_MIN, name) for name in ("end_tidal", "brain")
    ]
    return _Forecast(
        end_tidal=ends[0],
        brain=ends[1],
        refused=tuple(not one.believed for one in now.narrowed.foretold),
        effective=now.narrowed.effective,
    )


def _held(bands: Floats, true: Floats) -> float:
    """[1] share of minutes at which the truth lies inside."""
    return float(np.mean((bands[0] <= true) & (true <= bands[2])))


def scored(scene: Scene, make: Maker, count: int, seed: int) -> Scored:
    """The forecast of many made-up animals, after none, one, two and three values."""
    truths, first = make(scene, count, seed), len(READ_MIN)
    errors, covered, last = [], [], []
    for true, brain, read in zip(truths.end_tidal, truths.brain, truths.read, strict=True):
        each = [_forecast(scene.case, read[:values]) for values in range(first + 1)]
        ahead = true[first:]
        errors.append([np.mean(np.abs(one.end_tidal[1] / ahead - 1.0)) for one in each])
        covered.append([_held(one.end_tidal, ahead) for one in each])
        full = each[-1]
        last.append((_held(full.brain, brain[first:]), np.mean(full.refused), full.effective))
    brain_covered, refused, effective = (float(one) for one in np.mean(last, axis=0))
    return Scored(
        name=scene.name,
        n=count,
        errors=tuple(np.mean(errors, axis=0).tolist()),
        covered=tuple(np.mean(covered, axis=0).tolist()),
        brain_covered=brain_covered,
        refused=refused,
        effective=effective,
    )


def together(kind: str, count: int) -> tuple[Scored, ...]:
    """Every scene with truths of one kind, and all of them as one at the end."""
    each = [scored(scene, KINDS[kind], count, SEED + number) for number, scene in enumerate(SCENES)]
    whole = Scored(
        name="all",
        n=count * len(each),
        errors=tuple(np.mean([one.errors for one in each], axis=0).tolist()),
        covered=tuple(np.mean([one.covered for one in each], axis=0).tolist()),
        brain_covered=float(np.mean([one.brain_covered for one in each])),
        refused=float(np.mean([one.refused for one in each])),
        effective=float(np.mean([one.effective for one in each])),
    )
    return (*each, whole)


def refused_share(factor: float, count: int) -> float:
    """[1] of last values, times a factor, that are not believed; animals as believed."""
    found = []
    for number, scene in enumerate(SCENES):
        for read in as_believed(scene, count, SEED + 100 + number).read:
            wrong = np.append(read[:-1], read[-1] * factor)
            found.append(_forecast(scene.case, wrong).refused[-1])
    return float(np.mean(found))


#: Four hours with nine settings: minutes, dial in per cent, flow in parts of the usual.
_LONG = (
    (0, 3.0, 4.0),
    (10, 2.5, 2.0),
    (20, 2.0, 1.0),
    (40, 1.8, 1.0),
    (60, 2.0, 0.5),
    (90, 2.0, 0.5),
    (120, 1.5, 1.0),
    (160, 1.8, 1.0),
    (200, 2.0, 2.0),
)


def long_cases() -> dict[str, RunningCase]:
    """Four-hour cases with a value every ten minutes, 5 % above the middle animal."""
    found = {}
    for name, species, kg, agent, system, nitrous in (
        ("dog on a circle", "dog", 20.0, "isoflurane", "circle", 0.0),
        ("mouse at a nose cone", "mouse", 0.025, "isoflurane", "nose cone", 0.0),
        ("dog, desflurane", "dog", 20.0, "desflurane", "circle", 0.0),
        ("dog, nitrous oxide", "dog", 20.0, "isoflurane", "circle", 1.0),
    ):
        strong = 3.0 if agent == "desflurane" else 1.0
        settings = tuple(
            SetTo(
                at_min=at,
                dial_fraction=0.01 * strong * dial,
                oxygen_l_min=flow,
                nitrous_oxide_l_min=nitrous * flow,
                system=system,
            )
            for at, dial, flow in _LONG
        )
        subject = CaseSubject(species=species, weight_kg=kg, agent=agent)
        bare = RunningCase(subject=subject, settings=settings)
        minutes = np.arange(10.0, 231.0, 10.0)
        middle = np.median(led_to(bare, 240.0).at("end_tidal", minutes), axis=0)
        readings = tuple(
            LevelRead(at_min=float(at), end_tidal_fraction=float(round(1.05 * level, 3)))
            for at, level in zip(minutes, middle, strict=True)
        )
        found[name] = replace(bare, readings=readings)
    return found


def _forgotten() -> None:
    for kept in (running_course._piece, running_course._engine):
        kept.cache_clear()


def recomputed(repeats: int) -> Iterator[Figure]:
    """A four-hour case at minute 240: from nothing, and after one more setting and reading."""
    for name, case in long_cases().items():
        last, taken, own = case.settings[-1], [], []
        for number in range(repeats):
            _forgotten()
            for later in (False, True):
                more = replace(last, at_min=236.0 + 0.1 * number, dial_fraction=0.021)
                given = replace(case, settings=(*case.settings, more)) if later else case
                begun, own_begun = perf_counter(), process_time()
                case_now(given, 240.0)
                taken.append((perf_counter() - begun, later))
                own.append((process_time() - own_begun, later))
        for later, words in ((True, "one more setting"), (False, "nothing kept")):
            wall, processor = (min(s for s, kind in one if kind is later) for one in (taken, own))
            yield Figure(
                name=f"running case of four hours, {name}, {words}",
                value=1e3 * wall,
                limit=200.0,
                comparison="<=",
                n=case.draws,
                seed=case.seed,
                unit="ms",
                note=f"processor {1e3 * processor:.0f} ms",
            )


def _of_kind(kind: str, count: int) -> Iterator[Figure]:
    found = together(kind, count)[-1]
    before, after = (100.0 * found.errors[k] for k in (0, -1))
    named = f"running case, animals {kind}"
    yield Figure(
        name=f"{named}, fall of the error of end-tidal 15 min ahead after 3 values",
        value=100.0 * found.fall,
        limit=30.0,
        comparison=">=",
        n=found.n,
        seed=SEED,
        unit="%",
        note=f"mean error {before:.1f} % by the settings alone, {after:.1f} % after",
    )
    for what, share, note in (
        ("end-tidal", found.covered[-1], f"{100.0 * found.covered[0]:.1f} % by the settings alone"),
        ("brain", found.brain_covered, ""),
    ):
        yield Figure(
            name=f"{named}, coverage of 90 % bands after 3 values, {what}",
            value=100.0 * share,
            limit=(87.0, 93.0),
            comparison="within",
            n=found.n,
            seed=SEED,
            unit="%",
            note=note,
        )
    yield Figure(
        name=f"{named}, good values not believed",
        value=100.0 * found.refused,
        limit=3.0,
        comparison="<=",
        n=found.n * len(READ_MIN),
        seed=SEED,
        unit="%",
    )


def figures() -> Iterable[Figure]:
    """Speed, error and coverage on animals of both kinds, wrong values refused."""
    yield from recomputed(repeats=7)
    for kind in KINDS:
        yield from _of_kind(kind, TRUTHS)
    for factor, words in ((0.5, "half"), (2.0, "twice")):
        yield Figure(
            name=f"running case, values of {words} what an analyser shows, not believed",
            value=100.0 * refused_share(factor, TRUTHS // 3),
            limit=95.0,
            comparison=">=",
            n=TRUTHS // 3 * len(SCENES),
            seed=SEED + 100,
            unit="%",
        )


def _tables() -> Iterator[str]:
    """The tables of the explanation, as Markdown."""
    for kind in KINDS:
        yield f"\n{kind}\n"
        yield "| animal | error 0 | 1 | 2 | 3 values | fall | held 0 | 1 | 2 | 3 | brain | count |"
        yield "|---|---|---|---|---|---|---|---|---|---|---|---|"
        for one in together(kind, TRUTHS):
            shares = (*one.errors, one.fall, *one.covered, one.brain_covered)
            cells = " | ".join(f"{100.0 * share:.1f} %" for share in shares)
            yield f"| {one.name} | {cells} | {one.effective:.0f} |"
    yield "\n| third value times | not believed |\n|---|---|"
    for factor in (0.5, 0.6, 0.7, 0.8, 1.0, 1.25, 1.5, 2.0):
        yield f"| {factor:g} | {100.0 * refused_share(factor, TRUTHS // 3):.1f} % |"


if __name__ == "__main__":
    for row in _tables():
        print(row, flush=True)
