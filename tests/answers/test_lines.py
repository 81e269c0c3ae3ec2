"""Rows as lines of an answer, and bands put together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.lines import as_sentence, band_together, ends_of, line_of, lines_of
from ullage.reference import sourced

RATIOS = st.tuples(st.floats(0.5, 1.0), st.floats(1.0, 2.0))


def test_a_place_becomes_one_sentence():
    assert as_sentence(" seen in print.. ") == "Seen in print."


def test_a_standard_deviation_is_widened_to_ninety_per_cent_and_a_range_is_not():
    sd = sourced("potency", "sparing.horse.sevoflurane.lidocaine")
    limits = sourced("potency", "pregnancy.reduction")

    assert ends_of(sd) == pytest.approx((-26.7 - 1.645 * 12.0, -26.7 + 1.645 * 12.0))
    assert ends_of(limits) == (0.16, 0.40)


def test_a_row_without_a_spread_gets_the_share_that_is_handed_in():
    row = sourced("potency", "sparing.dog.isoflurane.ketamine")

    assert ends_of(row, 0.2) == pytest.approx((-30.0, -20.0))


@given(st.floats(0.1, 100.0), st.lists(RATIOS, min_size=1, max_size=4))
def test_a_band_is_at_least_as_wide_as_its_widest_part_and_holds_the_value(value, ratios):
    low, high = band_together(value, *ratios)

    assert low <= value * min(one for one, _ in ratios) + 1e-9
    assert high >= value * max(one for _, one in ratios) - 1e-9


def test_no_doubt_at_all_leaves_a_point():
    assert band_together(3.0) == (3.0, 3.0)


def test_the_same_row_twice_is_one_line():
    row = sourced("agents", "isoflurane.boiling_c")

    assert lines_of(row, row) == (line_of(row),)
    assert line_of(row, "boiling point").text.startswith("Boiling point: PHY-002")
