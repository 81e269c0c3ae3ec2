"""Questions asked by name with nonsense: always an answer or a refusal in a sentence."""

import shlex

import pytest

from ullage.answers import Answer
from ullage.answers.formulas import formula_result, formulas
from ullage.core.errors import UllageError

NONSENSE = [
    "nan", "-1", "0", "1e300", "1e-300", "", "x", "🐈", "-0", "99999999 kg", "5 furlongs", "none",
    ";", ":", ",,", "unknown, 4 kg", "cat, -1 kg", "cat, 1e9 kg", "cat, nan kg",
    "cat, 4 kg, tidal_l: -1", "cat, 4 kg, no_such: 3", "chicken, 2 kg", "cockatoo, 0.3 kg",
    "llama, 100 kg", "pony, 300 kg", "a: 1, b: 2",
]  # fmt: skip
ASKED = [one for one in formulas() if one.answers]


def outcome(name, given):
    """The answer, or the refusal; anything else fails the test by itself."""
    try:
        return formula_result(name, given)
    except UllageError as refusal:
        return str(refusal)


@pytest.mark.parametrize("asked", ASKED, ids=lambda one: one.name)
def test_nonsense_is_answered_or_refused_in_a_sentence(asked):
    usual = dict(word.split("=", 1) for word in shlex.split(asked.example)[3:])
    found = [
        outcome(asked.name, {**usual, one.name: text})
        for one in asked.parameters
        for text in NONSENSE
    ]

    assert isinstance(outcome(asked.name, usual), Answer)
    assert any(isinstance(one, str) for one in found)
    assert all(
        one.question if isinstance(one, Answer) else one.endswith((".", "?")) for one in found
    )


@pytest.mark.parametrize(
    "asked", [one for one in ASKED if ": " in one.example], ids=lambda one: one.name
)
@pytest.mark.parametrize("text", ["nan", "-1", "1e300", "x", "", "1e-300"])
def test_nonsense_in_a_part_of_a_thing_is_answered_or_refused(asked, text):
    usual = dict(word.split("=", 1) for word in shlex.split(asked.example)[3:])
    for name, written in usual.items():
        parts = written.split(", ")
        for place, part in enumerate(parts):
            field, colon, _ = part.partition(": ")
            if colon:
                changed = [*parts[:place], f"{field}: {text}", *parts[place + 1 :]]
                assert outcome(asked.name, {**usual, name: ", ".join(changed)})
