"""A site with a leak limit, and a hand that fills in a check."""

from uuid import uuid4

import pytest

from ullage.web.checks.models import Check
from ullage.web.checks.selectors import list_of, says_no_animal
from ullage.web.checks.services import (
    Given,
    check_begin,
    limit_choose,
    no_animal_say,
    step_enter,
)

#: What a good machine shows at each measured step of the start of the day.
GOOD = {
    "reserve_cylinder": {"gauge_kpa": 13_500.0, "closed_again": True},
    "suction_bulb": {"flat_off_min": 0.25, "flat_on_min": 0.25},
    "oxygen_analyser": {"air_fraction": 0.21, "oxygen_fraction": 0.99},
    "leak": {"held_kpa": 2.942, "held_flow_l_min": 0.12},
}


@pytest.fixture
def leak_limit(site, lead):
    """The site holds leaks against a published limit."""
    return limit_choose(site=site, name="leak", choice="article_30", by=lead)


@pytest.fixture
def check(machine, operator) -> Check:
    """A check of the start of the day, begun."""
    return check_begin(machine=machine, key="start_of_day", by=operator)


@pytest.fixture
def enter(operator):
    """Enter one step, with the word that no animal is connected where it is asked."""

    def entered(check, key, by=None, **values):
        step = list_of(check).step(key)
        if step.asks_no_animal and not says_no_animal(check, key):
            no_animal_say(check=check, step=key, by=by or operator, code=uuid4())
        given = Given(values=values or GOOD.get(key, {"good": True}))
        return step_enter(check=check, key=key, given=given, by=by or operator)

    return entered


@pytest.fixture
def fill(enter):
    """Enter every step of a check that has no entry yet."""

    def filled(check, by=None):
        for step in list_of(check).steps:
            if not check.entries.filter(step=step.key, word="step").exists():
                enter(check, step.key, by)
        return check

    return filled
