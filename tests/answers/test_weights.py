"""Slips of the pen in a weight are asked about; every weight of a real animal is taken."""

import pytest

from ullage.answers.weights import species_known, weight_question, weight_text
from ullage.core.errors import InvalidQuantity


@pytest.mark.parametrize(
    ("species", "typed_kg", "meant"),
    [
        ("rabbit", 340.0, "3.4 kg"),
        ("mouse", 25.0, "25 g"),
        ("Mouse ", 0.25, "25 g"),
        ("sheep", 0.06, "60 kg"),
        ("cat", 45.0, "4.5 kg"),
    ],
)
def test_a_slip_of_the_pen_is_asked_about_with_what_was_meant(species, typed_kg, meant):
    question = weight_question(species, typed_kg)

    assert question is not None
    assert question.meant_text == meant
    assert f"Did you mean {meant}?" in question.sentence


@pytest.mark.parametrize(
    ("species", "weight_kg"),
    [("mouse", 0.012), ("rabbit", 1.2), ("pony", 180.0), ("rat", 0.6), ("sheep", 8.0)],
)
def test_young_and_large_animals_are_not_asked_about(species, weight_kg):
    assert weight_question(species, weight_kg) is None


def test_a_weight_that_nothing_explains_is_asked_about_without_a_proposal():
    question = weight_question("horse", 3000.0)

    assert question is not None
    assert question.meant_kg is None
    assert "Did you mean" not in question.sentence


def test_how_the_range_is_known_is_said():
    assert "seen in print" in weight_question("rabbit", 340.0).sentence
    assert "from memory" in weight_question("goat", 470.0).sentence


def test_a_species_nobody_listed_is_never_asked_about():
    assert weight_question("axolotl", 12.0) is None


@pytest.mark.parametrize("species", species_known())
def test_no_adult_weight_in_print_is_asked_about(species):
    from ullage.reference import sourced

    row = sourced("species_weights", species)

    assert weight_question(species, row.low) is None
    assert weight_question(species, row.high) is None


@pytest.mark.parametrize("weight_kg", [0.0, -3.4, float("nan"), float("inf")])
def test_what_is_no_weight_is_refused(weight_kg):
    with pytest.raises(InvalidQuantity, match=r"weight_kg .* must be a number above 0"):
        weight_question("rabbit", weight_kg)


def test_weights_are_spoken_in_grams_below_a_kilogram():
    assert (weight_text(0.0205), weight_text(0.999), weight_text(1.0)) == (
        "20.5 g",
        "999 g",
        "1 kg",
    )
