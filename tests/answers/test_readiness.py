"""Readiness: the gravest word decides, nothing that was said is left out."""

import pytest

from ullage.answers import Verdict, machine_readiness
from ullage.answers.readiness import Remark


def said(verdict, sentence, todo=""):
    return Remark(about="check", verdict=verdict, sentence=sentence, todo=todo)


FINE = said(Verdict.FINE, "Start of day check passed 08:40.")
LOOK = said(Verdict.LOOK_AGAIN, "Its hose is due.", "Replace the hose.")
WAITS = said(Verdict.NOT_YET, "Nobody has checked it today.", "Do the check.")
STOPS = said(Verdict.STOP, "Leak test failed.", "Mend it.")


@pytest.mark.parametrize(
    ("remarks", "verdict", "sentence", "todo"),
    [
        ([], Verdict.FINE, "Wren may be used.", ""),
        ([FINE], Verdict.FINE, "Wren may be used: Start of day check passed 08:40.", ""),
        (
            [FINE, LOOK],
            Verdict.LOOK_AGAIN,
            "Wren may be used with care: Its hose is due.",
            "Replace the hose.",
        ),
        (
            [LOOK, WAITS],
            Verdict.NOT_YET,
            "Wren may not be used yet: Nobody has checked it today.",
            "Do the check.",
        ),
        (
            [WAITS, STOPS, LOOK],
            Verdict.STOP,
            "Wren may not be used: Leak test failed.",
            "Mend it.",
        ),
    ],
)
def test_the_gravest_word_decides(remarks, verdict, sentence, todo):
    answer = machine_readiness("Wren", remarks)

    assert (answer.verdict, answer.sentence, answer.todo) == (verdict, sentence, todo)


def test_everything_said_is_among_the_steps_the_gravest_first():
    answer = machine_readiness("Wren", [FINE, LOOK, STOPS, WAITS])

    assert [one.result for one in answer.steps] == ["Stop", "Not yet", "Look again", "Fine"]
    assert (answer.value, answer.unit) == (1.0, "of 4 in order")


def test_two_equally_grave_reasons_both_stand_in_the_sentence():
    answer = machine_readiness("Wren", [STOPS, said(Verdict.STOP, "Its valve sticks.", "Mend it.")])

    assert answer.sentence == "Wren may not be used: Leak test failed. Its valve sticks."
    assert answer.todo == "Mend it."
