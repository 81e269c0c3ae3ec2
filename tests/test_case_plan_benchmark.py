"""The figures of planning a case at a tenth of their counts: every line is there, none is timed."""

from benchmarks import case_plan as measured
from ullage.answers import Verdict, case_plan


def test_every_case_is_one_that_can_be_planned():
    for name, given in measured.cases().items():
        plan = case_plan(given, draws=20)

        assert len(plan.dials) >= 2, name
        assert ("nitrous_oxide" in plan.answers) == ("nitrous oxide" in name)
        assert plan.verdict is not Verdict.NOT_YET


def test_each_case_has_its_line_with_the_limit_of_three_hundred_milliseconds():
    found = list(measured.planned(draws=20, repeats=1))

    assert [one.name for one in found] == [f"plan a case, {name}" for name in measured.cases()]
    assert {(one.limit, one.unit, one.n) for one in found} == {(300.0, "ms", 20)}
    assert all(one.value > 0.0 and "what changes" in one.note for one in found)


def test_cost_is_told_for_time_and_for_animals():
    found = list(measured.growth(draws=20, repeats=1))

    assert ["time" in one.name for one in found] == [True, False]
    assert all(one.value > 0.0 for one in found)


def test_a_fresh_process_is_timed():
    first = next(measured.started(runs=1))

    assert (first.name, first.limit) == ("ullage case from a cold start, mouse", 1.5)
    assert first.value > 0.0
