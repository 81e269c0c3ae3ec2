"""Formulas run from their pages: known numbers come out, and nothing that is typed breaks one."""

import re
from html import unescape

import pytest
from django.urls import reverse

from ullage.answers.formulas import formulas

pytestmark = pytest.mark.web

EVERY = formulas()
NAMES = [one.name for one in EVERY]


@pytest.fixture
def run(as_viewer):
    def ask(formula, /, **typed):
        reply = as_viewer.get(reverse("catalogue:formula", args=[formula]), typed)
        return reply, unescape(reply.content.decode())

    return ask


def number_in(page):
    """The number of the answer on the page."""
    found = re.search(r'class="num">([^<]+)<', page)
    return float(re.sub(r"[^\d.eE+-]", "", found[1].replace("\u2212", "-")))


@pytest.mark.parametrize(
    ("name", "typed", "value", "rel"),
    [
        # Arithmetic: 10 L of water at 100 bar of an ideal gas, both at 20 °C and 1 atm.
        (
            "ideal_contents_l",
            {
                "water_capacity_l": "10", "gauge_kpa": "100 bar", "temperature_k": "20 °C",
                "ambient_kpa": "101.325 kPa", "condition": "15C",
            },
            10 * (10_000 + 101.325) / 101.325 * 288.15 / 293.15, 0.01,
        ),
        # Standard atmosphere, ISO 2533: 79.495 kPa at 2000 m; gauges here read bar.
        ("standard_atmosphere_kpa", {"elevation_m": "2000 m"}, 0.79495, 0.005),
        ("standard_atmosphere_kpa", {"elevation_m": "0 m"}, 1.01325, 0.005),
        # The same height in feet: 2000 m is 6561.68 ft.
        ("standard_atmosphere_kpa", {"elevation_m": "6561.68 ft"}, 0.79495, 0.005),
    ],
)  # fmt: skip
def test_a_formula_run_on_its_page_gives_the_number_of_the_books(run, name, typed, value, rel):
    reply, page = run(name, **typed)

    assert reply.status_code == 200
    assert number_in(page) == pytest.approx(value, rel=rel)


@pytest.mark.parametrize("name", NAMES)
def test_a_formula_with_nothing_or_nonsense_typed_says_what_it_wants(run, name):
    needed = [one for one in next(f for f in EVERY if f.name == name).parameters if not one.default]
    reply, page = run(name, **{one.name: "no such thing" for one in needed}, more="x")

    if needed:
        assert reply.status_code == 422
        assert "field__err" in page or "say--stop" in page
        assert page.count("no such thing") >= sum(not one.words for one in needed)
    else:
        assert reply.status_code == 200


@pytest.mark.parametrize(
    "typed", ["nan", "inf", "-1 L", "0 L", "1e400 L", "4.7 furlongs", "<b>4</b>"]
)
def test_what_is_no_capacity_is_refused_and_stays_as_typed(run, typed):
    reply, page = run("contents_l", gas="oxygen", water_capacity_l=typed, gauge_kpa="100 bar")

    assert reply.status_code == 422
    assert typed in page
    assert "<b>4</b>" not in reply.content.decode()


@pytest.mark.parametrize("name", NAMES)
def test_every_formula_says_its_unit_and_where_it_comes_from(as_viewer, name):
    page = unescape(as_viewer.get(reverse("catalogue:formula", args=[name])).content.decode())
    one = next(formula for formula in EVERY if formula.name == name)

    assert one.summary in page
    assert all(parameter.name in page for parameter in one.parameters)
    assert "Where from" in page
    own = "The answer names the source" if one.answers else "Arithmetic on what is put in"
    assert own in page or len(one.sources) > 0


@pytest.mark.parametrize(
    "words", ["%", "_", "'", '"', "\\", "<script>", "a" * 120, "oxygen  oxygen", "ÖXYGEN", "💨"]
)
@pytest.mark.parametrize("page", ["catalogue:home", "catalogue:values", "catalogue:disagree"])
def test_whatever_words_are_looked_for_the_page_stands(as_viewer, page, words):
    reply = as_viewer.get(reverse(page), {"q": words})

    assert reply.status_code == 200
    assert "<script>" not in reply.content.decode().replace('<script src="', "")


@pytest.mark.parametrize("number", ["0", "-3", "999999", "two", ""])
def test_a_page_of_finds_that_is_not_there_is_the_nearest_one(as_viewer, number):
    reply = as_viewer.get(reverse("catalogue:values"), {"q": "oxygen", "page": number})

    assert reply.status_code == 200
    assert "oxygen" in reply.content.decode().lower()


def test_a_table_that_is_not_there_finds_nothing_and_breaks_nothing(as_viewer):
    reply = as_viewer.get(reverse("catalogue:values"), {"q": "oxygen", "table": "no_such_table"})

    assert reply.status_code == 200
