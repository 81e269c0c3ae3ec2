"""What checks say of the readiness of a machine: today's, what was changed since, what failed."""

from datetime import UTC, datetime, timedelta

import pytest

from ullage.answers import Verdict
from ullage.answers.checks import (
    Change,
    ChangeKind,
    CheckEntry,
    check_covers,
    check_list,
    check_result,
    site_leak_limit,
    step_result,
)
from ullage.answers.checks.kept import list_as_dict, list_from_dict
from ullage.answers.checks.ready import LastCheck, checks_say

MORNING = datetime(2026, 6, 9, 7, 40, tzinfo=UTC)
MEASURED = {
    "reserve_cylinder": {"gauge_kpa": 13_500.0, "closed_again": True},
    "suction_bulb": {"flat_off_min": 0.25, "flat_on_min": 0.25},
    "oxygen_analyser": {"air_fraction": 0.21, "oxygen_fraction": 0.99},
    "leak": {"held_kpa": 2.942, "held_flow_l_min": 0.12},
}


def last_check(now=MORNING + timedelta(hours=1), changes=(), **measured):
    found = check_list("start_of_day")
    limits = {"leak": site_leak_limit(0.3, 2.941995)}
    given = MEASURED | measured
    entries = [
        CheckEntry(
            step=one.key, answer=step_result(one, given.get(one.key, {"good": True}), limits)
        )
        for one in found.steps
    ]
    result = check_result(found, entries)
    return LastCheck(
        list=found,
        ended_at=MORNING,
        verdict=result.verdict,
        sentence=result.sentence,
        todo=result.todo,
        covers=check_covers(found, MORNING, now, changes),
    )


def said_of(last, **more):
    return {one.about: one for one in checks_say({"start_of_day": last}, **more)}


def test_a_check_that_passed_this_morning_is_fine_and_each_case_is_named():
    said = said_of(last_check())

    assert said["start of day"].verdict == Verdict.FINE
    assert said["start of day"].sentence == "Start of day, 07:40, passed."
    assert "again before each case" in said["before each case"].sentence


@pytest.mark.parametrize(
    ("hours", "kind", "sentence"),
    [
        (24, None, "It was made on another day."),
        (2, ChangeKind.VAPORIZER, "a vaporizer was changed"),
        (2, ChangeKind.SERVICE, "came back from service"),
    ],
)
def test_what_ran_out_or_was_changed_since_is_not_yet(hours, kind, sentence):
    now = MORNING + timedelta(hours=hours)
    changes = [Change(kind=kind, at=MORNING + timedelta(minutes=5))] if kind else []
    said = said_of(last_check(now, changes))["start of day"]

    assert said.verdict == Verdict.NOT_YET
    assert sentence in said.sentence


def test_a_failed_check_stops_once_and_not_beside_a_state_that_says_it():
    failed = last_check(leak={"held_kpa": 2.942, "held_flow_l_min": 0.45})

    said = said_of(failed)["start of day"]
    assert said.verdict == Verdict.STOP
    assert said.sentence == "Start of day, 07:40, failed: Breathing system holds pressure."
    assert "start of day" not in said_of(failed, is_out=True)


def test_without_a_check_a_machine_is_not_ready():
    assert next(one.verdict for one in checks_say({})) == Verdict.NOT_YET


def test_every_shipped_list_comes_back_from_its_words():
    for key in ("start_of_day", "monthly", "veterinary_circle", "rodent_mask_bench"):
        assert list_from_dict(list_as_dict(check_list(key))) == check_list(key)
