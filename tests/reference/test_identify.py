import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference import identify_cylinder
from ullage.reference.identify import NO_CANDIDATE

INCH_M = 0.0254


def titles(**clues):
    return [one.size.title for one in identify_cylinder(**clues)]


def test_the_dimensions_of_an_e_name_the_e_first():
    found = identify_cylinder(height_m=30 * INCH_M, diameter_m=4.25 * INCH_M)

    assert found[0].size.title == "E (US)"
    assert found[0].mismatch == pytest.approx(0, abs=1e-9)
    assert "Height 0.762 m" in found[0].reason


def test_a_size_whose_dimensions_nobody_prints_says_what_it_rests_on():
    found = identify_cylinder(height_m=30 * INCH_M, diameter_m=4.25 * INCH_M)
    british = next(one for one in found if one.size.title == "E (UK/ISO)")

    assert british.unknown == ("height", "diameter")
    assert "enclosed" in british.reason
    assert found.index(british) > 0


def test_a_stamp_tells_the_two_d_apart():
    assert titles(water_capacity_l=2.3) == ["D (UK/ISO)"]
    assert titles(water_capacity_l=2.88) == ["D (US)"]


def test_a_label_that_several_sizes_share_gives_them_all():
    assert set(titles(label_l=680)) == {"E (US)", "E aluminium (US)", "E (UK/ISO)"}


def test_the_fill_beside_the_label_ranks_them():
    assert titles(label_l=660, fill_gauge_kpa=13_100)[0] == "E (US)"
    assert titles(label_l=680, fill_gauge_kpa=13_700)[0] == "E (UK/ISO)"


def test_a_region_leaves_the_other_world_out():
    assert titles(label_l=680, region="UK") == ["E (UK/ISO)"]
    with pytest.raises(UnknownReference, match="No region 'Mars'"):
        identify_cylinder(label_l=680, region="Mars")


def test_clues_that_contradict_each_other_find_nothing():
    assert identify_cylinder(water_capacity_l=4.76, label_l=6900) == ()
    assert identify_cylinder(height_m=2.2, diameter_m=0.5) == ()
    assert "No size in the table fits" in NO_CANDIDATE


def test_nothing_measured_is_refused_in_a_sentence():
    with pytest.raises(InvalidQuantity, match="number of clues is 0; it must be 1 or more"):
        identify_cylinder()


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_an_impossible_measurement_is_refused(value):
    with pytest.raises(InvalidQuantity, match=r"height is .* must be a number above 0"):
        identify_cylinder(height_m=value)


@given(st.floats(0.05, 100.0), st.floats(50.0, 10_000.0))
def test_every_candidate_is_within_reach_and_the_best_stand_first(capacity_l, label_l):
    for clues in ({"water_capacity_l": capacity_l}, {"label_l": label_l}):
        found = identify_cylinder(**clues)
        distances = [one.mismatch for one in found]

        assert distances == sorted(distances)
        assert all(0 <= one <= 1 for one in distances)
        assert all(one.agrees for one in found)
