"""What a site has set for its records, read back; what cannot be read counts as not set."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.record.intervals import Phase
from ullage.answers.record.recovery import recovery_steps
from ullage.answers.record.site_rules import rules_read, steps_known

KEPT = {
    "intervals": {
        "sheep, recovery": {"minutes": 5, "why": "until it stands"},
        "any, recovery": {"minutes": 12},
        "any, anaesthesia": {"minutes": 0.001},
    },
    "protocols": {"S-14": {"minutes": 4}},
    "recovery": {"sheep": {"without": ["walks", "grooms"], "own": ["It stands."]}},
    "keeping": ["eu"],
    "own_years": 10,
}


@pytest.mark.parametrize(
    ("species", "phase", "protocol", "minutes"),
    [
        ("Sheep ", Phase.RECOVERY, "", 5.0),
        ("goat", Phase.RECOVERY, "", 12.0),
        ("goat", Phase.ANAESTHESIA, "S-14", 4.0),
        ("sheep", Phase.RECOVERY, "S-14", 5.0),
    ],
)
def test_the_nearest_rule_counts(species, phase, protocol, minutes):
    assert rules_read(KEPT).interval(species, phase, protocol).minutes == minutes


def test_an_interval_that_cannot_be_counts_as_not_set():
    assert rules_read(KEPT).interval("goat", Phase.ANAESTHESIA) is None


def test_a_step_that_is_none_of_the_species_takes_nothing_out():
    keys = [one.key for one in rules_read(KEPT).steps("sheep")]
    assert keys == [*(one.key for one in recovery_steps("sheep", without=["walks"])), "own_1"]
    assert "grooms" not in steps_known("sheep")


def test_nothing_set_is_what_is_proposed():
    rules = rules_read({})
    assert rules.steps("mouse") == recovery_steps("mouse")
    assert (rules.groups, rules.late_after_min, rules.keeping) == (False, None, ())


@given(
    st.dictionaries(st.sampled_from(["mouse", "sheep", "any"]), st.just({"without": ["person"]}))
)
def test_only_the_named_species_changes(kept):
    rules = rules_read({"recovery": kept})
    for species in ("mouse", "sheep", "cat"):
        is_out = species in kept or "any" in kept
        assert ("person" in {one.key for one in rules.steps(species)}) is not is_out
