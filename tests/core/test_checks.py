import pickle
from math import inf, nan
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core import errors
from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.errors import InvalidQuantity, UllageError

any_number = st.floats(allow_nan=False, allow_infinity=False)
numbers = st.floats()


@given(any_number)
def test_a_positive_number_passes_as_it_came_and_no_other_does(value):
    if value > 0.0:
        assert positive("flow_l_min", value) == value
    else:
        with pytest.raises(InvalidQuantity, match=r"flow_l_min is .*; it must be a number above 0"):
            positive("flow_l_min", value)


@given(any_number)
def test_zero_and_above_passes_as_it_came_and_no_other_does(value):
    if value >= 0.0:
        assert not_negative("leak_l_min", value) == value
    else:
        with pytest.raises(InvalidQuantity, match=r"leak_l_min is .*; it must be 0 or more"):
            not_negative("leak_l_min", value)


@given(any_number, any_number, any_number)
def test_a_number_between_its_bounds_passes_as_it_came_and_no_other_does(one, two, value):
    low, high = sorted((one, two))
    if low <= value <= high:
        assert within("share", value, low, high) == value
    else:
        with pytest.raises(InvalidQuantity, match=r"share is .*; it must be between"):
            within("share", value, low, high)


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), -float("inf")])
@pytest.mark.parametrize(
    "guard", [positive, not_negative, lambda name, value: within(name, value, 0.0, 1.0)]
)
def test_every_guard_refuses_what_is_not_finite(guard, wrong):
    with pytest.raises(InvalidQuantity, match=f"x is {wrong:g}"):
        guard("x", wrong)


def test_a_refusal_names_quantity_value_and_what_is_allowed():
    with pytest.raises(InvalidQuantity, match=r"^flow_l_min is 0; it must be a number above 0.$"):
        positive("flow_l_min", 0.0)


def test_a_refusal_keeps_its_parts_through_pickling():
    refusal = pickle.loads(pickle.dumps(InvalidQuantity("x", 2.0, "below 1")))  # noqa: S301  # ours

    assert (refusal.name, refusal.value, refusal.allowed) == ("x", 2.0, "below 1")
    assert str(refusal) == "x is 2; it must be below 1."


@pytest.mark.parametrize("name", errors.__all__)
def test_every_error_has_our_one_base_and_stands_in_the_tree(name):
    assert issubclass(getattr(errors, name), UllageError)
    assert name in errors.__doc__


def test_a_caller_who_does_not_know_us_catches_a_value_error():
    with pytest.raises(ValueError, match="x is -1"):
        positive("x", -1.0)


@given(st.lists(st.one_of(st.none(), numbers), min_size=1, max_size=5))
def test_of_several_fields_the_first_that_cannot_be_is_named(values):
    names = [f"field_{number}" for number in range(len(values))]
    thing = SimpleNamespace(**dict(zip(names, values, strict=True)))
    wrong = [
        name
        for name, value in zip(names, values, strict=True)
        if value is not None and not 0.0 <= value < inf
    ]
    if wrong:
        with pytest.raises(InvalidQuantity, match=wrong[0]):
            each_said(thing, not_negative, *names)
    else:
        assert each_said(thing, not_negative, *names) is None


def test_a_field_that_is_not_asked_about_is_not_looked_at():
    thing = SimpleNamespace(mass_kg=1.0, hours_h=nan)

    assert each_said(thing, positive, "mass_kg") is None
    with pytest.raises(AttributeError, match="weight_kg"):
        each_said(thing, positive, "weight_kg")
