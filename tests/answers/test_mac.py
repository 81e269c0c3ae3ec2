"""MAC as it is used: its band, what stands beside it, and where it was borrowed."""

import pytest

from ullage.answers.mac import mac_of
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference import HowKnown, Standing
from ullage.reference.potency import AGENTS, Confidence, mac_species
from ullage.reference.solubility import ValueSet

MAMMALS = ("mouse", "guinea pig", "ferret", "minipig", "sheep", "macaque", "pony", "llama")


@pytest.mark.parametrize("agent", AGENTS)
def test_every_value_lies_in_its_band_and_the_chosen_view_is_one(agent):
    for species in (*mac_species(agent), *MAMMALS):
        found = mac_of(species, agent)

        assert 0.0 < found.low_fraction < found.mac_fraction < found.high_fraction
        assert not found.views or sum(view.chosen for view in found.views) == 1
        assert found.where_from.text.endswith(".")


# Conflicts K-41, K-44, K-45: mouse isoflurane 1.2-1.8, cat sevoflurane 2.5-3.95, dog desflurane 7.2
# and 10.3 %.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("species", "agent", "low", "high"),
    [
        ("mouse", "isoflurane", 1.2, 1.8),
        ("cat", "sevoflurane", 2.5, 3.95),
        ("dog", "desflurane", 7.2, 10.3),
        ("pig", "isoflurane", 1.55, 2.06),
        ("rabbit", "halothane", 0.82, 1.42),
    ],
)
def test_a_band_holds_what_sources_disagree_about(species, agent, low, high):
    found = mac_of(species, agent)

    assert 100 * found.low_fraction <= low + 0.005
    assert 100 * found.high_fraction >= high


def test_memory_and_estimates_widen_the_band_and_say_so():
    read, recalled, guessed = (
        mac_of("horse", "isoflurane"),
        mac_of("macaque", "isoflurane"),
        mac_of("ferret", "sevoflurane"),
    )

    def width(mac):
        return (mac.high_fraction - mac.low_fraction) / mac.mac_fraction

    assert width(read) < width(recalled) < width(guessed)
    assert read.doubt == ""
    assert "from memory" in recalled.doubt
    assert "without a source" in guessed.doubt
    assert guessed.standing is Standing.ASSUMED


def test_a_missing_value_names_itself_and_its_lender():
    found = mac_of("guinea pig", "desflurane")

    assert (found.of_species, found.confidence) == ("hamster", Confidence.BORROWED)
    assert "No MAC of desflurane in the guinea pig" in found.doubt
    assert found.high_fraction / found.low_fraction > 2.0


def test_a_breed_uses_its_own_species_without_the_width_of_a_loan():
    pony, pig = mac_of("pony", "isoflurane"), mac_of("minipig", "isoflurane")

    assert not pony.borrowed
    assert pony.confidence is Confidence.MEDIUM
    assert "the same species" in pony.doubt
    assert pig.views == mac_of("pig", "isoflurane").views


def test_nothing_is_lent_from_mammals_to_birds():
    with pytest.raises(
        UnknownReference, match=r"No MAC of desflurane in the chicken.*Set the site"
    ):
        mac_of("chicken", "desflurane")


def test_the_sites_own_value_is_taken_and_marked():
    found = mac_of("chicken", "desflurane", site_fraction=0.08)

    assert found.mac_fraction == 0.08
    assert found.where_from.how_known == HowKnown.SITE.value
    assert found.doubt == ""
    with pytest.raises(InvalidQuantity, match="site_fraction"):
        mac_of("cat", "isoflurane", site_fraction=0.0)


def test_the_comparisons_run_with_their_own_value():
    assert mac_of("human", "sevoflurane").mac_fraction == pytest.approx(0.0180)
    assert mac_of("human", "sevoflurane", ValueSet.UPTAKE).mac_fraction == pytest.approx(0.0185)
    assert mac_of("pig", "isoflurane", ValueSet.UPTAKE) == mac_of("pig", "isoflurane")


def test_an_agent_that_is_none_is_refused():
    with pytest.raises(UnknownReference, match="No agent 'ether'"):
        mac_of("cat", "ether")
