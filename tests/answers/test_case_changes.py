"""What changes with flow, dial and system of a planned case: before and after, and the laws."""

import json
from dataclasses import replace

import pytest

from tests.answers.case_paper import BLOWN, CAT, MOUSE, PIG, told, with_phases
from ullage.answers import Answer, Change, case_plan, what_changes
from ullage.answers.case_changes import usual_changes
from ullage.answers.case_course import middle_course
from ullage.answers.case_planned import planned_of
from ullage.answers.plan import Chamber
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.reference import sources

HALF, TWICE = Change(flow_factor=0.5), Change(flow_factor=2.0)
UP, DOWN = Change(dial_step_fraction=0.005), Change(dial_step_fraction=-0.005)


def rows(change, case=PIG, **more):
    return {one.name: one for one in what_changes(told(case, **more), change).rows}


@pytest.fixture(scope="module")
def pig_plan():
    return case_plan(told(PIG))


@pytest.fixture(scope="module")
def halved():
    return rows(HALF)


def test_a_plan_has_the_usual_changes(pig_plan):
    words = [one.words for one in pig_plan.changes]

    assert words[:4] == ["Flow halved", "Flow doubled", "Dial up 0.5 %", "Dial down 0.5 %"]
    assert words[4].startswith("On a ")
    assert pig_plan.changes is pig_plan.changes


def test_what_is_before_is_what_the_plan_says(pig_plan):
    for change in pig_plan.changes:
        for row in change.rows:
            assert row.before == pig_plan.answers[row.name]


# 10 min at 2 and 45 at 1 L/min are halved, 10 min of waking at 2 L/min are not: 10 + 22.5 + 20.
def test_half_the_flow_takes_half_the_oxygen_while_agent_is_given(halved):
    assert halved["oxygen"].after.value == pytest.approx(52.5)


def test_half_the_flow_on_a_circle_lowers_the_level_and_uses_half_the_agent(halved):
    for name in ("start_level", "end_tidal", "inspired_oxygen", "regain"):
        assert halved[name].after.value < halved[name].before.value
    assert halved["agent"].after.value == pytest.approx(halved["agent"].before.value / 2, rel=1e-6)
    assert halved["reach"].after.value is None
    assert halved["reach"].after.settles


def test_more_flow_comes_nearer_to_what_is_delivered():
    found = rows(TWICE)

    assert found["start_level"].after.value > found["start_level"].before.value
    assert found["reach"].after.value < found["reach"].before.value


def test_flow_does_not_change_the_level_of_an_open_system():
    found = rows(TWICE, CAT)

    assert found["end_tidal"].after.value == pytest.approx(found["end_tidal"].before.value)
    assert found["oxygen"].after.value > found["oxygen"].before.value


def test_a_dial_turned_up_and_down_moves_level_and_waking_with_it():
    up, down = rows(UP), rows(DOWN)

    for name in ("start_level", "end_tidal", "regain", "agent"):
        assert down[name].after.value < up[name].before.value < up[name].after.value
    assert up["oxygen"].after.value == up["oxygen"].before.value


def test_a_level_moves_as_that_of_the_middle_animal_does(pig_plan):
    planned = planned_of(told(PIG))
    before = middle_course(planned, pig_plan.delivered).end_tidal[0, -1]
    up = [min(one + 0.005, 0.05) for one in pig_plan.delivered]
    after = middle_course(planned, up).end_tidal[0, -1]
    row = rows(UP)["end_tidal"]

    assert row.after.value / row.before.value == pytest.approx(after / before)
    assert row.after.low / row.before.low == pytest.approx(after / before)


def test_a_changed_figure_is_near_what_a_plan_of_its_own_gives(pig_plan):
    """The middle animal stands for two hundred: levels within 2 %, waking within a tenth."""
    fixed = told(PIG, dial_fraction=0.03, target_mac=None)
    phases = (("induction", 10, 1.0, 0), ("procedure", 45, 0.5, 0), ("waking", 10, 2.0, 0))
    own = case_plan(told(with_phases(PIG, *phases), dial_fraction=0.03, target_mac=None))
    found = {one.name: one.after for one in what_changes(fixed, HALF).rows}

    for name, near in (("end_tidal", 0.02), ("inspired_oxygen", 0.01), ("regain", 0.1)):
        assert found[name].value == pytest.approx(own.answers[name].value, rel=near)
    assert found["agent"].value == pytest.approx(own.answers["agent"].value)


def test_a_dial_stops_at_its_ends(pig_plan):
    most = rows(Change(dial_step_fraction=0.4))
    least = rows(Change(dial_step_fraction=-0.4))

    assert most["end_tidal"].after.value <= 5.0
    assert least["end_tidal"].after.value == pytest.approx(0.0, abs=1e-9)
    assert least["reach"].after.value is None


def test_another_system_comes_with_the_flows_of_its_rules():
    change = what_changes(told(PIG), Change(system="Bain"))
    found = {one.name: one for one in change.rows}

    assert change.words == "On a coaxial D with the flows of its rules"
    # 250 mL/kg/min of the first rule, 30 kg: 7.5 L/min for 65 min.
    assert found["oxygen"].after.value == pytest.approx(7.5 * 65)
    assert "system" in {one.name for one in change.cares}


def test_what_would_be_unsafe_after_a_change_is_told():
    change = what_changes(told(MOUSE), Change(flow_factor=0.005))

    assert "flow below need" in {one.name for one in change.cares}
    assert len({one.name for one in change.cares}) == len(change.cares)


def test_what_was_unsafe_before_is_not_told_again():
    given = told(PIG, warmed=None)

    assert "warmth" in {one.name for one in case_plan(given).cares}
    assert "warmth" not in {one.name for one in what_changes(given, HALF).cares}


def test_only_gas_is_told_before_the_drugs_are_known():
    plan = case_plan(told(PIG, drugs=None))

    assert {row.name for one in plan.changes for row in one.rows} == {"oxygen"}
    assert not any(one.change.dial_step_fraction for one in plan.changes)


def test_nitrous_oxide_is_counted_before_and_after():
    case = with_phases(PIG, ("induction", 10, 2, 2), ("procedure", 30, 1, 1), ("waking", 10, 2, 0))
    found = rows(HALF, case)

    assert found["nitrous_oxide"].after.value == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("case", "factors"),
    [
        (with_phases(PIG, ("procedure", 30, 0.6, 0)), {2.0}),
        (with_phases(PIG, ("procedure", 30, 8.0, 0)), {0.5}),
        (CAT, {2.0}),
        (PIG, {0.5, 2.0}),
    ],
)
def test_flow_is_changed_only_as_far_as_animal_and_vaporizer_allow(case, factors):
    usual = usual_changes(planned_of(told(case)))

    assert {one.flow_factor for one in usual if one.flow_factor != 1.0} == factors


def test_a_chamber_keeps_its_flow():
    boxed = replace(MOUSE, chamber=Chamber(volume_l=4.0))
    found = rows(TWICE, boxed)

    # 10 min at 2 L/min in the chamber and 10 of waking stay, 45 at 1 become 2; 24 L fill and purge.
    assert found["oxygen"].after.value == pytest.approx(20 + 90 + 20 + 24)


def test_a_machine_that_breathes_may_be_changed_too():
    assert rows(HALF, BLOWN)["end_tidal"].after.value > 0.0


def test_several_things_may_change_at_once():
    change = what_changes(told(PIG), Change(flow_factor=0.5, dial_step_fraction=0.005))

    assert change.words == "Flow halved and dial up 0.5 %"


def test_every_changed_answer_is_whole_and_comes_back(pig_plan):
    for change in pig_plan.changes:
        assert change.sentence.endswith(".")
        for row in change.rows:
            after = row.after
            assert set(after.sources) <= set(sources())
            assert after.covers or after.low is None
            assert after.value is not None or after.settles
            assert Answer.from_dict(after.as_dict()) == after
    assert json.loads(json.dumps(pig_plan.as_dict()))["changes"][0]["rows"]


def test_a_change_of_nothing_is_refused():
    with pytest.raises(RuleBroken, match="Nothing would change"):
        what_changes(told(), Change())


def test_a_chamber_is_no_system_to_change_to():
    with pytest.raises(RuleBroken, match="A chamber is for falling asleep"):
        what_changes(told(), Change(system="box"))


def test_a_system_that_nobody_knows_is_refused():
    with pytest.raises(UnknownReference, match="No breathing system 'bagpipe'"):
        what_changes(told(), Change(system="bagpipe"))


@pytest.mark.parametrize(
    "more",
    [
        {"flow_factor": 0.0},
        {"flow_factor": -1.0},
        {"flow_factor": float("nan")},
        {"flow_factor": 1e9},
        {"dial_step_fraction": 2.0},
        {"dial_step_fraction": float("nan")},
    ],
)
def test_a_change_that_cannot_be_is_refused(more):
    with pytest.raises(InvalidQuantity, match=next(iter(more))):
        Change(**more)
