"""Words of a formula: what a parameter accepts, how a value is told, how a doctest is read."""

import ast
from collections.abc import Sequence
from enum import StrEnum

import numpy as np
import pytest

from ullage.answers.formula_arguments import choices, example_words, read_argument, said
from ullage.answers.formula_docs import call_in_doctest, described
from ullage.core.errors import UnreadableQuantity
from ullage.core.gas import C0, C15, F70, Gas, ReferenceCondition
from ullage.core.supply.runout import Floats


class Shape(StrEnum):
    """Words with a hyphen and a space."""

    BALL = "ball float"
    BOBBIN = "bobbin-float"


@pytest.mark.parametrize(
    ("annotation", "words"),
    [
        (Shape, ("ball float", "bobbin-float")),
        (Shape | None, ("ball float", "bobbin-float")),
        (ReferenceCondition, ("70F", "15C", "0C")),
        (bool, ("yes", "no")),
        (float, ()),
        (str, ()),
        (int, ()),
    ],
)
def test_the_words_of_a_parameter_are_known(annotation, words):
    assert choices(annotation) == words


@pytest.mark.parametrize(
    ("annotation", "text", "value"),
    [
        (Shape, "Ball Float", Shape.BALL),
        (Shape, "ballfloat", Shape.BALL),
        (Shape | None, "none", None),
        (Gas, "NITROUS_OXIDE", Gas.NITROUS_OXIDE),
        (ReferenceCondition, "70 °F", F70),
        (ReferenceCondition, "15c", C15),
        (ReferenceCondition, "0C", C0),
        (bool, "Yes", True),
        (bool, "true", True),
        (bool, "no", False),
        (int, "3", 3),
        (str, " as it is ", "as it is"),
        (float | None, "none", None),
        (float | None, "2", 2.0),
        (Sequence[float], "1; 2; 3", (1.0, 2.0, 3.0)),
        (tuple[float, ...], "1;2;", (1.0, 2.0)),
    ],
)
def test_a_word_is_read_as_its_parameter_takes_it(annotation, text, value):
    assert read_argument("share", annotation, text) == value


def test_many_numbers_become_an_array():
    found = read_argument("ends_min", Floats, "30; 1 h; 90")

    assert isinstance(found, np.ndarray)
    assert found.tolist() == [30.0, 60.0, 90.0]


@pytest.mark.parametrize(
    ("annotation", "text", "sentence"),
    [
        (Shape, "ball flot", "it must be one of ball float, bobbin-float. Did you mean ball float"),
        (Shape, "cone", "it must be one of ball float, bobbin-float.$"),
        (ReferenceCondition, "20C", "must be one of 70F, 15C, 0C"),
        (bool, "maybe", "must be one of yes, no"),
        (int, "2.5", "must be a whole number"),
        (float, "much", "'much' is not a count"),
    ],
)
def test_a_word_that_is_none_is_refused_with_what_is_meant(annotation, text, sentence):
    with pytest.raises(UnreadableQuantity, match=sentence):
        read_argument("share", annotation, text)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (F70, "70F"),
        (True, "yes"),
        (None, "none"),
        (0.1 + 0.2, "0.3"),
        (101.325, "101.325"),
        (12, "12"),
        (Gas.AIR, "air"),
        ((1.0, 2.5), "1; 2.5"),
    ],
)
def test_a_value_is_told_as_it_would_be_typed(value, text):
    assert said(value) == text


@pytest.mark.parametrize("value", [F70, C15, True, False, None, 3.25, Gas.HELIUM])
def test_what_is_told_can_be_typed_again(value):
    kinds = {bool: bool, float: float, type(None): float | None, Gas: Gas}
    annotation = kinds.get(type(value), ReferenceCondition)

    assert read_argument("share", annotation, said(value)) == value


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("Gas.NITROUS_OXIDE", "nitrous oxide"),
        ("F70", "70F"),
        ("C15", "15C"),
        ("14 * 60.0", "840"),
        ("1 / 4", "0.25"),
        ("-5.0", "-5"),
        ("'words'", "words"),
        ("13_100.0", "13100"),
        ("Rule(minutes=15, pressure_kpa=2 * 100.0)", "minutes: 15, pressure_kpa: 200"),
        ("Rule(15)", None),
        ("np.inf - 1", None),
        ("unknown", None),
        ("[one for one in two]", None),
    ],
)
def test_an_argument_of_a_doctest_becomes_words_where_it_is_literal(code, words):
    assert example_words(ast.parse(code, mode="eval").body) == words


def test_a_variable_of_a_doctest_is_what_it_was_set_to():
    def leak_l(volume_l: float, count: int) -> float:
        """Leak.

        >>> size = 2.0
        >>> round(leak_l(size, count=3), 1)
        6.0
        """
        return volume_l * count

    found = {name: example_words(node) for name, node in call_in_doctest(leak_l).items()}

    assert found == {"volume_l": "2", "count": "3"}


def test_a_function_without_a_doctest_has_no_call():
    def bare() -> float:
        """Nothing to see."""
        return 0.0

    assert call_in_doctest(bare) == {}
    assert described(bare).parameters == ()
    assert described(bare).unit == "1"


def test_two_parameters_may_share_a_line():
    def span_kpa(low_kpa: float, high_kpa: float) -> float:
        """Width of a range.

        Parameters
        ----------
        low_kpa, high_kpa : [kPa] the ends of the range,
            the lower one first.

        Returns
        -------
        [kPa]
        """
        return high_kpa - low_kpa

    taken = described(span_kpa).parameters

    assert [one.name for one in taken] == ["low_kpa", "high_kpa"]
    assert {one.unit for one in taken} == {"kPa"}
    assert taken[0].meaning == "the ends of the range, the lower one first."
