"""Contents: how near to the reference equations of state, and how much faster.

Points are drawn from a seed over 70 to 106 kPa ambient, -10 to 50 °C and 0 to 230 bar gauge
(vapour: from -10 °C to 1 K under critical, a third of the points near saturation). The speed
is that of a million contents against one `AbstractState.update` with its density per point,
both measured in the same run.
"""

from collections.abc import Iterator
from time import perf_counter

import numpy as np
from CoolProp.CoolProp import PT_INPUTS, QT_INPUTS, AbstractState, iphase_gas
from numpy.typing import NDArray

from benchmarks.frame import Figure, best_seconds
from ullage.core import gas as g
from ullage.core.gas import F70, Gas
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, kelvin

Floats = NDArray[np.float64]

SEED = 20_261_125
FLUIDS = {
    Gas.OXYGEN: "Oxygen",
    Gas.AIR: "Air",
    Gas.NITROGEN: "Nitrogen",
    Gas.HELIUM: "Helium",
    Gas.CARBON_DIOXIDE: "CarbonDioxide",
    Gas.NITROUS_OXIDE: "NitrousOxide",
}
PERMANENT = tuple(one for one in FLUIDS if not one.liquefied)
LIQUEFIED = tuple(one for one in FLUIDS if one.liquefied)
WATER_L = 4.76


def permanent_points(n: int) -> tuple[Floats, Floats, Floats]:
    """Gauge, temperature and ambient pressure, the corners of the range among them."""
    rng = np.random.default_rng(SEED)
    gauge, kelvins, ambient = rng.random((3, n))
    for column, one in enumerate((gauge, kelvins, ambient)):
        one[:8] = [(corner >> column) & 1 for corner in range(8)]
    return 23_000.0 * gauge, kelvin(-10.0) + 60.0 * kelvins, 70.0 + 36.0 * ambient


def reference_densities(gas: Gas, kelvins: Floats, absolute_kpa: Floats) -> Floats:
    """Density point by point by the reference equation of state."""
    state = AbstractState("HEOS", FLUIDS[gas])
    out = np.empty(kelvins.size)
    for at, (one_k, one_kpa) in enumerate(zip(kelvins, absolute_kpa, strict=True)):
        state.update(PT_INPUTS, 1000.0 * one_kpa, one_k)
        out[at] = state.rhomass()
    return out


def free_reference(gas: Gas) -> float:
    """Density of free gas at 70 °F and one atmosphere by the reference equation of state."""
    at = np.array([F70.temperature_k]), np.array([STANDARD_ATMOSPHERE_KPA])
    return float(reference_densities(gas, *at)[0])


def worst_share(found: Floats, expected: Floats) -> float:
    """The largest difference as a share of what is expected."""
    return float(np.max(np.abs(found / expected - 1.0)))


def contents_error_share(gas: Gas, n: int) -> float:
    """Largest error of contents over the range of use."""
    gauge, kelvins, ambient = permanent_points(n)
    found = g.contents_many_l(gas, WATER_L, gauge, kelvins, ambient)
    expected = reference_densities(gas, kelvins, gauge + ambient) / free_reference(gas)
    return worst_share(found, WATER_L * expected)


def line_temperatures(gas: Gas, n: int) -> Floats:
    """Temperatures from -10 °C to 1 K under critical, both ends among them."""
    rng = np.random.default_rng(SEED)
    shares = rng.random(n)
    shares[:2] = 0.0, 1.0
    low, high = kelvin(-10.0), g.critical_temperature_k(gas) - 1.0
    return np.minimum(low + (high - low) * shares, high)


def saturation_error_share(gas: Gas, n: int) -> float:
    """Largest error of saturation pressure and of both saturated densities."""
    state = AbstractState("HEOS", FLUIDS[gas])
    worst = 0.0
    for one_k in line_temperatures(gas, n):
        state.update(QT_INPUTS, 0.0, one_k)
        expected = [state.p() / 1000.0, state.rhomass()]
        state.update(QT_INPUTS, 1.0, one_k)
        expected.append(state.rhomass())
        lines = (g.saturation_kpa, g.saturated_liquid_kg_m3, g.saturated_vapour_kg_m3)
        found = [line(gas, float(one_k)) for line in lines]
        worst = max(worst, worst_share(np.array(found), np.array(expected)))
    return worst


def vapour_error_share(gas: Gas, n: int) -> float:
    """Largest error of vapour below saturation, many points close to it."""
    rng = np.random.default_rng(SEED + 1)
    kelvins = line_temperatures(gas, n)
    shares = rng.random(n)
    shares[::3] = 1.0 - 0.1 * shares[::3] ** 3
    saturation = np.array([g.saturation_kpa(gas, float(one)) for one in kelvins])
    pressures = np.minimum(shares, 1.0 - 1e-6) * saturation
    state = AbstractState("HEOS", FLUIDS[gas])
    state.specify_phase(iphase_gas)
    expected = np.empty(n)
    for at, (one_k, one_kpa) in enumerate(zip(kelvins, pressures, strict=True)):
        state.update(PT_INPUTS, 1000.0 * one_kpa, one_k)
        expected[at] = state.rhomass()
    return worst_share(g.density_many_kg_m3(gas, kelvins, pressures), expected)


def inverse_error_kpa(gas: Gas, n: int) -> float:
    """Largest difference between a gauge reading and the one found back from its contents."""
    gauge, kelvins, ambient = permanent_points(n)
    held = g.contents_many_l(gas, WATER_L, gauge, kelvins, ambient)
    back = g.gauge_kpa_from_contents_many(gas, WATER_L, held, kelvins, ambient)
    return float(np.max(np.abs(back - gauge)))


def reference_seconds_per_point(gas: Gas, n: int) -> float:
    """[s] one update with its density, best of three runs over the points."""
    gauge, kelvins, ambient = permanent_points(n)
    state = AbstractState("HEOS", FLUIDS[gas])
    pairs = [(1000.0 * kpa, one) for kpa, one in zip(gauge + ambient, kelvins, strict=True)]

    def run() -> None:
        for pascal, one_k in pairs:
            state.update(PT_INPUTS, pascal, one_k)
            state.rhomass()

    return best_seconds(run, repeats=3) / n


def million_seconds(gas: Gas, n: int) -> float:
    """[s] contents at a million different gauge readings and temperatures."""
    points = permanent_points(n)
    return best_seconds(lambda: g.contents_many_l(gas, WATER_L, *points), repeats=7)


def scalar_seconds(n: int) -> float:
    """[s] one content in plain Python, each at a temperature not seen before."""
    gauge, kelvins, ambient = (one.tolist() for one in permanent_points(n))
    start = perf_counter()
    for one in zip(gauge, kelvins, ambient, strict=True):
        g.contents_l(Gas.OXYGEN, WATER_L, *one)
    return (perf_counter() - start) / n


def accuracy(n: int) -> Iterator[Figure]:
    """How near to the reference, gas by gas; in percent."""
    for gas in PERMANENT:
        yield _error(f"contents of {gas}", contents_error_share(gas, n), 0.05, n)
    for gas in LIQUEFIED:
        yield _error(f"saturation of {gas}", saturation_error_share(gas, n), 0.1, n)
        yield _error(f"vapour of {gas}", vapour_error_share(gas, n), 0.1, n)


def _error(what: str, share: float, limit_percent: float, n: int) -> Figure:
    return Figure(
        name=f"{what} against CoolProp",
        value=100.0 * share,
        limit=limit_percent,
        comparison="<=",
        n=n,
        seed=SEED,
        unit="%",
    )


def speed(n: int, reference_n: int) -> Iterator[Figure]:
    """How much faster than point by point, in the same run."""
    for gas in PERMANENT:
        seconds = million_seconds(gas, n)
        reference = reference_seconds_per_point(gas, reference_n) * n
        yield Figure(
            name=f"contents of {gas}, {n} points",
            value=seconds,
            limit=0.3,
            comparison="<=",
            n=n,
            seed=SEED,
            unit="s",
        )
        yield Figure(
            name=f"contents of {gas}, times faster than AbstractState.update per point",
            value=reference / seconds,
            limit=100.0,
            comparison=">=",
            n=n,
            seed=SEED,
            note=f"reference {1e6 * reference / n:.2f} µs a point over {reference_n} points",
        )


def figures() -> Iterator[Figure]:
    """Every figure of contents, at its full count."""
    yield from accuracy(20_000)
    yield from speed(1_000_000, 20_000)
    yield Figure(
        name="gauge found back from contents of oxygen",
        value=inverse_error_kpa(Gas.OXYGEN, 100_000),
        limit=0.001,
        comparison="<=",
        n=100_000,
        seed=SEED,
        unit="kPa",
        note="no figure of the plan",
    )
    yield Figure(
        name="contents of oxygen, one reading in plain Python",
        value=1e6 * scalar_seconds(5_000),
        limit=100.0,
        comparison="<=",
        n=5_000,
        seed=SEED,
        unit="µs",
        note="no figure of the plan",
    )
