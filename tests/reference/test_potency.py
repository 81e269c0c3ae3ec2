"""MAC of every species and agent as the table of agents has it."""

import pytest

from ullage.reference import HowKnown
from ullage.reference.potency import (
    Confidence,
    breed_of,
    lenders,
    mac_default,
    mac_measured,
    mac_species,
    uptake_mac,
)

# Each with the study or label behind it: Mapleson 1996; Steffey & Howland 1977; Vivien 1999;
# sevoflurane label; Antognini & Eisele 1993; isoflurane label; Tendillo 1997; Midon 2021.
SEEN = [
    ("human", "isoflurane", 1.17),
    ("human", "sevoflurane", 1.80),
    ("human", "desflurane", 6.6),
    ("human", "halothane", 0.75),
    ("human", "nitrous oxide", 104.0),
    ("cat", "isoflurane", 1.63),
    ("dog", "isoflurane", 1.28),
    ("dog", "sevoflurane", 2.36),
    ("hamster", "desflurane", 7.48),
    ("goat", "isoflurane", 1.5),
    ("goat", "halothane", 1.3),
    ("horse", "isoflurane", 1.31),
    ("horse", "desflurane", 7.6),
    ("ferret", "halothane", 1.01),
    ("chicken", "isoflurane", 1.18),
]


@pytest.mark.published("agents_values")
@pytest.mark.parametrize(("species", "agent", "percent"), SEEN)
def test_a_value_that_was_read_is_the_default(species, agent, percent):
    found = mac_default(species, agent)

    assert found.row.value == percent
    assert found.confidence is Confidence.HIGH
    assert found.row.how_known is HowKnown.SEEN


@pytest.mark.parametrize(
    ("species", "agent"),
    [("rabbit", "desflurane"), ("pig", "sevoflurane"), ("macaque", "isoflurane")],
)
def test_a_value_from_memory_says_so(species, agent):
    found = mac_default(species, agent)

    assert found.confidence is Confidence.LOW
    assert found.row.how_known is HowKnown.MEMORY


def test_an_estimate_without_a_source_is_called_one():
    assert mac_default("ferret", "sevoflurane").confidence is Confidence.ESTIMATE
    assert mac_default("guinea pig", "desflurane") is None


@pytest.mark.parametrize(
    ("species", "agent", "ends"),
    [
        ("mouse", "isoflurane", (1.23, 1.8)),
        ("pig", "isoflurane", (1.55, 2.06)),
        ("pig", "halothane", (0.7, 1.25)),
        ("rabbit", "halothane", (0.82, 1.42)),
        ("dog", "desflurane", (7.2, 10.3)),
        ("rat", "nitrous oxide", (155.0, 235.0)),
    ],
)
def test_conflicting_values_stand_side_by_side(species, agent, ends):
    values = [one.value for one in mac_measured(species, agent)]

    assert (min(values), max(values)) == ends


def test_the_young_and_the_old_are_not_counted_as_adults():
    assert {2.34, 1.86, 1.67}.isdisjoint(one.value for one in mac_measured("rat", "isoflurane"))
    assert 2.29 not in [one.value for one in mac_measured("rat", "sevoflurane")]
    assert 2.47 not in [one.value for one in mac_measured("pig", "isoflurane")]


def test_a_cell_of_two_species_is_taken_apart():
    assert [one.value for one in mac_measured("alpaca", "sevoflurane")] == [2.33]
    assert mac_default("llama", "sevoflurane").row.value == 2.29


def test_a_review_keeps_the_range_of_its_studies():
    review = mac_measured("cat", "sevoflurane")[0]

    assert (review.value, review.low, review.high) == (3.08, 2.5, 3.95)


def test_mammals_lend_nothing_to_birds():
    assert lenders("cockatoo") == ("chicken",)
    assert lenders("unicorn") == ()
    assert breed_of("pony") == "horse"


def test_the_comparisons_have_their_own_set():
    assert uptake_mac("human", "sevoflurane").value == 1.85
    assert uptake_mac("rat", "isoflurane").value == 1.38
    assert uptake_mac("pig", "isoflurane") is None


def test_species_with_a_value_are_listed():
    assert mac_species("xenon") == ("human", "pig")
    assert "guinea pig" not in mac_species("desflurane")
