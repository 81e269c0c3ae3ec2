"""The generated tables: made again from the property library and compared."""

import numpy as np
import pytest
from CoolProp.CoolProp import PQ_INPUTS, AbstractState
from numpy.polynomial import polynomial

from benchmarks import contents as measured
from tests.core.gas.ranges import LIQUEFIED, PERMANENT
from tests.counts import counted
from tools import gas_tables
from ullage.core.gas import tables
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

MADE = gas_tables.tables()
GRID = np.linspace(-1.0, 1.0, 21)


def plane(rows):
    """Values on a grid of a table that holds one row for each power of the second variable."""
    return polynomial.polygrid2d(GRID, GRID, np.array(rows).T)


@pytest.mark.comparison
def test_the_library_is_the_one_that_the_tables_were_made_with():
    assert MADE["LIBRARY"][1] == tables.LIBRARY, "run python -m tools.gas_tables"


@pytest.mark.comparison
@pytest.mark.parametrize("gas", PERMANENT)
def test_a_permanent_gas_made_again_is_the_same(gas):
    kept, made = (plane(table[gas]) for table in (tables.PERMANENT, MADE["PERMANENT"][1]))

    # Each value moves Z by itself times p/T, which is 135 kPa/K at most.
    assert np.abs(kept - made).max() * tables.HIGH_KPA / tables.LOW_K < 1e-9


@pytest.mark.comparison
@pytest.mark.parametrize("gas", LIQUEFIED)
def test_a_vapour_made_again_is_the_same(gas):
    kept, made = (plane(table[gas]) for table in (tables.VAPOUR, MADE["VAPOUR"][1]))

    assert np.abs(kept - made).max() < 1e-8


@pytest.mark.comparison
@pytest.mark.parametrize("gas", LIQUEFIED)
@pytest.mark.parametrize("line", ["kpa", "liquid_kg_m3", "vapour_kg_m3"])
def test_a_saturation_line_made_again_is_the_same(gas, line):
    kept, made = (
        polynomial.polyval(GRID, np.array(table[gas][line]))
        for table in (tables.SATURATION, MADE["SATURATION"][1])
    )

    assert np.abs(kept - made).max() < 1e-9


@pytest.mark.comparison
@pytest.mark.parametrize(
    "name", [name for name, (kind, _) in MADE.items() if kind in {"float", "dict[str, float]"}]
)
def test_a_constant_made_again_is_the_same(name):
    kept, made = getattr(tables, name), MADE[name][1]

    assert kept == pytest.approx(made, rel=1e-11)


def test_the_module_lists_what_was_made_and_nothing_else():
    assert set(tables.__all__) == set(MADE)
    assert tables.__doc__.startswith("Coefficients of gas properties; written by `tools")


def test_the_generator_writes_what_python_reads_back():
    text = gas_tables.written({"a": np.array([[1.0, -0.5], [1e-20, 3.0]]), "b": 2.0})

    assert eval(text) == {"a": ((1.0, -0.5), (1e-20, 3.0)), "b": 2.0}  # noqa: S307  # our own text


def test_powers_of_the_generator_are_those_on_paper():
    # T0 + 2 T1 + 3 T2 = 1 + 2 x + 3 (2 x^2 - 1)
    assert gas_tables.as_powers(np.array([1.0, 2.0, 3.0])) == pytest.approx([-2.0, 2.0, 6.0])


def test_a_polynomial_is_interpolated_without_loss():
    found = gas_tables.line_powers(lambda x: 1.0 - 3.0 * x**3, 4)

    assert found == pytest.approx([1.0, 0.0, 0.0, -3.0], abs=1e-14)


def test_liquid_oxygen_is_taken_where_it_boils_at_one_atmosphere():
    state = AbstractState("HEOS", "Oxygen")
    state.update(PQ_INPUTS, 1000.0 * STANDARD_ATMOSPHERE_KPA, 0.0)

    assert state.rhomass() == pytest.approx(tables.LIQUID_OXYGEN_KG_M3, rel=1e-8)


@pytest.mark.comparison
@pytest.mark.soak
@pytest.mark.parametrize("gas", PERMANENT)
def test_contents_keep_far_inside_their_limit(gas):
    share = measured.contents_error_share(gas, counted(20_000))

    assert share < 0.0005  # the limit
    assert share < 1e-6  # the aim


@pytest.mark.comparison
@pytest.mark.soak
@pytest.mark.parametrize("gas", LIQUEFIED)
def test_saturation_and_vapour_keep_far_inside_their_limit(gas):
    line = measured.saturation_error_share(gas, counted(20_000))
    vapour = measured.vapour_error_share(gas, counted(20_000))

    assert max(line, vapour) < 0.001  # the limit
    assert line < 1e-6
    assert vapour < 1e-5


@pytest.mark.comparison
@pytest.mark.soak
@pytest.mark.parametrize("gas", PERMANENT)
def test_the_whole_table_keeps_a_millionth_beyond_the_range_of_use(gas):
    rng = np.random.default_rng(measured.SEED)
    kelvins = rng.uniform(tables.LOW_K, tables.HIGH_K, counted(20_000))
    pressures = rng.uniform(0.1, tables.HIGH_KPA, kelvins.size)
    expected = measured.reference_densities(gas, kelvins, pressures)
    found = measured.g.density_many_kg_m3(gas, kelvins, pressures)

    assert measured.worst_share(found, expected) < 1e-6


@pytest.mark.soak
@pytest.mark.parametrize("gas", PERMANENT)
def test_a_gauge_is_found_back_from_its_contents(gas):
    assert measured.inverse_error_kpa(gas, counted(100_000)) < 0.001
