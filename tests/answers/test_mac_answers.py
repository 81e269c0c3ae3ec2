"""One MAC today, and the other end points."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.mac_answers import (
    EndPoint,
    MacToday,
    agent_end_point,
    agent_mac,
    drugs_studied,
)
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.core.units import kelvin
from ullage.reference.sparing import sparing_of, stages_of


# Conventional swine 1985: isoflurane with 50 % nitrous oxide 33.5 % less (from its group means).
@pytest.mark.published("agents_values")
def test_nitrous_oxide_in_the_pig_takes_off_what_the_study_found():
    alone = agent_mac("pig", "isoflurane").value
    both = agent_mac("pig", "isoflurane", MacToday(nitrous_fraction=0.5)).value

    assert 1.0 - both / alone == pytest.approx(0.335, abs=0.03)


# Acevedo-Arcique 2014: lidocaine and dexmedetomidine together 60.9 % (46.1 to 78.1) in the dog.
@pytest.mark.published("agents_values")
def test_two_drugs_multiply_and_their_band_holds_the_measured_pair():
    alone = agent_mac("dog", "isoflurane").value
    both = agent_mac("dog", "isoflurane", MacToday(drugs=("lidocaine", "dexmedetomidine")))

    assert 1.0 - both.value / alone == pytest.approx(0.589, abs=0.002)
    assert both.low < (1.0 - 0.609) * alone < both.high


def test_a_study_whose_figures_disagree_with_its_means_widens_the_band():
    row = next(one for one in drugs_studied("dog", "sevoflurane") if one.name == "dexmedetomidine")
    answer = agent_mac("dog", "sevoflurane", MacToday(drugs=("dexmedetomidine",)))

    assert row.by_means.value == -33.0
    assert answer.high > 2.36 * (1.0 - 0.33)


def test_drugs_of_another_agent_come_last_and_say_so():
    studied = drugs_studied("dog", "sevoflurane")
    answer = agent_mac("dog", "sevoflurane", MacToday(drugs=("remifentanil_0_30",)))

    assert [one.agent for one in studied][:3] == ["sevoflurane"] * 3
    assert any("studied with isoflurane" in line for line in answer.assumptions)


def test_a_drug_nobody_studied_is_refused_with_those_that_were():
    with pytest.raises(UnknownReference, match=r"No study of 'aspirin' in the horse.*lidocaine"):
        agent_mac("horse", "sevoflurane", MacToday(drugs=("aspirin",)))
    with pytest.raises(UnknownReference, match="Known: none"):
        agent_mac("goat", "isoflurane", MacToday(drugs=("morphine",)))


def test_until_somebody_says_which_drugs_the_answer_asks():
    asking = agent_mac("cat", "isoflurane")
    answered = agent_mac("cat", "isoflurane", MacToday(drugs_asked=True))

    assert asking.settles == "Which drugs were given, or none?"
    assert any("Nobody said" in line for line in asking.cautions)
    assert answered.settles == ""
    assert not answered.cautions


# Recommended 4 % for each degree: a cat of 38.6 °C cooled to 33.6 °C needs a fifth less.
@pytest.mark.published("agents_base")
def test_a_cold_animal_needs_less():
    cold = agent_mac("cat", "isoflurane", MacToday(temperature_k=kelvin(33.6), drugs_asked=True))

    assert cold.value == pytest.approx(1.63 * 0.8, rel=1e-6)


def test_pregnancy_takes_a_quarter():
    assert agent_mac("sheep", "isoflurane", MacToday(pregnant=True)).value == pytest.approx(
        0.75 * 1.58
    )


@given(st.floats(60.0, 101.0))
def test_at_altitude_more_per_cent_give_the_same_partial_pressure(pressure):
    answer = agent_mac("cat", "isoflurane", MacToday(barometric_kpa=pressure))

    assert answer.value * pressure == pytest.approx(1.63 * 101.325)


def test_nitrous_oxide_spares_less_where_the_air_is_thin():
    low, high = (
        agent_mac("dog", "isoflurane", MacToday(nitrous_fraction=0.6, barometric_kpa=one))
        for one in (101.325, 80.0)
    )

    assert high.value * 80.0 > 1.02 * low.value * 101.325


@given(
    st.floats(0.0, 0.7), st.booleans(), st.sampled_from([(), ("lidocaine",), ("ketamine", "mlk")])
)
def test_nothing_that_spares_raises_and_the_band_holds_the_value(nitrous, pregnant, drugs):
    today = MacToday(nitrous_fraction=nitrous, pregnant=pregnant, drugs=drugs)
    answer = agent_mac("dog", "isoflurane", today)

    assert answer.value <= 1.28
    assert answer.low <= answer.value <= answer.high


def test_a_borrowed_value_says_which_is_missing_and_whose_it_is():
    answer = agent_mac("guinea pig", "desflurane", MacToday(drugs_asked=True))

    assert "borrowed from the hamster" in answer.sentence
    assert any("No MAC of desflurane in the guinea pig" in line for line in answer.cautions)


def test_disagreeing_sources_stand_beside_the_chosen_one():
    views = agent_mac("mouse", "isoflurane").views

    assert [view.chosen for view in views] == [True, False, False, False]
    assert {view.result.split()[0] for view in views} == {"1.41", "1.8", "1.23"}


# Hofmeister 2008, dog: awake at 1.0 % with a MAC of 1.3 %; Barletta 2016: extubation at 0.45 %;
# Sun 2006, mouse: righting lost at 0.91 %; Goto 2000, man: 0.35 of MAC.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("species", "end_point", "percent"),
    [
        ("dog", EndPoint.AWAKE, 0.77 * 1.28),
        ("cat", EndPoint.EXTUBATION, 0.45),
        ("mouse", EndPoint.RIGHTING, 0.91),
        ("human", EndPoint.AWAKE, 0.35 * 1.17),
        ("goat", EndPoint.ADRENERGIC, 2.8 * 1.5),
    ],
)
def test_other_end_points_are_those_of_their_studies(species, end_point, percent):
    answer = agent_end_point(species, "isoflurane", end_point)

    assert answer.value == pytest.approx(percent, rel=1e-6)
    assert answer.low < percent < answer.high


def test_an_end_point_of_man_is_lent_aloud_and_with_a_wide_band():
    answer = agent_end_point("rat", "desflurane", EndPoint.AWAKE)

    assert "study was of the human" in answer.sentence
    assert answer.high / answer.low > 1.8


def test_the_surgical_plane_of_a_label_is_not_taken_for_the_sites_target():
    answer = agent_end_point("dog", "sevoflurane", EndPoint.SURGICAL)

    assert any("site's own" in line for line in answer.cautions)


def test_an_end_point_nobody_studied_is_named():
    with pytest.raises(UnknownReference, match="loss of the righting reflex with desflurane"):
        agent_end_point("mouse", "desflurane", EndPoint.RIGHTING)


def test_more_nitrous_oxide_than_leaves_oxygen_is_refused():
    with pytest.raises(InvalidQuantity, match="nitrous_fraction"):
        MacToday(nitrous_fraction=0.85)


def test_every_studied_dose_takes_something_off():
    for species in ("mouse", "rat", "rabbit", "dog", "cat", "pig", "horse", "cockatoo"):
        assert sparing_of(species)
        assert all(0.0 < one.reduction < 1.0 for one in sparing_of(species))
        assert all(one.dose for one in sparing_of(species))


# Orliaguet 2001, rat, inspired: isoflurane 1.86, 2.34, 1.67, adult 1.12; sevoflurane 3.28, 3.74,
# 2.95, 1.97; halothane 1.54, 1.68, 1.14, 0.88. As ratios about 1.7, 2.0, 1.4 at 2, 9, 30 days.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize("agent", ["isoflurane", "sevoflurane", "halothane"])
def test_young_rats_need_more_by_the_ratio_of_their_own_study(agent):
    ratios = {one.name: one.ratio for one in stages_of("rat", agent)}

    assert ratios["2_days"] == pytest.approx(1.7, abs=0.06)
    assert ratios["9_days"] == pytest.approx(2.0, abs=0.11)
    assert ratios["30_days"] == pytest.approx(1.4, abs=0.11)


# Kashimoto 1997, rat, sevoflurane: 2.68 at 9 weeks, 2.29 after 13 months, 15 % less.
@pytest.mark.published("agents_values")
def test_an_old_rat_needs_less():
    old = agent_mac("rat", "sevoflurane", MacToday(stage="old"))

    assert old.value / agent_mac("rat", "sevoflurane").value == pytest.approx(0.85, abs=0.006)
    assert any("13 months" in step.what for step in old.steps)


# Mapleson 1996: about 6 % less for each decade; confidence limits 0.0024 to 0.0030.
@pytest.mark.published("agents_values")
def test_age_in_years_is_a_line_of_man_and_of_nobody_else():
    old = agent_mac("human", "isoflurane", MacToday(age_years=80.0))

    assert old.value == pytest.approx(1.17 * 10 ** (-0.00269 * 40.0))
    with pytest.raises(RuleBroken, match="No line of MAC against age is printed for the dog"):
        agent_mac("dog", "isoflurane", MacToday(age_years=10.0))


def test_a_stage_nobody_studied_is_refused_with_those_that_were():
    with pytest.raises(UnknownReference, match=r"stage 'old'. Known: 2_days, 9_days, 30_days"):
        agent_mac("rat", "isoflurane", MacToday(stage="old"))
