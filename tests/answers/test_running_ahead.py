"""A running case drawn on to its planned end, and the levels at which it moved."""

import pytest

from ullage.answers.running_ahead import crosses_min, levels_to, mac_now, moved_at, multiple_now
from ullage.answers.running_case import case_now
from ullage.answers.running_things import CaseSubject, LevelRead, RunningCase, SetTo
from ullage.core.errors import InvalidQuantity

SHEEP = CaseSubject(species="sheep", weight_kg=62.0, agent="isoflurane")
ON = SetTo(at_min=0, dial_fraction=0.03, oxygen_l_min=4.0, system="circle")
LESS = SetTo(at_min=10, dial_fraction=0.02, oxygen_l_min=1.2, system="circle")
READ = (
    LevelRead(at_min=25, end_tidal_fraction=0.016),
    LevelRead(at_min=55, end_tidal_fraction=0.5),
)
CASE = RunningCase(subject=SHEEP, settings=(ON, LESS), readings=READ, draws=40)


@pytest.fixture(scope="module")
def found():
    return case_now(CASE, 60.0)


def test_it_is_followed_as_it_is_set_until_the_agent_is_off_and_then_falls(found):
    levels = levels_to(found, 90.0, 110.0)
    on = [one for one in levels if one.at_min <= 90.0]
    off = [one for one in levels if one.at_min > 90.0]

    assert (on[-1].at_min, off[-1].at_min) == (90.0, 110.0)
    assert off[-1].end_tidal[1] < 0.6 * on[-1].end_tidal[1]
    assert all(low <= middle <= high for one in levels for low, middle, high in [one.end_tidal])


def test_it_goes_on_where_the_levels_of_the_case_stand(found):
    levels = levels_to(found, 90.0, 110.0)
    first = levels[0]

    assert first.at_min > found.at_min
    assert first.end_tidal[1] == pytest.approx(found.answers["end_tidal"].value, rel=0.03)


def test_it_agrees_with_what_is_foretold_for_the_next_quarter_of_an_hour(found):
    levels = {round(one.at_min, 3): one for one in levels_to(found, 90.0, 110.0)}

    assert levels[75.0].end_tidal[1] == pytest.approx(
        found.answers["end_tidal_ahead"].value, rel=1e-6
    )


def test_an_agent_that_should_have_been_off_falls_at_once(found):
    levels = levels_to(found, 40.0, 80.0)

    assert levels[-1].end_tidal[1] < levels[0].end_tidal[1]


@pytest.mark.parametrize("end", [60.0, 20.0, 5000.0, float("nan")])
def test_an_end_that_cannot_be_is_refused(found, end):
    with pytest.raises(InvalidQuantity, match=r"minutes|end"):
        levels_to(found, 90.0, end)


def test_the_multiple_is_the_level_over_the_mac_of_the_same_animal(found):
    # potency, sheep, isoflurane: MAC of the tables; by hand, level over MAC
    mac, level = mac_now(found), found.answers["end_tidal"]
    multiple = multiple_now(found, "end_tidal")

    assert multiple.value == pytest.approx(level.value / mac.value)
    assert multiple.verdict is None
    assert set(mac.where_from) <= set(multiple.where_from)


def test_where_it_moved_the_level_that_was_read_stands(found):
    (moved,) = moved_at(found, [27.0])

    assert (moved.level, moved.is_read) == (pytest.approx(1.6), True)


def test_a_level_that_cannot_be_believed_is_no_level_at_which_it_moved(found):
    (moved,) = moved_at(found, [55.0])

    assert not moved.is_read
    assert moved.level < 5.0


def test_a_movement_before_the_gas_or_ahead_has_no_level(found):
    assert moved_at(found, [-3.0, 90.0]) == ()


def test_it_is_said_from_when_the_range_comes_down_to_a_level(found):
    levels = levels_to(found, 90.0, 110.0)

    assert crosses_min(levels, 100.0, 0.0) == levels[0].at_min
    assert crosses_min(levels, 0.0, 0.0) is None
    falls = crosses_min(levels, 0.5 * levels[0].end_tidal[0], 0.0)
    assert falls is not None
    assert falls > 90.0
