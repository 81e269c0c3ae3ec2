"""Whether the interval of a record was kept, and where it was not."""

from datetime import timedelta

import pytest

from tests.answers.record.cases import BEGAN
from tests.answers.record.running import seen, value, word
from ullage.answers.answer import Verdict
from ullage.answers.record.gaps import interval_kept, longest_gap
from ullage.answers.record.intervals import Phase, SiteInterval, interval_rule

RULE = interval_rule("sheep", Phase.ANAESTHESIA, choice=SiteInterval(minutes=5.0))


def hearts(*minutes):
    return (value(0, "dial", "3 %"), *(value(at, "heart_rate", "90 /min") for at in minutes))


def at(minute):
    return BEGAN + timedelta(minutes=minute)


@pytest.mark.parametrize(
    ("minutes", "ended", "gap"),
    [
        ((2, 7, 12), 15, (2, 7)),
        ((2, 7, 34, 39), 40, (7, 34)),
        ((12, 15), 16, (0, 12)),  # nothing until long after the first gas
        ((2, 4), 30, (4, 30)),  # nothing until the end
        ((-20, 2, 4, 60), 6, (0, 2)),  # before the gas and after the end is another matter
    ],
)
def test_the_longest_time_without_an_observation_is_found(minutes, ended, gap):
    case = seen(*hearts(*minutes), word(ended, "anaesthesia ended"))

    assert longest_gap(case) == tuple(at(one) for one in gap)


def test_before_gas_is_given_nothing_is_said():
    case = seen(value(1, "heart_rate", "90 /min"))

    assert longest_gap(case) is None
    assert interval_kept(case, RULE) == RULE


def test_gas_alone_leaves_no_time_between_two_moments():
    assert longest_gap(seen(value(0, "dial", "3 %"))) is None


def test_a_hole_is_told_with_its_times_and_asks_to_look_again():
    case = seen(*hearts(2, 7, 34, 39), word(40, "anaesthesia ended"))
    kept = interval_kept(case, RULE)

    assert kept.verdict is Verdict.LOOK_AGAIN
    assert "It was not kept: 27 min, from" in kept.sentence
    assert kept.value == RULE.value
    assert kept.views == RULE.views


@pytest.mark.parametrize(
    ("last", "verdict"), [(7.0, Verdict.FINE), (7.4, Verdict.FINE), (7.6, Verdict.LOOK_AGAIN)]
)
def test_half_a_minute_more_is_no_hole(last, verdict):
    assert interval_kept(seen(*hearts(2, last)), RULE).verdict is verdict


def test_a_case_that_still_runs_is_kept_so_far():
    assert interval_kept(seen(*hearts(2, 6)), RULE).sentence.endswith("It was kept so far.")
