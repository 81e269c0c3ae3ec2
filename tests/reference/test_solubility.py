"""Partition coefficients: a user's and those of the published comparisons."""

import pytest

from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown
from ullage.reference.solubility import ValueSet, blood_gas, blood_gas_views, partition


# Esper 2015: isoflurane 1.45, sevoflurane 0.74, desflurane 0.57; Bergadano 2003: horse 0.92, 0.47,
# 1.66; Steward 1975: dog halothane 1.69 + 0.049 x 40.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("agent", "species", "expected"),
    [
        ("isoflurane", "human", 1.45),
        ("desflurane", "human", 0.57),
        ("sevoflurane", "human", 0.74),
        ("desflurane", "rat", 0.57),
        ("isoflurane", "horse", 0.92),
        ("sevoflurane", "horse", 0.47),
        ("halothane", "horse", 1.66),
        ("halothane", "dog", 3.65),
    ],
)
def test_a_user_gets_the_default_of_the_species(agent, species, expected):
    assert blood_gas(agent, species)[0].value == expected


# Labels: isoflurane 1.43, desflurane 0.424; label range of sevoflurane 0.63 to 0.69.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("agent", "expected"), [("isoflurane", 1.43), ("desflurane", 0.424), ("sevoflurane", 0.65)]
)
def test_the_switch_turns_back_to_labels_and_textbooks(agent, expected):
    assert blood_gas(agent, "human", ValueSet.LABEL)[0].value == expected
    assert blood_gas(agent, "pig", ValueSet.LABEL) == blood_gas(agent, "human", ValueSet.LABEL)


def test_the_switch_leaves_species_with_values_of_their_own_alone():
    for agent in ("isoflurane", "sevoflurane", "halothane"):
        assert blood_gas(agent, "horse", ValueSet.LABEL) == blood_gas(agent, "horse")


@pytest.mark.parametrize(("agent", "expected"), [("desflurane", 0.45), ("halothane", 2.54)])
def test_the_published_comparisons_keep_the_values_they_were_run_with(agent, expected):
    assert blood_gas(agent, "human", ValueSet.UPTAKE)[0].value == expected
    assert blood_gas(agent, "dog", ValueSet.UPTAKE)[0].value == expected


def test_a_species_that_was_not_measured_gets_mans_value_and_says_so():
    row, of = blood_gas("isoflurane", "pig")

    assert (row.value, of) == (1.45, "human")


def test_the_recalled_default_of_halothane_is_not_shown_as_seen():
    assert blood_gas("halothane", "human")[0].how_known is HowKnown.MEMORY


def test_every_printed_value_stands_beside_the_one_used():
    printed = {one.row.value for one in blood_gas_views("isoflurane") if one.species == "human"}

    assert printed == {1.43, 1.45, 1.46, 1.20, 1.53, 1.38}


def test_a_gas_without_coefficients_is_named():
    with pytest.raises(UnknownReference, match="No brain/blood of argon in human"):
        partition("argon", "brain_blood")
