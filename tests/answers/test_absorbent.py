"""Whether absorbent is to be changed: by inspired carbon dioxide first, others beside it."""

import pytest

from ullage.answers import Verdict, absorbent_due
from ullage.core.errors import InvalidQuantity
from ullage.reference import conflict


@pytest.mark.parametrize(
    ("inspired", "colour", "hours", "verdict"),
    [
        (None, None, None, Verdict.NOT_YET),
        (0.0, None, None, Verdict.FINE),
        (0.0, 0.3, 4.0, Verdict.FINE),
        (0.001, None, None, Verdict.FINE),
        (0.003, 0.0, 0.0, Verdict.STOP),
        (0.0, 0.55, None, Verdict.LOOK_AGAIN),
        (0.0, None, 8.0, Verdict.LOOK_AGAIN),
        (None, 0.1, 1.0, Verdict.LOOK_AGAIN),
    ],
)
def test_what_was_looked_at_decides(inspired, colour, hours, verdict):
    answer = absorbent_due(inspired, colour, hours)

    assert answer.verdict is verdict
    assert bool(answer.settles) == (inspired is None)


def test_what_nobody_looked_at_is_never_said_to_be_fine():
    results = [view.result for view in absorbent_due(hours_h=13.0).views]

    assert results == [*["not looked at"] * 4, "change it", "change it", "not yet"]


# Conflict K-27: inspired carbon dioxide; colour 1/2, 2/3, 50-70 %; 8, 12, 14 h; inspired first.
@pytest.mark.published("machine_base")
def test_every_printed_criterion_stands_beside_the_chosen_one():
    answer = absorbent_due(0.0)

    assert len(answer.views) == 7
    assert answer.views[0].chosen
    assert "inspired CO2" in conflict("K-27").default
    assert any("two thirds or full" in one for one in answer.cautions)


@pytest.mark.parametrize("wrong", [(-0.1, None, None), (None, 1.2, None), (None, None, -1.0)])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=r"(inspired|colour)_share is|hours_h is"):
        absorbent_due(*wrong)
