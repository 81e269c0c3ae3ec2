"""Columns of the comparison: what acts in which, and the score on paper."""

from dataclasses import replace

import numpy as np
import pytest

from ullage.answers.comparisons import Compared, Kind, Kit, Mark, Mechanism, compared, score
from ullage.answers.comparisons.table import mark_of, study_size
from ullage.answers.kinetics import Mode
from ullage.reference.solubility import ValueSet

UPTAKE, SHIPPED = Kit(which=ValueSet.UPTAKE), Kit()


@pytest.mark.parametrize("mechanism", Mechanism)
def test_the_reference_column_has_no_mechanism_and_the_shipped_one_all(mechanism):
    assert SHIPPED.has(mechanism)
    assert not UPTAKE.has(mechanism)
    assert not Kit(without=frozenset({mechanism})).has(mechanism)


def test_without_litres_of_the_lung_a_litre_is_a_litre():
    plain = Kit(without=frozenset({Mechanism.LITRES}))

    assert (plain.free, plain.standard, plain.vapour) == (1.0, 1.0, 1.0)
    ratio = SHIPPED.body("pig", 25.0).oxygen_use_l_min / plain.body("pig", 25.0).oxygen_use_l_min
    assert ratio[0] == pytest.approx(SHIPPED.standard)


def test_without_the_delay_breathing_follows_the_brain_at_once():
    bare = Kit(without=frozenset({Mechanism.DELAY}))
    macs = {"isoflurane": 0.0128}

    assert bare.effect(20.0) == 0.0
    assert not bare.feedback("dog", macs, Mode()).at_effect
    assert SHIPPED.feedback("dog", macs, Mode()).at_effect


def test_the_reference_column_lets_only_waking_change_breathing():
    macs = {"isoflurane": 0.0128}

    assert not UPTAKE.feedback("dog", macs, Mode()).acts
    assert UPTAKE.feedback("dog", macs, Mode(recovering=True)).ventilation_slope == 0.30


def test_the_middle_of_a_drawn_kit_is_one_animal_of_the_same_column():
    drawn = Kit(which=ValueSet.LABEL, count=20, seed=2, study_of=9)

    assert drawn.body("dog", 20.0).count == 20
    assert drawn.middle == Kit(which=ValueSet.LABEL)


def test_a_larger_study_has_a_mean_that_is_drawn_closer():
    def spread(study_of):
        body = Kit(count=200, seed=4, study_of=study_of).body("dog", 20.0)
        return float(np.std(np.log(body.alveolar_l_min)))

    assert spread(64) < spread(4)


def test_a_group_whose_number_was_not_printed_is_taken_as_ten():
    assert (study_size("second_gas"), study_size("rats")) == (14, 10)


def row(published, shipped, low, high, kind=Kind.LEVEL, **more):
    first = compared(2, 1)[0]
    given = {"mark": Mark.SCORED, "tolerance": 0.1, **more}
    return replace(
        first, published=published, shipped=shipped, low=low, high=high, kind=kind, **given
    )


def test_the_score_is_counted_on_paper():
    rows = [
        row(1.0, 1.05, 0.9, 1.2),
        row(1.0, 1.30, 1.1, 1.5),
        row(2.0, 1.80, 1.5, 2.2, Kind.TIME, tolerance=0.3),
        row(9.9, 1.0, 0.9, 1.1, mark=Mark.FITTED),
    ]

    found = score(rows)

    assert (found.scored, found.inside, found.held) == (3, 2, 2)
    assert found.median_error_share == pytest.approx(0.10)
    assert found.held_share == pytest.approx(2 / 3)
    assert found.time_width_share == pytest.approx(0.35 / 1.80)
    assert found.even_share == pytest.approx(np.sinh(np.log(2.0 / 1.8)))


def test_a_row_at_its_tolerance_is_inside():
    at_the_edge = row(1.0, 1.1, 0.9, 1.2)

    assert isinstance(at_the_edge, Compared)
    assert at_the_edge.inside
    assert not at_the_edge.lies_inside(1.11)


def test_rows_that_are_not_marked_count():
    assert mark_of("H-LF2-FI") is Mark.SCORED
    assert mark_of("P-DES-WASHED") is Mark.NO_GATE
