"""While a flow runs the time is that of all readings, and the graver verdict holds."""

import pytest

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.running import lasts_while_running


def minutes(value, low, high, verdict=None):
    return Answer(
        question="When?",
        unit="min",
        value=value,
        low=low,
        high=high,
        sentence="Then.",
        reasons=("So.",),
        where_from=(WhereFrom(source="reading", how_known="seen", text="Read."),),
        verdict=verdict,
        todo="Read at ten." if verdict else "",
    )


@pytest.mark.parametrize("verdict", [Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP])
def test_the_time_is_by_all_readings_and_the_verdict_stays(verdict):
    found = lasts_while_running(minutes(200, 180, 220, verdict), minutes(150, 130, 170))

    assert (found.value, found.verdict, found.todo) == (150, verdict, "Read at ten.")


def test_once_the_reserve_is_reached_it_is_stop_whatever_the_last_reading_said():
    found = lasts_while_running(minutes(200, 180, 220, Verdict.FINE), minutes(0, 0, 10))

    assert (found.verdict, found.todo) == (Verdict.STOP, "Fit a full one now.")


def test_while_it_may_be_reached_one_looks_again():
    found = lasts_while_running(minutes(200, 180, 220, Verdict.FINE), minutes(20, 0, 40))

    assert (found.verdict, found.todo) == (Verdict.LOOK_AGAIN, "Read the gauge now.")


def test_without_a_time_by_all_readings_the_last_reading_speaks():
    alone = minutes(200, 180, 220, Verdict.FINE)

    assert lasts_while_running(alone, minutes(None, None, None)) is alone
