"""Rows LK01 to LK18 of `machine_checks`: leak tests, bulb, reserve, flush, each as answers do it.

A row of a number lies within its own tolerance; a row of pass or fail is the verdict of the step.
Rows whose inputs are from memory (LK02, LK04 to LK07, LK17) say so in the table, and are marked as
computed and not as published.
"""

import pytest

from ullage.answers import Verdict
from ullage.answers.checks import check_list, limit_choices, site_leak_limit, step_result
from ullage.core.breathing import (
    fall_leak_l_min,
    filling_min,
    gas_compliance_l_kpa,
    leak_in_step_l_min,
    leak_through_hole_l_min,
    measured_compliance_l_kpa,
)
from ullage.core.gas import pressure_decay_leak_l_min
from ullage.core.units import convert
from ullage.reference import HowKnown, fact, fact_rows

CMH2O = 0.0980665
ML_CMH2O = 0.001 / CMH2O
MMHG = 0.133322387415
PSI = 6.894757293168361


def fall(compliance_ml_cmh2o: float) -> float:
    """30 to 25 cmH2O in 10 s."""
    compliance = compliance_ml_cmh2o * ML_CMH2O
    return 1000.0 * fall_leak_l_min(compliance, 30 * CMH2O, 25 * CMH2O, 10.0 / 60.0)


NUMBERS = {
    "LK01": lambda: 1000.0 * leak_in_step_l_min(0.25, 20 * CMH2O, 30 * CMH2O),
    "LK02": lambda: 1000.0 * leak_through_hole_l_min(0.25, 20 * CMH2O, 30 * CMH2O),
    "LK03": lambda: 1000.0 * leak_in_step_l_min(0.075, 30 * MMHG, 30 * CMH2O),
    "LK04": lambda: fall(25.0),
    "LK05": lambda: fall(8.0),
    "LK06": lambda: gas_compliance_l_kpa(5.0) / ML_CMH2O,
    "LK07": lambda: measured_compliance_l_kpa(0.050, 4 * CMH2O) / ML_CMH2O,
    "LK10": lambda: pressure_decay_leak_l_min(0.1, 100 * PSI, 5.0),
    "LK15": lambda: 60.0 * filling_min(0.5, 75.0),
    "LK16": lambda: 60.0 * filling_min(0.5, 35.0),
    "LK17": lambda: 60.0 * filling_min(0.5, 1.0),
    "LK18": lambda: convert(1000, "Pa", "pressure", "cmH2O"),
}


def leak(flow_ml_min: float, at_cmh2o: float, limit: str) -> Verdict | None:
    given = {"held_kpa": f"{at_cmh2o} cmH2O", "held_flow_l_min": f"{flow_ml_min} mL/min"}
    chosen = next(one for one in limit_choices("leak") if one.key == limit)
    return _verdict("before_each_case", "leak", given, {"leak": chosen})


def high_pressure(fall_psi: float, minutes: float, cylinder: str) -> Verdict | None:
    given = {
        "started_kpa": "1900 psi",
        "ended_kpa": f"{1900 - fall_psi} psi",
        "elapsed_min": f"{minutes} min",
        "cylinder": cylinder,
    }
    return _verdict("monthly", "high_pressure_leak", given)


def _verdict(check, step, given, limits=None):
    found = check_list(check).step(step)
    assert found is not None
    return step_result(found, given, limits).verdict


VERDICTS = {
    "LK08": lambda: leak(300, 30, "article_30"),
    "LK09": lambda: leak(250, 20, "hospital_20"),
    "LK11": lambda: high_pressure(90, 5, "small"),
    "LK12": lambda: high_pressure(120, 7, "large"),
    "LK13": lambda: _verdict(
        "start_of_day", "suction_bulb", {"flat_off_min": "12 s", "flat_on_min": "6 s"}
    ),
    "LK14": lambda: _verdict(
        "start_of_day", "reserve_cylinder", {"gauge_kpa": "850 psi", "closed_again": True}
    ),
}


def test_every_row_of_leak_tests_is_compared():
    rows = {row.key for row in fact_rows("machine_checks") if row.key.startswith("LK")}

    assert set(NUMBERS) | set(VERDICTS) == rows


# Illinois hospital limit, Wang 1992, Army MD0353, APSF on the flush; the others are arithmetic.
@pytest.mark.published("machine_checks")
@pytest.mark.parametrize("key", NUMBERS)
def test_a_number_lies_within_the_tolerance_of_its_row(key):
    row = fact("machine_checks", key)

    assert NUMBERS[key]() == pytest.approx(float(row.value), abs=float(row.spread) + 1e-9)


# Coleman 2016, Illinois SOP, Army MD0353, FDA 1993 as printed by APSF.
@pytest.mark.published("machine_checks")
@pytest.mark.parametrize("key", VERDICTS)
def test_pass_or_fail_is_what_the_source_says(key):
    passes = {"pass": Verdict.FINE, "fail": Verdict.STOP}

    assert VERDICTS[key]() is passes[fact("machine_checks", key).value]


# LK04 and LK05 say in their notes: 750 fails at 300; 240 passes at 300 and fails at 150.
@pytest.mark.parametrize(
    ("compliance", "limit_ml", "verdict"),
    [(25, 300, Verdict.STOP), (8, 300, Verdict.FINE), (8, 150, Verdict.STOP)],
)
def test_the_same_fall_passes_or_fails_by_compliance_and_limit(compliance, limit_ml, verdict):
    given = {
        "started_kpa": "30 cmH2O",
        "ended_kpa": "25 cmH2O",
        "elapsed_min": "10 s",
        "compliance_l_kpa": f"{compliance} mL/cmH2O",
    }
    limit = site_leak_limit(limit_ml / 1000.0, 30 * CMH2O)

    assert _verdict("before_each_case", "leak", given, {"leak": limit}) is verdict


# LK14 says in its note: the veterinary firm accepts above 200 psi.
def test_a_reserve_that_fails_one_limit_passes_another():
    firm = next(one for one in limit_choices("reserve") if one.key == "firm")
    given = {"gauge_kpa": "850 psi", "closed_again": True}

    found = _verdict("start_of_day", "reserve_cylinder", given, {"reserve": firm})
    assert found is Verdict.FINE


def test_rows_worked_out_from_memory_say_so():
    from_memory = {
        row.key
        for row in fact_rows("machine_checks")
        if row.key.startswith("LK") and row.inputs_known is HowKnown.MEMORY
    }

    assert from_memory == {"LK02", "LK04", "LK05", "LK06", "LK07", "LK17"}
