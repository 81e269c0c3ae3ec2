"""A check as somebody may have entered it, every step passed."""

from collections.abc import Mapping
from typing import Any

from ullage.answers.checks import (
    CheckEntry,
    CheckList,
    CheckStep,
    MeasureKind,
    check_list,
    site_leak_limit,
    step_result,
)

CMH2O = 0.0980665
#: 300 mL/min at 30 cmH2O.
LIMITS = {"leak": site_leak_limit(0.3, 30 * CMH2O)}

#: Kind of a step -> entries with which it passes.
GOOD: Mapping[MeasureKind, Mapping[str, Any]] = {
    MeasureKind.YES_NO: {"good": True},
    MeasureKind.LEAK: {"held_kpa": "30 cmH2O", "held_flow_l_min": "100 mL/min"},
    MeasureKind.HIGH_PRESSURE_FALL: {
        "started_kpa": "1900 psi",
        "ended_kpa": "1880 psi",
        "elapsed_min": "7 min",
    },
    MeasureKind.SUCTION_BULB: {"flat_off_min": "12 s", "flat_on_min": "11 s"},
    MeasureKind.RESERVE: {"gauge_kpa": "1900 psi", "closed_again": True},
    MeasureKind.REGULATOR: {
        "still_kpa": "50 psi",
        "flowing_kpa": "48 psi",
        "later_kpa": "50 psi",
        "elapsed_min": "1 min",
    },
    MeasureKind.PIPELINE_ALARM: {
        "line_kpa": "50 psi",
        "alarm_sounded": True,
        "alarm_kpa": "29 psi",
    },
    MeasureKind.FLUSH: {"bag_l": "3 L", "elapsed_min": "4 s"},
    MeasureKind.OXYGEN_ANALYSER: {"air_fraction": "20.9 %", "oxygen_fraction": "99 %"},
    MeasureKind.RELIEF_VALVE: {"fell_at_once": True, "open_kpa": "3 cmH2O"},
    MeasureKind.ONE_WAY_VALVES: {
        "inspiratory_moves": True,
        "expiratory_moves": True,
        "goes_round": True,
        "resistance_normal": True,
    },
    MeasureKind.COAXIAL: {"way": "inner tube blocked", "as_expected": True},
    MeasureKind.SCAVENGING: {"still_kpa": "0 cmH2O", "flush_kpa": "6 cmH2O"},
}


def the_step(check: str, key: str) -> CheckStep:
    found = check_list(check).step(key)
    assert found is not None
    return found


def entry(step: CheckStep, given: Mapping[str, Any] | None = None) -> CheckEntry:
    """One entry; passed unless something else is entered."""
    return CheckEntry(
        step=step.key, answer=step_result(step, GOOD[step.kind] if given is None else given, LIMITS)
    )


def passed(check: CheckList, **otherwise: Mapping[str, Any]) -> list[CheckEntry]:
    """Every step of a list in order, passed but for those entered otherwise."""
    return [entry(step, otherwise.get(step.key)) for step in check.steps]
