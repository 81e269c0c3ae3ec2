"""Level bars and spans: solid is sure, hatched is perhaps, blank is gone."""

import re
from math import inf, nan

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Answer
from ullage.web.shared.bars import Level, Span, level_of

pytestmark = pytest.mark.web

AMOUNT = st.floats(min_value=-1e6, max_value=1e6)


def drawn(bar, tag="level_bar"):
    text = "{% load ullage %}{% " + tag + " bar %}"
    return Template(text).render(Context({"bar": bar}))


# The numbers of the design's own example: 343 of 680 L, 313 to 372, 450 needed, 69 kept back.
ALDER = Level(
    full=680, low=313, value=343, high=372, need=450, kept=69, label="Alder: 343 of 680 litres"
)


def test_the_shares_are_those_drawn_in_the_design():
    # 46.0 %, 50.4 %, 54.7 %, 66.2 % and 10.1 % stand in the design's example.
    assert (ALDER.sure, ALDER.at) == (pytest.approx(46.0, abs=0.1), pytest.approx(50.4, abs=0.1))
    assert ALDER.sure + ALDER.perhaps == pytest.approx(54.7, abs=0.1)
    assert (ALDER.flag, ALDER.kept_share) == (
        pytest.approx(66.2, abs=0.1),
        pytest.approx(10.1, abs=0.1),
    )


@given(low=AMOUNT, more=AMOUNT, full=AMOUNT, kept=AMOUNT)
def test_a_bar_never_leaves_its_frame(low, more, full, kept):
    bar = Level(full=full, low=low, value=low, high=low + abs(more), kept=kept, label="x")

    assert 0 <= bar.sure <= 100
    assert 0 <= bar.sure + bar.perhaps <= 100.01
    assert bar.kept_share <= bar.sure + bar.perhaps


@pytest.mark.parametrize("broken", [nan, inf, -inf])
def test_a_number_that_is_none_draws_nothing(broken):
    assert Level(full=broken, value=10, label="x").sure == 0
    assert Level(full=10, value=broken, label="x").at == 0


def test_it_says_in_words_what_it_draws_and_has_no_style():
    shown = drawn(ALDER)

    assert 'role="img" aria-label="Alder: 343 of 680 litres"' in shown
    assert "style=" not in shown
    assert 'fill="url(#hatch)"' in shown


def test_an_estimate_is_hatched_all_over():
    shown = drawn(Level(full=680, low=120, value=210, high=300, label="x", is_estimate=True))

    assert "lvl--est" in shown
    assert shown.count("url(#hatch-ink)") == 2


def test_the_flag_is_drawn_only_where_something_is_needed():
    assert "lvl__need" in drawn(ALDER)
    assert "lvl__need" not in drawn(Level(full=680, value=343, label="x"))


@pytest.mark.parametrize(("need", "anchor"), [(50, "start"), (340, "middle"), (660, "end")])
def test_the_words_of_the_flag_stay_inside(need, anchor):
    shown = drawn(Level(full=680, value=1, need=need, need_text="needs", label="x", size="head"))

    assert re.search(r'<text[^>]*text-anchor="(\w+)"', shown)[1] == anchor


def test_a_bar_comes_from_an_answer():
    left = Answer(
        question="What is left?", unit="L", value=343, low=313, high=372, sentence=".",
        reasons=(), where_from=(),
    )  # fmt: skip

    assert level_of(left, 680, "Alder", need=450).flag == ALDER.flag


def test_a_span_shows_range_value_and_limit():
    leak = Span(start=0, end=600, low=400, value=450, high=500, limit=300, label="450 of 300")

    # 66 %, 75 % and 50 % stand in the design's example.
    assert (leak.left, leak.at, leak.line) == (66.67, 75.0, 50.0)
    shown = drawn(leak, "span_bar")
    assert "span__lim" in shown
    assert "style=" not in shown


def test_a_span_without_a_range_is_a_dot():
    shown = drawn(Span(start=0, end=10, value=5, label="x"), "span_bar")

    assert "span__at" in shown
    assert "span__r" not in shown
