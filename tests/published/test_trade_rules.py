"""Rules of the trade: common practice, no source. Each is stated beside what physics says.

A rule agrees where the physics lies inside the rule's own tolerance (`trade_rules.csv`); that
is not the accuracy of the rule. Where they part, the difference is stated with its sign:
rule minus physics, as a share of the physics.
"""

import pytest

from tests.published.given import within_tolerance
from ullage.core import gas as g
from ullage.core.gas import FloatShape, Gas
from ullage.core.supply.sources import endurance_min
from ullage.core.units import PSI_KPA, kelvin
from ullage.reference import HowKnown, cylinder_size, fact, fact_rows, sourced

RULES = {row.key: row for row in fact_rows("trade_rules")}

E_L, E_UK_L = (cylinder_size("E", world).water_capacity_l for world in ("US", "UK"))
E_ALUMINIUM_L = 4.62  # inferred from 680 L at 2015 psi (supply_checks C042)
H_L, H_OTHER_L = (one.value for one in cylinder_size("H", "US").water)
ROOM_K = kelvin(21.111)


def held(water_l: float, psi: float, temperature_k: float = ROOM_K) -> float:
    return g.contents_l(Gas.OXYGEN, water_l, PSI_KPA * psi, temperature_k)


def usable(water_l: float, psi: float, stop_psi: float) -> float:
    stop = PSI_KPA * stop_psi
    return g.deliverable_l(Gas.OXYGEN, water_l, PSI_KPA * psi, stop, ROOM_K)


def gauge_psi(water_l: float, contents_l: float) -> float:
    return g.gauge_kpa_from_contents(Gas.OXYGEN, water_l, contents_l, ROOM_K) / PSI_KPA


def hours(water_l: float, stop_psi: float) -> float:
    return endurance_min(usable(water_l, 2100.0, stop_psi), 1.0) / 60.0


#: (rule, what is computed, its printed value, half of its last digit). The table took straight
#: lines between tabulated pressures, which moves 6713 by 1 L.
PHYSICS = [
    ("CP-01", lambda: held(E_L, 2100.0), 730.0, 0.5),
    ("CP-01", lambda: held(E_UK_L, 2100.0), 720.0, 0.5),
    ("CP-01", lambda: held(E_ALUMINIUM_L, 2100.0), 708.0, 0.5),
    ("CP-02", lambda: held(H_L, 2100.0), 6713.0, 1.5),
    ("CP-02", lambda: held(H_OTHER_L, 2100.0), 6591.0, 0.5),
    ("CP-03", lambda: H_L / E_L, 9.2, 0.05),
    ("CP-03", lambda: H_OTHER_L / E_L, 9.0, 0.05),
    ("CP-07", lambda: hours(E_L, 0.0), 12.1, 0.05),
    ("CP-07", lambda: hours(E_L, 200.0), 11.0, 0.05),
    ("CP-08", lambda: hours(H_L, 0.0), 111.0, 0.5),
    ("CP-08", lambda: hours(H_L, 200.0), 101.0, 0.5),
    ("CP-09", lambda: held(E_L, 1000.0), 342.0, 0.5),
    ("CP-09", lambda: usable(E_L, 1000.0, 0.0), 338.0, 0.5),
]


@pytest.mark.comparison
@pytest.mark.parametrize(
    ("key", "compute", "printed", "half"), PHYSICS, ids=[f"{p[0]}-{p[2]:g}" for p in PHYSICS]
)
def test_physics_is_what_stands_beside_the_rule(key, compute, printed, half):
    assert compute() == pytest.approx(printed, abs=half)
    assert f"{printed:g}" in RULES[key].note


#: A rule and the physics that it agrees with, inside the rule's own tolerance. The hours of
#: CP-07 agree down to 200 psi only; to zero gauge the rule is cautious by more.
AGREES = [
    ("CP-01", lambda: held(E_L, 2100.0)),
    ("CP-02", lambda: held(H_L, 2100.0)),
    ("CP-03", lambda: H_L / E_L),
    ("CP-07", lambda: hours(E_L, 200.0)),
    ("CP-08", lambda: hours(H_L, 200.0)),
    ("CP-09", lambda: held(E_L, 1000.0)),
    ("CP-09", lambda: usable(E_L, 1000.0, 0.0)),
]


@pytest.mark.comparison
@pytest.mark.parametrize(("key", "compute"), AGREES, ids=[a[0] for a in AGREES])
def test_a_rule_agrees_inside_its_own_tolerance(key, compute):
    assert within_tolerance(compute(), RULES[key])


#: (id, rule, physics, printed physics with half a digit, printed difference in percent)
PARTS = [
    ("TP-01", 700.0, lambda: held(E_L, 2100.0), (730.0, 0.5), -4),
    ("TP-02", 7000.0, lambda: held(H_L, 2100.0), (6713.0, 1.5), 4),
    ("TP-03", 2100.0, lambda: gauge_psi(E_L, 700.0), (2015.0, 1.0), 4),
    ("TP-04", 2100.0, lambda: gauge_psi(H_L, 7000.0), (2189.0, 1.0), -4),
    ("TP-05", 10.0, lambda: H_L / E_L, (9.2, 0.05), 9),
    ("TP-06", 10.0, lambda: hours(E_L, 200.0), (11.0, 0.05), -9),
    ("TP-07", 100.0, lambda: hours(H_L, 200.0), (101.0, 0.5), -1),
    ("TP-08", 350.0, lambda: usable(E_L, 1000.0, 0.0), (338.0, 0.5), 4),
    ("TP-09", 350.0, lambda: 700.0 * 1000.0 / 2100.0, (333.0, 0.5), 5),
    ("TP-10 at 10 °C", 700.0, lambda: held(E_L, 2100.0, kelvin(10.0)), (772.0, 0.5), -9),
    ("TP-10 at 30 °C", 700.0, lambda: held(E_L, 2100.0, kelvin(30.0)), (700.0, 0.5), 0),
]


@pytest.mark.comparison
@pytest.mark.parametrize(
    ("name", "rule", "compute", "printed", "percent"), PARTS, ids=[p[0] for p in PARTS]
)
def test_where_rule_and_physics_part_both_are_stated(name, rule, compute, printed, percent):
    physics, half = printed

    assert compute() == pytest.approx(physics, abs=half), name
    assert round(100.0 * (rule / compute() - 1.0)) == percent


def test_the_hidden_reserve_of_the_ten_hour_rule_is_what_the_table_says():
    left_e = held(E_L, 2100.0) - 600.0
    left_h = held(H_L, 2100.0) - 6000.0

    assert gauge_psi(E_L, left_e) == pytest.approx(380.0, abs=10.0)
    assert gauge_psi(H_L, left_h) == pytest.approx(220.0, abs=10.0)


def test_a_ball_is_read_at_its_centre_as_the_trade_says():
    assert g.reading_place(FloatShape.BALL) == RULES["CP-18"].value


@pytest.mark.parametrize("row", cylinder_size("H", "US").heights, ids=lambda row: row.key)
def test_every_printed_height_of_an_h_is_about_what_the_trade_says(row):
    assert within_tolerance(row.value, RULES["CP-05"])


@pytest.mark.parametrize("row", cylinder_size("H", "US").diameters, ids=lambda row: row.key)
def test_every_printed_diameter_of_an_h_is_what_the_trade_says(row):
    assert within_tolerance(row.value, RULES["CP-06"])


@pytest.mark.parametrize("psi", [1900.0, 2015.0, 2200.0])
def test_every_service_pressure_seen_is_about_the_full_gauge_of_the_trade(psi):
    assert within_tolerance(psi, RULES["CP-04"])


def test_one_letter_means_one_size_for_e_and_two_for_g():
    us, uk = (cylinder_size("G", world).water_capacity_l for world in ("US", "UK"))

    assert RULES["CP-23"].value == "true"
    assert abs(E_L / E_UK_L - 1.0) < 0.02
    assert RULES["CP-24"].value == "false"
    assert us / uk - 1.0 > 0.2


@pytest.mark.parametrize("key", ["us.nominal_psi", "us.checkout_low_psi", "us.checkout_high_psi"])
def test_the_line_pressure_of_the_trade_is_that_of_its_country(key):
    assert within_tolerance(sourced("pipeline", key).value, RULES["CP-10"])


def test_every_rule_is_common_practice_and_nothing_else():
    assert len(RULES) == 24
    assert {row.how_known for row in RULES.values()} == {HowKnown.COMMON}
    assert fact("trade_rules", "CP-01").mark == "common practice, no source"
