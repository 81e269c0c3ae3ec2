"""Studied doses of drugs, and studied stages of life."""

import pytest

from ullage.reference import HowKnown
from ullage.reference.sparing import sparing_of, stages_of


def test_a_dose_says_what_was_given_and_on_whose_word():
    for one in sparing_of("dog"):
        assert one.dose
        assert one.row.how_known is HowKnown.SEEN
        assert one.row.where.startswith("MOD-")


def test_a_species_nobody_studied_has_none():
    assert sparing_of("hamster") == ()
    assert stages_of("cat", "isoflurane") == ()


# MOD-044: printed -26.1, -43.7, -54.4 %; from the group means of the same study -24, -33, -57 %.
@pytest.mark.published("agents_values")
def test_a_study_that_contradicts_itself_keeps_both_figures():
    both = [
        (one.row.value, one.by_means.value)
        for one in sparing_of("dog")
        if one.agent == "sevoflurane"
    ]

    assert both == [(-26.1, -24.0), (-43.7, -33.0), (-54.4, -57.0)]
    assert all(one.by_means is None for one in sparing_of("cat"))


def test_a_stage_is_taken_over_the_adults_of_its_own_study():
    stages = {one.name: one for one in stages_of("rat", "isoflurane")}

    assert stages["9_days"].ratio == pytest.approx(2.34 / 1.12)
    assert stages_of("rat", "desflurane")[0].ratio == 1.19
    assert stages_of("rat", "sevoflurane")[-1].ratio == pytest.approx(2.29 / 2.68)
