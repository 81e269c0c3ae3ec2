"""What a planned case takes, and the things a plan is made of."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.case_paper import BOX, CAT, PIG, told, with_phases
from ullage.answers import Answer, CasePlan, Verdict, WhereFrom
from ullage.answers.breathing import FlowPhase
from ullage.answers.case_planned import planned_of as _planned
from ullage.answers.case_things import Care, Stretch
from ullage.answers.case_use import absorbent_used, gas_demand
from ullage.core.errors import InvalidQuantity

SAID = WhereFrom(source="entered", how_known="site", text="Entered.")


def demand(case, **more):
    return gas_demand(_planned(told(case, **more)))


def answer(verdict=None):
    return Answer(
        question="Is it?",
        unit="1",
        value=1.0,
        sentence="It is.",
        reasons=("It was seen.",),
        where_from=(SAID,),
        verdict=verdict,
    )


def plan_of(*verdicts, cares=()):
    given = told()
    return CasePlan(
        given=given,
        case=given.case,
        stretches=(),
        answers={str(number): answer(one) for number, one in enumerate(verdicts)},
        flows=(answer(),),
        dials=(),
        levels=(),
        cares=tuple(
            Care(name="x", verdict=one, sentence="So.", todo="Do.", where_from=SAID)
            for one in cares
        ),
        draws=20,
        seed=1,
    )


@pytest.mark.parametrize(
    ("answers", "cares", "worst"),
    [
        ((None, Verdict.FINE), (), Verdict.FINE),
        ((Verdict.LOOK_AGAIN,), (), Verdict.LOOK_AGAIN),
        ((Verdict.NOT_YET, Verdict.LOOK_AGAIN), (), Verdict.NOT_YET),
        ((Verdict.NOT_YET,), (Verdict.STOP,), Verdict.STOP),
        ((None,), (Verdict.LOOK_AGAIN,), Verdict.LOOK_AGAIN),
        ((), (), Verdict.FINE),
    ],
)
def test_a_plan_comes_to_the_worst_that_was_found(answers, cares, worst):
    assert plan_of(*answers, cares=cares).verdict is worst


def test_every_answer_of_a_plan_is_walked_through():
    assert len(list(plan_of(None, None).all_answers)) == 3


def test_a_stretch_knows_its_end_its_flow_and_its_nitrous_oxide():
    one = Stretch(
        name="procedure",
        phase=FlowPhase.HOLD,
        start_min=10.0,
        minutes=30.0,
        oxygen_l_min=1.0,
        air_l_min=0.5,
        nitrous_oxide_l_min=0.5,
    )

    assert (one.end_min, one.flow_l_min, one.nitrous_fraction) == (40.0, 2.0, 0.25)


def test_no_flow_holds_no_nitrous_oxide():
    one = Stretch(name="apnoea", phase=FlowPhase.HOLD, start_min=0.0, minutes=1.0, oxygen_l_min=0.0)

    assert one.nitrous_fraction == 0.0


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("target_mac", 3.5),
        ("target_mac", -1.0),
        ("dial_fraction", 0.6),
        ("mac_fraction", 0.0),
        ("vaporizer_end_fraction", -0.05),
        ("equipment_l", float("nan")),
        ("reach_min", float("inf")),
    ],
)
def test_a_case_refuses_numbers_that_cannot_be(name, value):
    with pytest.raises(InvalidQuantity, match=name):
        told(**{name: value})


# 60 min at 1 L/min are 60 L; 15 % of the minutes as a standard deviation, 90 %: 1.645 x 9 L.
def test_the_range_of_a_demand_is_that_of_the_length_of_the_case():
    found = demand(with_phases(CAT, ("procedure", 60, 1, 0)))["oxygen"]

    assert found.value == pytest.approx(60.0)
    assert (found.low, found.high) == pytest.approx((60.0 - 14.8, 60.0 + 14.8), abs=0.05)


def test_the_spread_of_the_site_is_used_where_it_is_known():
    sure = replace(with_phases(CAT, ("procedure", 60, 1, 0)), minutes_sd_share=0.0)
    found = demand(sure)["oxygen"]

    assert found.low == found.value == found.high


def test_waking_that_nobody_planned_is_no_demand():
    assert demand(with_phases(CAT, ("procedure", 60, 1, 0)))["oxygen"].value == pytest.approx(60.0)


def test_without_nitrous_oxide_none_is_asked_for():
    assert set(demand(CAT)) == {"oxygen"}
    assert set(demand(with_phases(PIG, ("procedure", 30, 1, 1)))) == {"oxygen", "nitrous_oxide"}


def test_the_chamber_is_a_step_of_its_own():
    assert demand(BOX)["oxygen"].steps[-1].what == "filling and purging the chamber"
    assert demand(BOX)["oxygen"].steps[-1].result == "24 L"


@given(st.floats(5.0, 600.0), st.floats(0.5, 10.0))
def test_litres_are_flow_times_minutes(minutes, flow):
    found = demand(with_phases(CAT, ("procedure", minutes, flow, 0)))["oxygen"]

    assert found.value == pytest.approx(minutes * flow)
    assert found.low <= found.value <= found.high


# What a pig of 30 kg makes in an hour, less the share that overflows, at 150 L/kg.
def test_absorbent_takes_what_does_not_overflow():
    case = with_phases(PIG, ("procedure", 60, 1, 0), ("waking", 30, 1, 0))
    planned = _planned(told(case))
    made = planned.animal["co2_output_l_min"].value
    kept = 60.0 * made * (1.0 - 1.0 / planned.animal["minute_volume_l_min"].value)
    found = absorbent_used(planned)

    assert found.value == pytest.approx(1000.0 * kept / 150.0)
    assert found.low < found.value < found.high


def test_more_fresh_gas_spares_absorbent():
    low, high = (
        absorbent_used(_planned(told(with_phases(PIG, ("procedure", 60, flow, 0)))))
        for flow in (0.5, 2.0)
    )

    assert high.value < low.value
