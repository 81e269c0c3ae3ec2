"""Guards refuse what cannot be by its name; what nobody said is passed over."""

from math import inf, nan
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.errors import InvalidQuantity

numbers = st.floats(allow_nan=True, allow_infinity=True)


@given(numbers)
def test_a_guard_hands_back_what_it_lets_pass_and_lets_nothing_else_pass(value):
    for guard, is_right in (
        (positive, 0.0 < value < inf),
        (not_negative, 0.0 <= value < inf),
        (lambda name, one: within(name, one, -2.0, 5.0), -2.0 <= value <= 5.0),
    ):
        if is_right:
            assert guard("mass_kg", value) == value
        else:
            with pytest.raises(InvalidQuantity, match="mass_kg"):
                guard("mass_kg", value)


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
