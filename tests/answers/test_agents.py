"""Agents as liquids, from their rows."""

import pytest

from ullage.answers.agents import (
    LIQUIDS,
    agent_solubility,
    agent_vapour_pressure,
    liquid_of,
)
from ullage.core.agents import vapour_per_liquid_l_l
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.core.units import KINDS

MMHG = KINDS["pressure"]["mmHg"]


# Labels and an encyclopedia: 238, 157, 669, 243, 172 mmHg at 20 °C.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("agent", "mmhg"),
    [
        ("isoflurane", 238),
        ("sevoflurane", 157),
        ("desflurane", 669),
        ("halothane", 243),
        ("enflurane", 172),
    ],
)
def test_the_shipped_lines_give_the_printed_vapour_pressures(agent, mmhg):
    assert liquid_of(agent).vapour_kpa(293.15) / MMHG == pytest.approx(mmhg, rel=0.005)


# Biro 2014: mL of vapour from a mL of liquid; recomputed from density and molar mass.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize("agent", LIQUIDS)
def test_the_printed_vapour_volume_follows_from_density_and_molar_mass(agent):
    liquid = liquid_of(agent)
    own = vapour_per_liquid_l_l(1000.0 * liquid.density.value, liquid.molar_mass.value)

    assert own == pytest.approx(liquid.vapour_per_liquid.value, rel=0.006)


def test_where_two_sets_are_printed_both_are_shown():
    views = agent_vapour_pressure("desflurane").views

    assert [view.chosen for view in views] == [True, False]
    assert "681" in views[1].label
    assert agent_vapour_pressure("isoflurane").views == ()


def test_a_line_from_memory_says_so():
    assert "from memory" in agent_vapour_pressure("halothane").assumptions[0]
    assert agent_vapour_pressure("isoflurane").assumptions == ()


def test_a_gas_is_in_no_vaporizer_and_a_hot_liquid_on_no_line():
    with pytest.raises(UnknownReference, match="in no vaporizer"):
        liquid_of("nitrous oxide")
    with pytest.raises(InvalidQuantity, match="temperature_k"):
        agent_vapour_pressure("desflurane", 330.0)


def test_a_name_may_be_written_as_people_write_it():
    assert liquid_of(" Isoflurane ") == liquid_of("isoflurane")


# Conflicts K-37 to K-40: isoflurane 1.20-1.53, desflurane 0.42-0.57, sevoflurane 0.63-0.74,
# halothane 2.3-2.54; horse 0.92 +- 0.04 (Bergadano 2003).
@pytest.mark.published("partition")
@pytest.mark.parametrize(
    ("agent", "low", "high"),
    [
        ("isoflurane", 1.20, 1.53),
        ("desflurane", 0.424, 0.57),
        ("sevoflurane", 0.65, 0.74),
        ("halothane", 2.3, 2.54),
    ],
)
def test_printed_solubilities_stand_side_by_side_and_inside_the_band(agent, low, high):
    answer = agent_solubility(agent, "human")

    assert answer.low <= low
    assert answer.high >= high
    assert sum(view.chosen for view in answer.views) == 1


def test_a_solubility_borrowed_from_man_says_so_and_is_wider():
    pig, horse = agent_solubility("isoflurane", "pig"), agent_solubility("isoflurane", "horse")

    assert "No coefficient of the pig" in pig.assumptions[0]
    assert horse.assumptions == ()
    assert pig.high / pig.low > horse.high / horse.low


# Conflict K-36, PHY-013: sevoflurane 157 mmHg on the label, 160 in a study and a textbook.
@pytest.mark.published("agents_values")
def test_another_vapour_pressure_of_sevoflurane_stands_beside_the_label():
    views = agent_vapour_pressure("sevoflurane").views

    assert [view.chosen for view in views] == [True, False]
    assert "160 mmHg" in views[1].label
    assert views[1].result == "21.3 kPa"
