"""What a site sets for itself: flows by its own rule, values of a species for one kilogram."""

import pytest

from ullage.answers import BreathingSystem, CaseInput, FlowPhase, animal, case_plan
from ullage.answers.plan import Case, Phase
from ullage.answers.site_flows import SiteFlows, site_flow_l_min, with_site_flows
from ullage.answers.site_values import SETTABLE, overrides_at, unit_set_in
from ullage.core.errors import InvalidQuantity, UnknownReference

CAT = animal("cat", 4.0)


def asked(system="T-piece", species="cat", weight_kg=4.0, **more):
    phases = (Phase(name="procedure", minutes=45), Phase(name="waking", minutes=10))
    case = Case(
        name="Tansy",
        machine="Wren",
        start_min=600,
        phases=phases,
        species=species,
        weight_kg=weight_kg,
        system=system,
    )
    known = {"target_mac": 1.2, "drugs": (), "flows_given": False, **more}
    return CaseInput(case=case, agent="isoflurane", **known)


def test_of_two_rules_without_absorber_the_larger_holds():
    breath = CAT["minute_volume_l_min"].value
    rule = SiteFlows(open_multiple=2.0, open_l_min_kg=0.1)

    found = site_flow_l_min(CAT, BreathingSystem.T_PIECE, FlowPhase.HOLD, rule)
    assert found == pytest.approx(max(2.0 * breath, 0.4))


@pytest.mark.parametrize(
    "system",
    [BreathingSystem.NOSE_CONE, BreathingSystem.CHAMBER, BreathingSystem.LARGE_CIRCLE],
)
def test_devices_keep_their_own_rules(system):
    rule = SiteFlows(open_multiple=2.0, circle_hold_l_min_kg=0.03)

    assert site_flow_l_min(CAT, system, FlowPhase.HOLD, rule) is None


def test_the_plan_takes_the_flow_of_the_site_and_says_so():
    plan = case_plan(with_site_flows(asked(), SiteFlows(open_l_min_kg=0.3)), 20)

    # 300 mL/kg/min times 4 kg.
    assert [one.oxygen_l_min for one in plan.case.phases] == pytest.approx([1.2] * 4)
    chosen = [view.label for view in plan.flows[0].views if view.chosen]
    assert chosen == ["Set by the site or for this case"]


def test_a_flow_that_was_typed_stands_before_the_rule():
    typed = asked(flows_given=True)

    assert with_site_flows(typed, SiteFlows(open_l_min_kg=0.3)) is typed


def test_a_rule_that_says_nothing_of_this_system_changes_nothing():
    given = asked("circle", "pig", 30.0)

    assert with_site_flows(given, SiteFlows(open_multiple=2.0)) is given


def test_what_the_site_set_for_a_kilogram_is_taken_to_the_animal_and_said():
    own = overrides_at(4.0, {"tidal_l": 10.0})
    plan = case_plan(asked(overrides=own), 20)

    assert own == {"tidal_l": pytest.approx(0.04)}
    said = [line for one in plan.all_answers for line in one.assumptions]
    assert any("Set by the site: tidal l" in line for line in said)


@pytest.mark.parametrize("name", SETTABLE)
def test_every_value_that_a_site_may_set_is_one_of_an_animal(name):
    assert unit_set_in(name)
    assert overrides_at(4.0, {name: 1.0})[name] > 0.0


def test_what_cannot_be_is_refused():
    with pytest.raises(UnknownReference, match="'wing span'"):
        overrides_at(4.0, {"wing span": 1.0})
    with pytest.raises(InvalidQuantity, match="weight_kg"):
        overrides_at(0.0, {"tidal_l": 10.0})
    with pytest.raises(InvalidQuantity, match="open_multiple"):
        SiteFlows(open_multiple=-1.0)
