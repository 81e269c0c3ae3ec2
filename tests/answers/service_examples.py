"""One call per answer about service and calibration."""

from collections.abc import Callable
from datetime import date

from ullage.answers import Answer, drift_forecast, output_trend, service_due, vaporizer_tested
from ullage.answers.service import (
    DueRow,
    ErrorOn,
    OutputPoint,
    OutputTest,
    due_of,
    intervals_of,
    limit_of,
)

__all__ = ["SERVICE_EXAMPLES"]

_TODAY = date(2026, 6, 9)
_YEARS = tuple(ErrorOn(date(2022 + n, 5, 2), -0.03 * n) for n in range(5))
_LOW = OutputTest(
    agent="isoflurane",
    points=(OutputPoint(0.02, 0.0165),),
    barometric_kpa=100.6,
    temperature_k=294.15,
    fresh_gas_l_min=2.0,
)
_TESTED = DueRow("v", "vaporizer", "isoflurane", done={"output_test": date(2025, 6, 4)})
_FIRST = due_of(_TESTED, intervals_of()[0])

SERVICE_EXAMPLES: dict[str, Callable[[], Answer]] = {
    "drift_forecast": lambda: drift_forecast(_YEARS, limit_of("policy"), _TODAY),
    "output_trend": lambda: output_trend(_YEARS),
    "service_due": lambda: service_due(_FIRST, _TODAY),
    "vaporizer_tested": lambda: vaporizer_tested(_LOW, limit_of("policy")),
}
