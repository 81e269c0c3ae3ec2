"""The curves of a planned case: their words, their shapes, what stands inside the frame."""

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from ullage.answers.case_supply import case_supply
from ullage.answers.casefile import case_from_toml
from ullage.answers.dayfile import day_from_toml
from ullage.answers.flow_sides import flow_sides
from ullage.web.days.drawing_case import (
    dial_steps,
    dial_svg,
    flow_svg,
    label_of,
    levels_svg,
    nice_top,
    on_paper,
    supply_svg,
)
from ullage.web.days.selectors import plan_of

pytestmark = pytest.mark.web

EXAMPLES = Path(__file__).parents[3] / "examples"


@pytest.fixture(scope="module")
def given():
    return case_from_toml((EXAMPLES / "case_cat.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def plan(given):
    return plan_of(given)


@pytest.fixture(scope="module")
def supply(plan):
    day = day_from_toml((EXAMPLES / "day.toml").read_text(encoding="utf-8"))
    case = replace(plan.case, machine="Wren", name="<b>Tansy</b>")
    return case_supply(replace(day, cases=(*day.cases, case)), case, highest_l_min=3.0)


@pytest.fixture(params=["dial", "levels", "flow", "supply"])
def drawn(request, given, plan, supply):
    return {
        "dial": lambda: dial_svg(plan),
        "levels": lambda: levels_svg(plan),
        "flow": lambda: flow_svg(flow_sides(given)),
        "supply": lambda: supply_svg(supply, "<b>Tansy</b>"),
    }[request.param]()


@pytest.mark.parametrize(
    ("highest", "top"), [(343.0, 400.0), (5.3, 10.0), (0.031, 0.04), (40.0, 40.0), (0.0, 1.0)]
)
def test_an_axis_ends_at_a_round_number_that_holds_all(highest, top):
    assert nice_top(highest) == pytest.approx(top)


def test_each_curve_is_drawn_wide_and_narrow_and_is_whole(drawn):
    both = ET.fromstring(f"<both>{drawn}</both>")  # noqa: S314  # drawn by us

    assert [one.get("class") for one in both] == ["chart ch-w", "chart ch-n"]
    assert all(one.get("aria-label") for one in both)
    assert " style=" not in drawn


def test_no_word_leaves_its_drawing_at_the_sides(drawn):
    for one in ET.fromstring(f"<both>{drawn}</both>"):  # noqa: S314  # drawn by us
        width = float(one.get("viewBox").split()[2])
        for text in one.iter("text"):
            long, at = 6.6 * len("".join(text.itertext())), float(text.get("x"))
            left = {"end": at - long, "middle": at - long / 2}.get(text.get("text-anchor"), at)
            assert left > -14.0, text.text
            assert left + long < width + 14.0, text.text


def test_words_of_people_are_escaped(supply):
    drawn = supply_svg(supply, "<b>Tansy</b>")

    assert "<b>" not in drawn
    assert "<b>Tansy</b>" in label_of(drawn)


def test_the_label_states_the_result_with_its_range(plan):
    first = dial_steps(plan)[0]
    told = label_of(dial_svg(plan))

    assert re.search(r"[\d.]+ % from 0 min, likely [\d.]+ to [\d.]+", told)
    assert first.low <= first.value <= first.high
    assert len(dial_steps(plan)) == len(plan.dials)


def test_without_a_dial_there_is_no_curve(given):
    open_plan = plan_of(replace(given, drugs=None))

    assert dial_svg(open_plan) == levels_svg(open_plan) == on_paper("") == ""


def test_on_paper_a_curve_brings_its_own_ink(drawn):
    picture = ET.fromstring(on_paper(drawn))  # noqa: S314  # drawn by us

    assert picture.tag == "{http://www.w3.org/2000/svg}svg"
    assert "url(#h)" in on_paper(drawn)
