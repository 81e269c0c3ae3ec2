"""Readings alone name the leaking cylinder of a world, and accuse no other."""

import os

import pytest

from benchmarks.demo_worlds import SEEDS, accused_in
from benchmarks.frame import modules

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.mark.django_db
@pytest.mark.parametrize("seed", SEEDS[:2])
def test_the_leaking_cylinder_is_named_and_no_other(seed):
    found = accused_in(seed)

    assert found.named == {found.leaking}


@pytest.mark.django_db
@pytest.mark.soak
@pytest.mark.skipif("ULLAGE_SOAK" not in os.environ, reason="the full count runs in make soak")
def test_twenty_worlds_name_the_leak_at_least_nineteen_times_and_accuse_no_other():
    found = [accused_in(seed) for seed in SEEDS]

    assert sum(one.is_right for one in found) >= 19
    assert not [one.wrongly for one in found if one.wrongly]


def test_the_benchmark_of_the_worlds_is_run_with_the_others():
    assert "demo_worlds" in modules()
