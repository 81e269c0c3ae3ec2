"""What would be unsafe in a planned case."""

from dataclasses import replace

import pytest

from tests.answers.case_paper import BLOWN, CAT, MOUSE, PIG, care, told, verdict_of, with_phases
from ullage.answers import Verdict, case_plan
from ullage.answers.case_cares import cares_of, inspired_oxygen_fraction
from ullage.answers.case_planned import planned_of as _planned
from ullage.answers.plan import Chamber, Phase
from ullage.reference import HowKnown, sources

LOOK, STOP = Verdict.LOOK_AGAIN, Verdict.STOP


class _Cares:
    """The cares of a case, without its course."""

    def __init__(self, case=CAT, **more):
        self.planned = _planned(told(case, **more))
        self.cares = cares_of(self.planned)


def found(name, case=CAT, **more):
    return verdict_of(_Cares(case, **more), name)


def test_nothing_is_raised_where_all_is_said():
    assert _Cares().cares == ()
    assert _Cares(PIG).cares == ()


def test_stops_come_first():
    verdicts = [one.verdict for one in _Cares(MOUSE, cautery=True, warmed=None).cares]

    assert verdicts[0] is STOP
    assert verdicts == sorted(verdicts, key=lambda one: one is not STOP)


@pytest.mark.parametrize(("minutes", "verdict"), [(10, None), (5, None), (2, STOP)])
def test_oxygen_alone_must_follow_nitrous_oxide(minutes, verdict):
    case = with_phases(
        PIG, ("induction", 10, 2, 0), ("procedure", 30, 1, 1), ("waking", minutes, 2, 0)
    )

    assert found("oxygen after nitrous oxide", case) is verdict


def test_nitrous_oxide_to_the_end_is_a_stop_and_common_practice():
    case = with_phases(PIG, ("induction", 10, 2, 0), ("procedure", 30, 1, 1))
    one = care(_Cares(case), "oxygen after nitrous oxide")

    assert one.verdict is STOP
    assert one.sentence.startswith("Only 0 min of oxygen")
    assert one.where_from.how_known == "common"


@pytest.mark.parametrize(("cautery", "verdict"), [(True, STOP), (None, LOOK), (False, None)])
def test_an_open_mask_beside_a_cautery_is_a_stop(cautery, verdict):
    assert found("cautery", MOUSE, cautery=cautery) is verdict


def test_a_tube_does_not_ask_about_a_cautery():
    assert found("cautery", CAT, cautery=True) is None


@pytest.mark.parametrize("warmed", [None, False])
def test_an_animal_that_nobody_warms_is_told_to_cool(warmed):
    one = care(_Cares(MOUSE, warmed=warmed), "warmth")

    assert one.verdict is LOOK
    assert "expected at" in one.sentence
    assert "Warm it" in one.todo


def test_a_species_whose_fall_nobody_measured_cools_too():
    assert "not in the tables" in care(_Cares(PIG, warmed=None), "warmth").sentence


def test_a_small_circle_without_carbon_dioxide_measured_is_a_stop():
    case = replace(CAT, system="circle")

    assert found("inspired carbon dioxide", case, co2_measured=None) is STOP
    assert found("inspired carbon dioxide", case, co2_measured=True) is None
    assert found("inspired carbon dioxide", PIG, co2_measured=None) is None


def test_a_system_without_absorber_asks_for_carbon_dioxide_too():
    assert found("inspired carbon dioxide", CAT, co2_measured=None) is LOOK


def test_a_flow_below_the_minute_volume_is_looked_at():
    case = with_phases(CAT, ("procedure", 30, 0.3, 0))

    assert found("flow below need", case) is LOOK
    assert found("flow below need", CAT) is None


def test_oxygen_below_what_is_used_is_a_stop():
    case = with_phases(PIG, ("induction", 10, 2, 0), ("procedure", 30, 0.1, 0))

    assert found("oxygen below need", case) is STOP


def test_oxygen_below_thirty_per_cent_is_looked_at():
    case = with_phases(CAT, ("procedure", 30, 0.5, 1.5), ("waking", 10, 2, 0))

    assert found("oxygen below 30 %", case) is LOOK


# 0.5 + 0.5 L/min into a pig that uses 0.13 L/min at 0 °C: less than the half that is delivered. A
# third of what is breathed is fresh (1 of 2.83 free litres, which are 3.18 of the lung).
def test_a_circle_breathes_less_oxygen_than_is_delivered():
    case = with_phases(
        PIG, ("induction", 10, 2, 0), ("procedure", 30, 0.5, 0.5), ("waking", 10, 2, 0)
    )
    planned = _planned(told(case))
    hold = planned.asleep[1]
    used = planned.animal["oxygen_use_l_min"].value * 294.26 / 273.15
    taken = 30.0 / 70.0 / 10.0**0.5
    fresh = 1.124 / planned.animal["minute_volume_l_min"].value
    again = (0.5 - used) / (1.0 - used - taken)

    assert inspired_oxygen_fraction(planned, hold) == pytest.approx(
        fresh * 0.5 + (1.0 - fresh) * again, rel=1e-3
    )
    assert inspired_oxygen_fraction(planned, planned.asleep[0]) == pytest.approx(1.0)


def test_a_hypoxic_mixture_in_a_circle_is_a_stop():
    case = with_phases(
        PIG, ("induction", 10, 2, 0), ("procedure", 30, 0.16, 0.5), ("waking", 10, 2, 0)
    )

    assert found("hypoxic mixture", case) is STOP


def test_a_flow_outside_the_range_of_vaporizers_is_looked_at():
    case = with_phases(MOUSE, ("procedure", 30, 0.2, 0))

    assert "0.2 L/min" in care(_Cares(case), "vaporizer outside its flow range").sentence


def test_a_mapleson_a_is_not_blown():
    assert found("ventilation on a Mapleson A", replace(BLOWN, system="Magill")) is STOP
    assert found("ventilation on a Mapleson A", BLOWN) is None


def test_a_place_without_barometer_or_elevation_is_taken_as_sea_level_and_says_so():
    assert found("barometric pressure", pressure_given=False) is LOOK
    assert "sea level" in care(_Cares(pressure_given=False), "barometric pressure").sentence


@pytest.mark.parametrize(("equipment_ml", "verdict"), [(2.0, None), (5.0, LOOK), (15.0, STOP)])
def test_dead_space_of_the_equipment_is_judged(equipment_ml, verdict):
    plan = case_plan(told(equipment_l=0.001 * equipment_ml, drugs=None))

    assert verdict_of(plan, "dead space") is verdict


def test_a_system_that_cannot_serve_the_weight_is_a_stop():
    plan = case_plan(told(replace(MOUSE, system="circle"), drugs=None))

    assert verdict_of(plan, "system") is STOP
    assert plan.verdict is STOP


def test_every_care_names_a_source_that_there_is():
    case = replace(with_phases(MOUSE, ("procedure", 30, 0.01, 0.02)), system="mask")
    for one in _Cares(case, cautery=True, warmed=None, co2_measured=None).cares:
        assert one.where_from.source in sources()
        assert one.where_from.how_known in set(HowKnown)
        assert one.sentence.endswith(".")
        assert one.todo.endswith(".")


def test_a_drug_that_nobody_studied_is_told_and_left_out_of_the_dial():
    plain, given = case_plan(told()), case_plan(told(drugs=("medetomidine",)))
    one = care(given, "drug without a study")

    assert one.verdict is LOOK
    assert "'medetomidine' in the cat" in one.sentence
    assert "alfentanil" in one.sentence
    assert given.dials[0].value == plain.dials[0].value


def test_a_drug_that_was_studied_is_no_care():
    assert found("drug without a study", drugs=("alfentanil",)) is None


def test_a_studied_drug_still_counts_beside_one_that_was_not():
    both = case_plan(told(drugs=("alfentanil", "medetomidine"), equipment_l=0.0))
    alone = case_plan(told(drugs=("alfentanil",), equipment_l=0.0))

    assert both.dials[1].value == pytest.approx(alone.dials[1].value)
    assert verdict_of(both, "drug without a study") is LOOK
    assert alone.verdict is Verdict.FINE


@pytest.mark.parametrize("name", ["mouse", "cat", "pig"])
def test_a_chamber_that_is_opened_is_purged_first(name):
    case = {"mouse": MOUSE, "cat": CAT, "pig": PIG}[name]
    boxed = replace(case, chamber=Chamber(volume_l=10.0))

    assert found("opening the chamber", boxed) is LOOK
    assert found("opening the chamber", case) is None


@pytest.mark.parametrize(
    ("oxygen", "air", "fraction"),
    [(1.0, 0.0, 1.0), (1.0, 1.0, 0.6045), (0.5, 1.5, 0.40675)],
)
def test_air_brings_its_own_oxygen(oxygen, air, fraction):
    phases = (Phase(name="procedure", minutes=30, oxygen_l_min=oxygen, air_l_min=air),)
    planned = _planned(told(replace(CAT, phases=phases)))

    # Air holds 20.9 % oxygen.
    assert inspired_oxygen_fraction(planned, planned.asleep[0]) == pytest.approx(fraction)


def test_a_closed_circle_on_air_runs_out_of_oxygen():
    phases = (Phase(name="procedure", minutes=30, oxygen_l_min=0.05, air_l_min=0.95),)
    planned = _planned(told(replace(PIG, phases=phases)))

    assert inspired_oxygen_fraction(planned, planned.asleep[0]) < 0.21


def test_a_circle_that_gets_less_than_is_used_is_told_as_nothing():
    phases = (Phase(name="procedure", minutes=30, oxygen_l_min=0.05),)
    planned = _planned(told(replace(PIG, phases=phases)))

    assert inspired_oxygen_fraction(planned, planned.asleep[0]) == 0.0
