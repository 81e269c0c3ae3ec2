"""Every published result of uptake and recovery: the reference model repeated, ours scored."""

import pytest

from ullage.answers.comparisons import (
    GROUPS,
    Kind,
    Kit,
    Mark,
    Mechanism,
    compared,
    left_out,
    score,
    scores_without,
    values_of,
    waking_thresholds,
)
from ullage.reference import fact_rows, sourced
from ullage.reference.solubility import ValueSet

pytestmark = pytest.mark.published("uptake_checks")

#: uptake.md section 8, last column (computed): what the reference model gives, as printed.
PRINTED = {
    "H-FAFI30-des": "0.9046",
    "H-FAFI30-sevo": "0.854",
    "H-FAFI30-iso": "0.7341",
    "H-FAFI30-halo": "0.5378",
    "H-FAFA0-5-des": "0.09381",
    "H-FAFA0-5-iso": "0.2218",
    "H-FAFA0-5-halo": "0.227",
    "H-WASHRATIO": "2.479",
    "H-T50-iso": "2.438",
    "H-T50-sevo": "0.6787",
    "H-CIRC80-des": "0.7864",
    "H-CIRC80-sevo": "0.7867",
    "H-CIRC80-iso": "0.7122",
    "H-8H-FIFA-sevo": "1.081",
    "H-8H-CMD-des": "8.3",
    "H-5H-EYE-iso": "15.35",
    "H-LF2-FI": "1.847",
    "H-LF2-FA": "1.659",
    "H-LF2-FAFI": "0.8984",
    "H-DESW-1a": "2.629",
    "H-DESW-1b": "5.527",
    "H-DESW-2a": "3.733",
    "H-DESW-2b": "5.116",
    "H-DESW-4a": "5.832",
    "H-DESW-4b": "6.345",
    "H-TWOSTEP-5": "1.36",
    "H-TWOSTEP-10": "1.405",
    "H-TWOSTEP-20": "1.425",
    "H-TWOSTEP-30": "1.407",
    "H-TWOSTEP-45": "1.424",
    "H-CLOSED-des-30": "10.96",
    "H-CLOSED-des-60": "15.79",
    "H-CLOSED-des-120": "22.61",
    "H-N2O-FAFI30": "0.984",
    "H-N2O-UP-1": "877.7",
    "H-N2O-UP-4": "648.7",
    "H-N2O-UP-10": "394.8",
    "H-N2O-UP-30": "252.9",
    "H-N2O-UP-60": "148.5",
    "H-N2O-OUT-1": "1171",
    "H-2GAS-2": "10.99",
    "H-N2-FI40": "3.943",
    "H-N2-OUT10": "11.88",
    "H-MET-halo": "45.73",
    "H-MET-enf": "8.004",
    "H-MET-sevo": "3.904",
    "H-CHILD-HALO-UP": "208.2",
    "H-BAIN-70": "36.2",
    "H-BAIN-100": "29.07",
    "H-BAIN-CHILD": "43.32",
    "H-BAIN-SPONT": "213.9",
    "T-LUNG-3": "169.2",
    "T-LUNG-1": "507.6",
    "T-LUNG-05": "1015",
    "T-LARGE-3": "16.42",
    "T-LARGE-6": "8.21",
    "T-MILLER-05": "51.05",
    "R-COORD-iso": "23.19",
    "R-COORD-sevo": "7.71",
    "M-EMERGE-iso": "6.2",
    "M-DROP-17": "214.5",
    "M-DROP-27": "128.1",
    "M-DROP-37": "98.1",
    "D-STAND-iso": "26.25",
    "D-STAND-sevo": "14.6",
    "P-ISO-P90": "18.11",
    "P-DES-P50": "0.406",
    "P-DES-UPRATIO": "0.2484",
    "P-DES-WASHED": "61.06",
    "E-CLOSED-ISO": "1.235",
    "E-CLOSED-ISO1": "0.5996",
}


@pytest.mark.comparison
@pytest.mark.parametrize("key", PRINTED)
def test_the_reference_model_is_repeated_to_the_digits_printed(key):
    """To half the last digit, or to 0.6 % where quadrature and step size of the runs differ."""
    printed = PRINTED[key]
    half_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2])

    found = values_of(ValueSet.UPTAKE)[key]

    assert found == pytest.approx(float(printed), rel=0.006, abs=half_digit)


@pytest.fixture(scope="module")
def rows():
    return compared()


def test_every_row_of_the_table_is_computed_once_with_each_set(rows):
    keys = [one.key for one in fact_rows("uptake_checks")]

    assert [one.key for one in rows] == keys
    assert set(PRINTED) == set(keys)
    assert {one.group for one in rows} == set(GROUPS)
    assert len(keys) == 71


def test_fitted_rows_arithmetic_and_what_is_no_gate_are_listed_apart(rows):
    marks = [one.mark for one in rows]

    assert marks.count(Mark.FITTED) == 15
    assert marks.count(Mark.ARITHMETIC) == 6
    assert marks.count(Mark.NO_GATE) == 1
    assert marks.count(Mark.SCORED) == 49


def test_the_engine_that_is_shipped_scores_as_measured(rows):
    found = score(rows)

    assert found.inside >= 43
    assert found.median_error_share <= 0.11


def test_the_reference_model_scores_as_the_fact_base_says():
    """uptake.md section 4: 61 of 71 inside; 40 of the 49 that count, median 11.8 %."""
    found = scores_without()["reference model"]

    assert found.inside == 40
    assert found.median_error_share == pytest.approx(0.118, abs=0.001)


def test_misses_are_shown_and_are_these(rows):
    missed = {one.key for one in rows if not one.inside and one.mark is Mark.SCORED}

    assert missed == {
        *("H-T50-iso", "H-CIRC80-iso", "H-LF2-FI", "H-N2-OUT10", "H-BAIN-CHILD", "M-DROP-17")
    }


def test_the_bands_hold_nine_of_ten_means_and_are_no_wider_than_promised(rows):
    found = score(rows)

    assert 0.85 <= found.held_share <= 0.95
    assert found.level_width_share <= 0.25
    assert found.time_width_share <= 0.50


def test_one_relative_band_for_all_would_have_to_be_wider(rows):
    found = score(rows)

    assert found.even_share > found.width_share


def test_the_bands_hold_with_another_seed_too():
    found = score(compared(60, 7))

    assert 0.85 <= found.held_share <= 0.95


def test_the_same_seed_gives_the_same_bands():
    one, other = (compared(8, 3) for _ in range(2))

    assert one == other


def test_a_band_has_its_value_inside_and_a_share_is_never_above_one(rows):
    for one in rows:
        assert one.low <= one.shipped <= one.high, one.key
        assert not one.quantity.startswith("FA/FI") or one.high <= 1.0


def test_recovery_is_no_longer_a_third_too_early(rows):
    """uptake.md section 5.1: 35 to 45 % too early without delay; means of 14 and 24 min."""
    by_key = {one.key: one for one in rows}

    for key in ("H-8H-CMD-des", "H-5H-EYE-iso"):
        assert abs(by_key[key].error_share) < 0.15
    assert abs(by_key["D-STAND-sevo"].error_share) < 0.20


def test_no_study_decides_alone_which_solubility_is_shipped():
    """Each study is left out in turn: the others choose the clinical series every time."""
    clinical, found = left_out()

    groups = {one.group for one in compared(1, 1) if one.mark is Mark.SCORED}
    assert clinical == len(groups)
    assert found.inside >= 43


@pytest.mark.parametrize("mechanism", Mechanism)
def test_each_mechanism_can_be_left_out_and_the_score_does_not_gain(mechanism):
    found = scores_without()

    assert found[f"without {mechanism.value}"].inside <= found["shipped"].inside


@pytest.mark.parametrize("species", ["rat", "dog", "mouse"])
def test_the_waking_levels_of_the_tables_are_those_that_the_engine_gives(species):
    found = waking_thresholds(Kit())[species]

    assert sourced("kinetics", f"waking.{species}").value == pytest.approx(found, abs=0.002)


def test_kinds_follow_the_units(rows):
    kinds = {one.unit: one.kind for one in rows}

    assert kinds["min"] is kinds["s"] is Kind.TIME
    assert kinds["%"] is kinds["1"] is Kind.LEVEL
    assert kinds["mL/min"] is kinds["mmHg"] is Kind.AMOUNT
