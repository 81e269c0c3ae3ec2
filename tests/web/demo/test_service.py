"""Service of the practice world: one vaporizer overdue, one that drifts, the rest in order."""

import pytest

from ullage.web.machines.selectors import Part
from ullage.web.service.models import Certificate, ServiceEvent
from ullage.web.service.selectors import (
    DueAsked,
    answer_of,
    due_list,
    events_of,
    limit_at,
    trend_of,
)

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def today(world):
    return world.local_now.date()


def vaporizer(machine):
    return Part.objects.get(kind="vaporizer", name="Isoflurane", machine__name=machine)


def test_one_vaporizer_is_overdue_for_its_output_test_and_nothing_else_is(world, today):
    late = due_list(world.sites[0], DueAsked(when="overdue"), today).lines

    assert [(one.task, one.thing) for one in late] == [("Output test", vaporizer("Heron"))]


def test_one_vaporizer_drifts_towards_its_limit(world, today):
    wren = vaporizer("Wren")
    trend = trend_of(wren, events_of(parts=[wren]), today)

    assert len(trend.tests) == 5
    assert -4.0 < trend.trend.value < -2.0
    assert trend.trend.high < 0
    assert trend.forecast.verdict == "Look again"
    assert 200 < trend.forecast.value < 1200


def test_every_test_of_the_site_with_a_limit_was_within_it(world):
    fennel, saddle = world.sites
    tests = ServiceEvent.objects.filter(kind="output_test")

    assert {answer_of(one).verdict for one in tests.filter(site=fennel)} == {"Fine"}
    assert {answer_of(one).verdict for one in tests.filter(site=saddle)} == {"Not yet"}
    assert limit_at(saddle) is None


def test_the_paper_says_that_it_is_invented(world):
    paper = Certificate.objects.filter(event__site=world.sites[0]).get()

    assert paper.kind == "PNG"
    assert "invented" in paper.event.done_by
