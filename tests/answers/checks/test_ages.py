"""How long a check stands, and what of it is done again."""

from datetime import UTC, datetime, timedelta

import pytest

from ullage.answers import Verdict
from ullage.answers.checks import Change, ChangeKind, check_covers, check_list
from ullage.core.errors import InvalidQuantity

MORNING = datetime(2026, 6, 8, 8, 0)  # noqa: DTZ001  # a check is told in the time of its site
DAY = check_list("start_of_day")


def later(hours):
    return MORNING + timedelta(hours=hours)


def changed(*kinds, hours=1.0):
    return [Change(kind=ChangeKind(one), at=later(hours)) for one in kinds]


def again(check, hours=2.0, changes=()):
    found = check_covers(check_list(check), MORNING, later(hours), changes)
    return {one.what for one in found.steps}


def titles(*keys, of="before_each_case"):
    return {step.title for step in check_list(of).steps if step.key in keys}


# A kitten met a closed relief valve although the check of the day was done (machine_S76).
def test_a_check_of_the_morning_never_stands_for_relief_valve_leak_and_connection():
    found = check_covers(DAY, MORNING, later(2))

    assert {one.what for one in found.steps} == titles(
        "leak", "relief_valve", "vaporizer_filled", "system_complete", "relief_open"
    )
    assert found.verdict is Verdict.NOT_YET
    assert "machine_S76" in found.sources


def test_the_age_is_told_and_the_day_ends_at_midnight():
    evening, night = datetime(2026, 6, 8, 23, 59), datetime(2026, 6, 9, 0, 1)  # noqa: DTZ001  # a check is told in the time of its site
    still, over = (check_covers(DAY, MORNING, one) for one in (evening, night))

    assert still.value == pytest.approx(959.0)
    assert "stands but for" in still.sentence
    assert "no longer stands" in over.sentence
    assert len(over.steps) == len(DAY.steps)


@pytest.mark.parametrize(
    ("kind", "step"),
    [
        ("vaporizer", "Low-pressure side holds a suction bulb flat"),
        ("cylinder", "Oxygen supply: hoses fitted, line pressure read"),
        ("hose", "Oxygen supply: hoses fitted, line pressure read"),
        ("scavenging", "Scavenging connected at both ends"),
    ],
)
def test_what_was_changed_is_looked_at_again(kind, step):
    assert step not in again("start_of_day")
    assert step in again("start_of_day", changes=changed(kind))


@pytest.mark.parametrize("kind", ["absorbent", "hose", "bag", "connection", "vaporizer"])
def test_a_change_of_the_breathing_system_asks_for_the_leak_test_again(kind):
    assert titles("leak") <= again("before_each_case", changes=changed(kind))


def test_a_check_before_a_case_stands_for_that_case_alone():
    case = check_list("before_each_case")

    assert check_covers(case, MORNING, later(1)).verdict is Verdict.FINE
    over = check_covers(case, MORNING, later(3), changed("case"))
    assert over.verdict is Verdict.NOT_YET
    assert "before another case" in over.sentence


def test_what_was_changed_before_the_check_or_lies_ahead_does_not_matter():
    earlier = changed("vaporizer", hours=-1)
    ahead = changed("vaporizer", hours=5)

    assert again("start_of_day", changes=earlier + ahead) == again("start_of_day")


def test_after_a_service_all_of_it_is_checked_again():
    found = check_covers(DAY, MORNING, later(2), changed("service"))

    assert len(found.steps) == len(DAY.steps)
    assert "first user" in found.sentence


def test_a_check_after_a_change_stands_until_the_next_one():
    cylinder = check_list("after_cylinder_change")

    assert check_covers(cylinder, MORNING, later(500)).verdict is Verdict.FINE
    assert check_covers(cylinder, MORNING, later(500), changed("bag")).verdict is Verdict.FINE
    over = check_covers(cylinder, MORNING, later(500), changed("cylinder"))
    assert "After it a cylinder was changed." in over.reasons


@pytest.mark.parametrize(("days", "verdict"), [(30, Verdict.FINE), (31, Verdict.NOT_YET)])
def test_a_monthly_check_stands_for_a_month(days, verdict):
    found = check_covers(check_list("monthly"), MORNING, later(24 * days))

    assert found.verdict is verdict


def test_a_mask_bench_is_not_asked_for_a_relief_valve():
    assert again("rodent_mask_bench") == titles(
        "vaporizer_filled", "masks_and_ports", "relief_open", of="rodent_mask_bench"
    )


def test_a_check_from_the_future_or_of_another_kind_of_time_is_refused():
    with pytest.raises(InvalidQuantity, match="age of the check in minutes is -60"):
        check_covers(DAY, later(1), MORNING)
    with pytest.raises(InvalidQuantity, match="with its zone"):
        check_covers(DAY, MORNING, datetime(2026, 6, 8, 9, 0, tzinfo=UTC))
