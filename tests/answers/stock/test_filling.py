"""Absorbent by load, hours, colour, days and dry gas: the gravest sign counts."""

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.stock import Filling, filling_due
from ullage.core.errors import InvalidQuantity
from ullage.reference import fact

FRESH = {"mass_kg": 1.0, "load_l": 20.0, "hours_h": 4.0, "open_days": 3.0}


def test_what_is_used_up_follows_from_load_and_capacity():
    answer = filling_due(Filling(**FRESH))

    # 20 L on 1 kg at 100, 150 and 200 L/kg.
    assert (answer.low, answer.value, answer.high) == pytest.approx((10.0, 20 / 1.5, 20.0))
    assert answer.verdict is Verdict.FINE


# WSAVA 2014: 1 kg lasts about 30 h for dogs, which is 4 L/h at 12 L/100 g.
@pytest.mark.published("machine_S08")
def test_a_kilogram_of_thirty_hours_lies_between_the_capacities():
    hours = fact("machine_checks", "AB05").number
    filling = Filling(mass_kg=1.0, load_l=4.0 * hours)
    cautious, typical, _ = filling.used_percent

    assert cautious > 100.0 > typical


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"load_l": 51.0}, Verdict.LOOK_AGAIN, "more than half is used up"),
        ({"load_l": 101.0}, Verdict.STOP, "By its load it is used up"),
        ({"hours_h": 9.0}, Verdict.LOOK_AGAIN, "Some texts would change it now"),
        ({"hours_h": 6.0, "hours_limit_h": 5.0}, Verdict.LOOK_AGAIN, ""),
        ({"open_days": 14.0}, Verdict.LOOK_AGAIN, "known from memory is 14 days"),
        ({"open_days": 8.0, "days_limit": 7.0}, Verdict.LOOK_AGAIN, "the rule here is 7 days"),
        ({"liquid_ml": 130.0}, Verdict.LOOK_AGAIN, "one text changes it at 125"),
        ({"left_on_h": 14.0}, Verdict.STOP, "Dry gas flowed for 14 h"),
        ({"left_on_h": 2.0}, Verdict.LOOK_AGAIN, "may still hold its water"),
        ({"left_on_h": 0.0}, Verdict.FINE, ""),
        ({"inspired_share": 0.008}, Verdict.STOP, "is breathed in"),
        ({"colour_share": 0.7, "seen_after_use": True}, Verdict.LOOK_AGAIN, "by colour or hours"),
        ({"colour_share": 0.2, "seen_after_use": True}, Verdict.FINE, ""),
    ],
)
def test_each_sign_counts_by_itself(changes, verdict, words):
    answer = filling_due(Filling(**{**FRESH, **changes}))

    assert answer.verdict is verdict
    assert words in " ".join((answer.sentence, *answer.reasons))


def test_a_colour_read_at_rest_is_no_sign_of_anything():
    for colour in (0.1, 0.9):
        answer = filling_due(Filling(**FRESH, colour_share=colour, seen_after_use=False))

        assert answer.verdict is Verdict.LOOK_AGAIN
        assert "not read right after use" in answer.sentence
        assert "right after the next case" in answer.todo


@pytest.mark.parametrize(
    ("filling", "asks"),
    [
        (Filling(), "On which day was it put in?"),
        (Filling(load_l=20.0, hours_h=2.0, open_days=1.0), "How much absorbent"),
        (Filling(mass_kg=1.0, open_days=1.0), "What colour was it"),
    ],
)
def test_what_nobody_has_said_is_asked(filling, asks):
    answer = filling_due(filling)

    assert answer.verdict is Verdict.NOT_YET
    assert asks in answer.settles


def test_a_change_asks_for_a_leak_test():
    assert "leaks" in filling_due(Filling(**{**FRESH, "load_l": 300.0})).todo


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"mass_kg": 0.0}, "mass_kg is 0"),
        ({"load_l": -1.0}, "load_l is -1"),
        ({"colour_share": 1.2}, "colour_share is 1.2"),
        ({"open_days": float("nan")}, "open_days is nan"),
    ],
)
def test_what_cannot_be_is_refused(changes, words):
    with pytest.raises(InvalidQuantity, match=words):
        Filling(**{**FRESH, **changes})
