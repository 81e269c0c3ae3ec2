"""What is due: from answers, readings, tests and cases, each with its time and its page."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.web.days.conftest import answer
from ullage.answers import Verdict
from ullage.answers.words import CLOCK
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import board_of, due_of, next_of
from ullage.web.supply.models import Cylinder, CylinderChange, Reading, Source

pytestmark = pytest.mark.web


@pytest.fixture
def due(site, today):
    def found(now=None):
        return due_of(board_of(site, today, now or timezone.now()), site)

    return found


@pytest.fixture
def noon(at):
    return at(12)


@pytest.fixture
def read_at(reading):
    def move(when):
        Reading.objects.update(at=when)

    return move


def reading_by(low, value, high):
    return answer(
        "When is the next reading due?", CLOCK, value, low=low, high=high,
        sentence="Read it at half of what is left.",
    ).as_dict()  # fmt: skip


@pytest.mark.usefixtures("keep", "case", "reading")
def test_with_nothing_to_do_nothing_is_due_and_the_plan_is_offered(due, site, today, noon, read_at):
    PlannedCase.objects.all().delete()
    read_at(noon - timedelta(minutes=5))
    found = due(noon)

    assert found == []
    step = next_of(board_of(site, today, noon), found)
    assert (step.words, step.label) == ("Nothing waits", "Day plan")
    assert step.url == f"/day/{today.isoformat()}/"


@pytest.mark.usefixtures("case")
def test_the_early_end_of_the_band_is_the_time_to_change(
    due, reading, keep_day, outlook_of, noon, read_at
):
    """Likely 13:49 to 14:24: by 13:49."""
    read_at(noon)
    keep_day(outlook_of(verdict=Verdict.LOOK_AGAIN))
    change = next(one for one in due(noon) if one.what.startswith("Full cylinder"))

    assert (change.when, change.at_min) == ("by 13:49", 829.0)
    assert change.small == "Fit a full one before Sorrel."
    assert change.label == "Change cylinder"
    assert change.url == reverse("supply:cylinder", kwargs={"code": reading.cylinder.code})


def test_what_lasts_past_midnight_is_not_of_today(due, case, reading, keep_day, outlook_of, noon):
    until = answer("How long?", CLOCK, 1600.0, low=1500.0, high=1700.0, verdict=Verdict.FINE)
    keep_day(outlook_of(lasts_until=until.as_dict()))

    assert not [one for one in due(noon) if one.what.startswith("Full cylinder")]


def test_the_first_change_over_of_a_manifold_is_due_before_the_end_of_both_banks(
    due, case, reading, keep_day, outlook_of, noon
):
    over = answer("When does it change over?", CLOCK, 760.0, low=745.0, high=775.0)
    keep_day(outlook_of(verdict=Verdict.LOOK_AGAIN, change_overs=[over.as_dict()]))
    change = [one for one in due(noon) if one.what.startswith("Full cylinder")]

    assert [one.when for one in change] == ["by 12:25"]


@pytest.mark.parametrize(
    ("hour", "said"),
    [
        (12, (Verdict.NOT_YET, "")),
        (13, (Verdict.NOT_YET, "")),
        (14, (Verdict.LOOK_AGAIN, "Late")),
    ],
)
@pytest.mark.usefixtures("case", "reading")
def test_the_next_reading_is_late_once_its_early_end_has_passed(
    due, keep_day, outlook_of, at, hour, said
):
    keep_day(outlook_of(next_reading=reading_by(810.0, 830.0, 850.0)))
    (gauge,) = [one for one in due(at(hour)) if one.what == "Gauge reading, Alder" and one.page]

    assert gauge.when == "by 13:30"
    assert (gauge.verdict, gauge.word) == said
    assert gauge.small.endswith(", 71 bar")


def test_a_reserve_asks_for_no_change_of_its_own(due, case, reading, keep_day, outlook_of, noon):
    wall = reading.cylinder.source
    behind = Source.objects.create(site=wall.site, name="Behind", kind="cylinder", reserve_of=wall)
    behind.machines.add(case.machine)
    keep_day(outlook_of("Behind", Verdict.LOOK_AGAIN, reserve_of="Wall oxygen"))

    assert not [one for one in due(noon) if "Behind" in one.what]


@pytest.mark.parametrize(
    ("days", "verdict", "word"),
    [(-1, Verdict.STOP, "Overdue"), (0, Verdict.LOOK_AGAIN, ""), (14, Verdict.LOOK_AGAIN, "")],
)
def test_a_pressure_test_is_named_two_weeks_ahead_and_stops_once_it_is_past(
    due, cylinder, noon, days, verdict, word
):
    Cylinder.objects.update(test_due=noon.date() + timedelta(days=days))
    (test,) = [one for one in due(noon) if one.what == "Pressure test of Alder"]

    assert (test.verdict, test.word) == (verdict, word)


def test_a_test_that_is_further_off_is_not_named(due, cylinder, noon):
    Cylinder.objects.update(test_due=noon.date() + timedelta(days=15))

    assert not [one for one in due(noon) if "Pressure test" in one.what]


def test_a_gauge_that_nobody_has_read_is_due_before_its_next_use(due, case, cylinder, at):
    (gauge,) = [one for one in due(at(9)) if one.what == "Gauge reading, Alder"]

    assert (gauge.when, gauge.small) == ("before use", "never read here")
    # Clover begins at 10:30.
    assert gauge.at_min == 630.0


def test_without_a_use_today_it_is_due_at_the_end_of_the_day(due, cylinder, at):
    (gauge,) = [one for one in due(at(9)) if one.what == "Gauge reading, Alder"]

    assert gauge.at_min == 1440.0


@pytest.mark.parametrize(("hours", "is_due"), [(23.9, False), (24.1, True)])
def test_a_reading_is_old_after_the_hours_of_the_site(due, reading, noon, read_at, hours, is_due):
    read_at(noon - timedelta(hours=hours))

    assert bool([one for one in due(noon) if one.what == "Gauge reading, Alder"]) is is_due


def test_a_site_may_ask_for_readings_more_often(due, site, reading, noon, read_at):
    site.reading_stale_h = 2
    site.save()
    read_at(noon - timedelta(hours=3))

    assert [one.word for one in due(noon) if one.what == "Gauge reading, Alder"] == ["Late"]


def test_a_question_that_waits_is_due_now(due, reading, noon):
    Reading.objects.create(
        cylinder=reading.cylinder, at=noon - timedelta(minutes=2), gauge_kpa=17_100.0,
        typed="171 bar", asked="Another cylinder?", by=reading.by,
    )  # fmt: skip
    (asked,) = [one for one in due(noon) if "question" in one.what]

    assert (asked.when, asked.at_min, asked.label) == ("now", 720.0, "Answer it")


def test_a_change_of_cylinder_that_was_left_is_due_now(due, cylinder, operator, noon):
    change = CylinderChange.objects.create(
        source=cylinder.source, old=cylinder, step="seal", started_at=noon, started_by=operator
    )
    (left,) = [one for one in due(noon) if one.what.startswith("Change of cylinder")]

    assert left.url == reverse("supply:change", kwargs={"code": change.code})
    assert (left.when, left.verdict) == ("now", Verdict.LOOK_AGAIN)


@pytest.mark.parametrize(
    ("state", "is_late"),
    [
        (CaseState.PLANNED, True),
        (CaseState.RUNNING, False),
        (CaseState.DONE, False),
        (CaseState.CANCELLED, False),
    ],
)
def test_only_a_planned_case_is_late(due, case, noon, state, is_late):
    PlannedCase.objects.update(state=state)
    late = [one for one in due(noon) if one.what == "First gas, Clover"]

    assert bool(late) is is_late
    assert all(one.url.endswith(f"#case-{case.code}") for one in late)


def test_a_case_at_this_very_minute_is_not_late_yet(due, case):
    assert not [one for one in due(case.starts_at) if one.what == "First gas, Clover"]


@pytest.mark.usefixtures("case", "reading")
def test_the_earliest_comes_first_and_at_one_time_the_gravest(
    due, keep_day, outlook_of, noon, read_at
):
    read_at(noon)
    keep_day(outlook_of(verdict=Verdict.STOP, next_reading=reading_by(829.0, 840.0, 850.0)))
    Cylinder.objects.update(test_due=noon.date() - timedelta(days=3))
    found = due(noon)

    assert [one.what for one in found] == [
        "First gas, Clover",
        "Full cylinder on Wall oxygen",
        "Gauge reading, Alder",
        "Pressure test of Alder",
    ]
    assert [one.at_min for one in found] == sorted(one.at_min for one in found)


@pytest.mark.usefixtures("case", "reading")
def test_the_next_step_is_the_gravest_and_of_those_the_earliest(
    due, site, keep_day, outlook_of, noon, read_at
):
    read_at(noon)
    keep_day(outlook_of(verdict=Verdict.LOOK_AGAIN))
    Cylinder.objects.update(test_due=noon.date() - timedelta(days=3))
    step = next_of(board_of(site, noon.date(), noon), due(noon))

    # The test that is past is a stop; the late case and the change only look again.
    assert step.words.startswith("Pressure test of Alder")
    assert step.label == "Look at it"
