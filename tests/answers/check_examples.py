"""One call per answer about checks, for the test of every answer."""

from datetime import datetime

from tests.answers.checks.entered import LIMITS, passed, the_step
from ullage.answers import check_covers, check_result, step_result
from ullage.answers.checks import check_list

DAY = check_list("start_of_day")
FALL = {"started_kpa": "30 cmH2O", "ended_kpa": "20 cmH2O", "elapsed_min": "31.4 s"}

CHECK_EXAMPLES = {
    "check_covers": lambda: check_covers(
        DAY,
        datetime(2026, 6, 8, 8, 0),  # noqa: DTZ001  # a check is told in the time of its site
        datetime(2026, 6, 8, 12, 0),  # noqa: DTZ001  # a check is told in the time of its site
    ),
    "check_result": lambda: check_result(DAY, passed(DAY)),
    "step_result": lambda: step_result(
        the_step("start_of_day", "leak"), {**FALL, "compliance_l_kpa": "22 mL/cmH2O"}, LIMITS
    ),
}
