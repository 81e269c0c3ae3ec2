"""A vaporizer with the wrong agent in it, or with two."""

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.misfills import Fill, mixed_agents, wrong_agent
from ullage.answers.things import Place
from ullage.core.errors import InvalidQuantity, RuleBroken


def fill(made_for, holds, percent, **more):
    return Fill(made_for=made_for, holds=holds, dial_fraction=0.01 * percent, **more)


# Fact base on agents, section 4: 3.45 %, 2.9 human MAC; 0.67 %, 0.37 MAC.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("made_for", "holds", "dial", "percent", "depth"),
    [
        ("sevoflurane", "isoflurane", 2.0, 3.45, "2.9"),
        ("isoflurane", "sevoflurane", 1.17, 0.67, "0.37"),
    ],
)
def test_the_worked_misfills_are_reproduced(made_for, holds, dial, percent, depth):
    answer = wrong_agent(fill(made_for, holds, dial), "human")

    assert answer.value == pytest.approx(percent, abs=0.015)
    assert f"{depth}" in answer.sentence
    assert answer.verdict is Verdict.STOP


@pytest.mark.parametrize(
    ("made_for", "holds", "word"),
    [("sevoflurane", "isoflurane", "deeper"), ("isoflurane", "sevoflurane", "lighter")],
)
def test_the_direction_of_the_error_is_said(made_for, holds, word):
    assert any(word in line for line in wrong_agent(fill(made_for, holds, 2.0), "cat").reasons)


# Andrews & Johnston 1993: 10.2 MAC from an isoflurane device set to 1 MAC.
@pytest.mark.published("agents_values")
def test_desflurane_in_an_unheated_vaporizer_gets_no_figure_but_a_stop():
    answer = wrong_agent(fill("isoflurane", "desflurane", 1.3), "cat")

    assert answer.value is None
    assert answer.low is None
    assert "10.2 MAC" in answer.sentence
    assert answer.verdict is Verdict.STOP
    assert (
        mixed_agents(
            fill("isoflurane", "desflurane", 1.3, left_ml=50.0, added_ml=50.0), "cat"
        ).value
        is None
    )


def test_in_a_cold_room_even_desflurane_has_a_figure():
    cold = Place(temperature_k=284.15, temperature_band_k=1.0)
    answer = wrong_agent(fill("isoflurane", "desflurane", 1.3), "cat", cold)

    assert answer.value > 5.0


def test_the_right_agent_is_no_error_and_a_heated_vaporizer_is_not_computed():
    with pytest.raises(RuleBroken, match="right agent"):
        wrong_agent(fill("isoflurane", "isoflurane", 2.0), "cat")
    with pytest.raises(RuleBroken, match="heated desflurane"):
        wrong_agent(fill("desflurane", "isoflurane", 6.0), "cat")


def test_a_mixture_lies_between_the_two_pure_fills():
    half = mixed_agents(fill("sevoflurane", "isoflurane", 2.0, left_ml=50.0, added_ml=50.0), "dog")
    nearly_none = mixed_agents(
        fill("sevoflurane", "isoflurane", 2.0, left_ml=100.0, added_ml=1e-6), "dog"
    )
    nearly_all = mixed_agents(
        fill("sevoflurane", "isoflurane", 2.0, left_ml=1e-6, added_ml=100.0), "dog"
    )

    assert nearly_none.value < half.value < nearly_all.value
    assert nearly_none.value == pytest.approx(2.0 / 2.36, rel=1e-3)


def test_an_empty_vaporizer_holds_no_mixture():
    with pytest.raises(InvalidQuantity, match="liquid in the vaporizer"):
        mixed_agents(fill("sevoflurane", "isoflurane", 2.0), "dog")


def test_a_borrowed_potency_is_told_with_the_depth():
    answer = wrong_agent(fill("halothane", "enflurane", 1.0), "rat")

    assert any("borrowed" in line for line in answer.cautions)
