"""Vaporizers: the worked examples of the fact base, and what must hold for any of them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.agents.lines import LINES, MMHG
from ullage.core.agents import (
    bypass_per_chamber,
    heated_dial_fraction,
    measured_flow_fraction,
    partial_pressure_output_fraction,
    saturation_ratio,
    splitting_output_fraction,
    splitting_pressure_output_fraction,
    splitting_share,
    vapour_pressure_kpa,
    wrong_agent_fraction,
)
from ullage.core.errors import InvalidQuantity

ATMOSPHERE = 760.0 * MMHG
LABEL = {"isoflurane": 238.0 * MMHG, "sevoflurane": 157.0 * MMHG, "halothane": 243.0 * MMHG}
DIALS = st.floats(0.0, 0.08)
PRESSURES = st.floats(60.0, 110.0)


# Fact base on agents, section 4: isoflurane dial 1 % at 635 and 526 mmHg, sevoflurane 2 %: by the
# splitting equation 1.31, 1.80, 2.51, 3.23 %; by the rule 1.20, 1.44, 2.39, 2.89 %.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("agent", "dial", "mmhg", "split", "rule"),
    [
        ("isoflurane", 1.0, 635.0, 1.31, 1.20),
        ("isoflurane", 1.0, 526.0, 1.80, 1.44),
        ("sevoflurane", 2.0, 635.0, 2.51, 2.39),
        ("sevoflurane", 2.0, 526.0, 3.23, 2.89),
    ],
)
def test_altitude_by_both_models_gives_the_worked_values(agent, dial, mmhg, split, rule):
    place = mmhg * MMHG
    by_split = splitting_pressure_output_fraction(0.01 * dial, LABEL[agent], place, ATMOSPHERE)
    by_rule = partial_pressure_output_fraction(0.01 * dial, place, ATMOSPHERE)

    assert 100 * by_split == pytest.approx(split, abs=0.0051)
    assert 100 * by_rule == pytest.approx(rule, abs=0.0051)


# The same section: partial pressure +9, +24, +5, +12 % by the splitting equation.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("agent", "dial", "mmhg", "more"),
    [
        ("isoflurane", 0.01, 635.0, 9),
        ("isoflurane", 0.01, 526.0, 24),
        ("sevoflurane", 0.02, 635.0, 5),
        ("sevoflurane", 0.02, 526.0, 12),
    ],
)
def test_the_splitting_equation_does_not_keep_the_partial_pressure(agent, dial, mmhg, more):
    out = splitting_pressure_output_fraction(dial, LABEL[agent], mmhg * MMHG, ATMOSPHERE)

    assert 100 * (out * mmhg / (dial * 760.0) - 1.0) == pytest.approx(more, abs=0.6)


# The same section: isoflurane in a sevoflurane vaporizer at 2 % gives 3.45 %; sevoflurane in an
# isoflurane vaporizer at 1.17 % gives 0.67 %.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("made_for", "holds", "dial", "printed"),
    [("sevoflurane", "isoflurane", 0.02, 3.45), ("isoflurane", "sevoflurane", 0.0117, 0.67)],
)
def test_the_wrong_agent_gives_the_worked_concentration(made_for, holds, dial, printed):
    out = wrong_agent_fraction(dial, LABEL[made_for], LABEL[holds], ATMOSPHERE)

    assert 100 * out == pytest.approx(printed, abs=0.006)


# Andrews & Johnston 1993, abstract: at 22 °C desflurane delivers 14.0, 10.2 and 7.8 MAC from
# devices made for enflurane, isoflurane and halothane set to 1 MAC. A degree below boiling, 2 % of
# vapour pressure change the output by a third: the study's 681 mmHg at 20 °C comes within a fifth
# (the MAC it used was not read: 6, 1.68, 1.15, 0.75 % from memory); the label's 669 stays lower.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("made_for", "mac", "printed"),
    [("enflurane", 0.0168, 14.0), ("isoflurane", 0.0115, 10.2), ("halothane", 0.0075, 7.8)],
)
def test_desflurane_in_an_unheated_vaporizer_gives_many_times_what_was_set(made_for, mac, printed):
    vapour = {name: vapour_pressure_kpa(LINES[name], 295.15) for name in LINES}
    label = wrong_agent_fraction(mac, vapour[made_for], vapour["desflurane"], ATMOSPHERE) / 0.06
    theirs = vapour["desflurane"] * 681.0 / 669.0
    study = wrong_agent_fraction(mac, vapour[made_for], theirs, ATMOSPHERE) / 0.06

    assert study == pytest.approx(printed, rel=0.20)
    assert 4.0 < label < study


@given(DIALS, PRESSURES)
def test_at_the_pressure_of_calibration_the_dial_is_what_comes_out(dial, pressure):
    for vapour in LABEL.values():
        assert splitting_pressure_output_fraction(
            dial, vapour, pressure, pressure
        ) == pytest.approx(dial, abs=1e-12)
        assert partial_pressure_output_fraction(dial, pressure, pressure) == pytest.approx(dial)


@given(st.floats(0.002, 0.08), st.floats(50.0, 100.0))
def test_in_thin_air_the_splitting_equation_is_the_worse_of_the_two(dial, pressure):
    split = splitting_pressure_output_fraction(dial, LABEL["isoflurane"], pressure, ATMOSPHERE)
    rule = partial_pressure_output_fraction(dial, pressure, ATMOSPHERE)

    assert split > rule > dial


@given(DIALS, DIALS)
def test_a_higher_dial_never_delivers_less(one, other):
    low, high = sorted((one, other))
    made_for, holds = LABEL["sevoflurane"], LABEL["isoflurane"]

    assert wrong_agent_fraction(low, made_for, holds, ATMOSPHERE) <= wrong_agent_fraction(
        high, made_for, holds, ATMOSPHERE
    )


@given(st.floats(0.001, 0.2))
def test_split_and_output_are_inverse(dial):
    share = splitting_share(dial, LABEL["isoflurane"], ATMOSPHERE)

    assert splitting_output_fraction(share, LABEL["isoflurane"], ATMOSPHERE) == pytest.approx(dial)
    assert bypass_per_chamber(share) == pytest.approx((1.0 - share) / share)


@given(st.floats(0.0, 1.0), st.floats(1.0, 10.0))
def test_bubbling_all_through_gives_a_saturated_gas_and_none_gives_none(through, other):
    vapour = LABEL["halothane"]
    some = measured_flow_fraction(through, other, vapour, ATMOSPHERE)

    assert 0.0 <= some <= vapour / ATMOSPHERE
    assert measured_flow_fraction(0.0, other, vapour, ATMOSPHERE) == 0.0
    assert measured_flow_fraction(1.0, 0.0, vapour, ATMOSPHERE) == pytest.approx(
        vapour / ATMOSPHERE
    )


# VAP-002: course notes leave the vapour out of the whole, % = 100 VF (S/(P - S))/TF.
def test_the_rule_of_the_course_notes_is_the_same_with_the_vapour_left_out():
    vapour, chamber, other = LABEL["isoflurane"], 0.1, 4.9
    note = chamber * saturation_ratio(vapour, ATMOSPHERE) / (chamber + other)
    exact = measured_flow_fraction(chamber, other, vapour, ATMOSPHERE)

    assert exact == pytest.approx(note / (1.0 + note))


def test_a_heated_vaporizer_is_set_higher_where_the_air_is_thin():
    assert heated_dial_fraction(0.06, 0.8 * ATMOSPHERE, ATMOSPHERE) == pytest.approx(0.075)


def test_what_boils_has_no_split():
    with pytest.raises(InvalidQuantity, match="the agent boils there"):
        saturation_ratio(101.0, 88.0)


def test_a_dial_that_no_chamber_can_give_is_refused():
    with pytest.raises(InvalidQuantity, match="saturated chamber"):
        splitting_share(0.40, LABEL["isoflurane"], ATMOSPHERE)


def test_no_flow_at_all_carries_nothing():
    with pytest.raises(InvalidQuantity, match="flow through and past"):
        measured_flow_fraction(0.0, 0.0, LABEL["isoflurane"], ATMOSPHERE)
