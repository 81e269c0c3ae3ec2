"""Rows of `machine_checks.csv` on waste gas, each at its own tolerance."""

from collections.abc import Callable, Mapping

import pytest

from ullage.core.agents import vapour_in_carrier_l_min
from ullage.core.exposure import (
    badge_from_task_ppm,
    eight_hour_average_ppm,
    fresh_air_from_half_time_m3_h,
    room_decayed_ppm,
    room_from_steady_m3,
    room_steady_ppm,
    task_from_badge_ppm,
    vapour_mg_m3,
    vapour_ppm,
)
from ullage.reference import fact, fact_rows, sourced
from ullage.reference.exposure_limits import exposure_limit

AT_25_C, AT_20_C = 298.15, 293.15

#: Sums of standard atomic weights, for agents that are in no vaporizer of today [g/mol].
CHLOROFORM, TRICHLOROETHYLENE = 119.38, 131.39

#: What no answer predicts, and why.
LEFT_OUT: Mapping[str, str] = {"WG07": "the flow of a sampling pump is a quotient of its own row"}


def mass(agent: str) -> float:
    return sourced("agents", f"{agent}.molar_mass_g_mol").value


#: The limits at the end are taken over by name: they say no more than that each has its place.
FOUND: Mapping[str, Callable[[], float]] = {
    "WG01": lambda: vapour_mg_m3(2.0, mass("halothane"), AT_25_C),
    "WG02": lambda: vapour_mg_m3(2.0, mass("enflurane"), AT_25_C),
    "WG03": lambda: vapour_mg_m3(2.0, CHLOROFORM, AT_25_C),
    "WG04": lambda: vapour_mg_m3(2.0, TRICHLOROETHYLENE, AT_25_C),
    "WG05": lambda: vapour_mg_m3(50.0, mass("isoflurane"), AT_20_C),
    "WG06": lambda: vapour_ppm(153.0, mass("isoflurane"), AT_20_C),
    "WG08": lambda: room_steady_ppm(0.3 * 0.02, 50.0, 15.0),
    "WG09": lambda: room_steady_ppm(vapour_in_carrier_l_min(0.02, 2.0), 50.0, 15.0),
    "WG10": lambda: fresh_air_from_half_time_m3_h(20.0, 84.0),
    "WG11": lambda: room_decayed_ppm(16.0, fresh_air_from_half_time_m3_h(20.0, 84.0) / 20.0, 60.0),
    "WG12": lambda: room_from_steady_m3(0.5, 20.0, 31.0),
    "WG13": lambda: task_from_badge_ppm(2.0, 480.0, 45.0),
    "WG14": lambda: eight_hour_average_ppm((10.0, 0.0), (60.0, 420.0)),
    "WG15": lambda: exposure_limit("acgih_isoflurane").level_ppm("isoflurane"),
    "WG16": lambda: exposure_limit("california_isoflurane").level_ppm("isoflurane"),
    "WG17": lambda: exposure_limit("niosh_nitrous_oxide").level_ppm("nitrous oxide"),
    "WG18": lambda: exposure_limit("niosh_with_nitrous_oxide").level_ppm("isoflurane"),
    "WG19": lambda: (
        badge_from_task_ppm(10.0, 60.0, 60.0)
        * (1.0 - sourced("waste", "cut.ventilation_percent").value / 100.0)
    ),
}


def test_every_row_on_waste_gas_has_its_place():
    rows = {one.key for one in fact_rows("machine_checks") if one.key.startswith("WG")}

    assert rows == set(FOUND) | set(LEFT_OUT)
    assert not set(FOUND) & set(LEFT_OUT)


# Sources: NIOSH 77-140, EH40, the Dutch limit, Jayjock 2013, Virtue 1979, Achutan 2016, the
# dilution formula; each stands in its row.
@pytest.mark.published("machine_checks")
@pytest.mark.parametrize("key", FOUND)
def test_a_row_is_met_within_its_own_tolerance(key):
    row = fact("machine_checks", key)

    assert FOUND[key]() == pytest.approx(row.number, abs=float(row.spread) + 1e-9)
