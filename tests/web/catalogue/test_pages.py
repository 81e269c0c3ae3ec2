"""The catalogue: formulas found and run, values with their provenance, disagreements."""

import pytest
from django.urls import reverse
from django.utils.html import escape

from ullage.answers.formulas import formulas
from ullage.reference import conflicts, search

pytestmark = pytest.mark.web

HOME = reverse("catalogue:home")
VALUES = reverse("catalogue:values")
DISAGREE = reverse("catalogue:disagree")
CONTENTS = reverse("catalogue:formula", args=["contents_l"])
ASKED = {"gas": "oxygen", "water_capacity_l": "4.76", "gauge_kpa": "1900 psi"}


def test_every_formula_is_listed(as_viewer):
    page = as_viewer.get(HOME).content.decode()

    for one in formulas():
        assert reverse("catalogue:formula", args=[one.name]) in page


def test_a_formula_is_found_by_words_of_its_summary(as_viewer):
    page = as_viewer.get(HOME, {"q": "flush"}).content.decode()

    assert "flush_l" in page
    assert "saturation_kpa" not in page


def test_every_formula_has_its_page_with_its_parameters(as_viewer):
    for shown in formulas():
        url = reverse("catalogue:formula", args=[shown.name])
        page = as_viewer.get(url).content.decode()

        assert escape(shown.summary) in page
        for parameter in shown.parameters:
            assert f'name="{parameter.name}"' in page


def test_a_formula_runs_with_units_as_people_write_them(as_viewer):
    # supply_checks C027: 138.53 L for each litre of water at 1900 psig and 70 °F; times 4.76.
    asked = {**ASKED, "temperature_k": "70 °F"}
    page = as_viewer.get(CONTENTS, asked).content.decode()

    assert '<span class="num">659</span>' in page
    assert "Where from" in page


def test_htmx_gets_the_work_alone(as_viewer):
    headers = {"HX-Request": "true"}
    reply = as_viewer.get(CONTENTS, {**ASKED, "temperature_k": "20 °C"}, headers=headers)

    assert "<html" not in reply.content.decode()
    assert "HX-Request" in reply["Vary"]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"gauge_kpa": "1900 furlongs"}, "furlongs"),
        ({"water_capacity_l": "-4"}, "water_capacity_l is -4; it must be"),
        ({"gauge_kpa": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_kept_as_typed(as_viewer, changes, sentence):
    asked = {**ASKED, "temperature_k": "20 °C", **changes}
    reply = as_viewer.get(CONTENTS, asked)

    assert reply.status_code == 422
    assert sentence in reply.content.decode()
    assert 'value="20 °C"' in reply.content.decode()


def test_an_unknown_formula_is_not_found(as_viewer):
    assert as_viewer.get(reverse("catalogue:formula", args=["no_such"])).status_code == 404


def test_values_are_searched_and_say_how_they_are_known(as_viewer):
    page = as_viewer.get(VALUES, {"q": "gauge class 2.5"}).content.decode()

    assert "0.025" in page
    assert "from memory, not confirmed" in page
    assert "supply:gauge_error_share" in page


def test_a_value_that_is_not_there_is_said_to_be_missing(as_viewer):
    page = as_viewer.get(VALUES, {"q": "no row has these words"}).content.decode()

    assert "Nothing holds all these words" in page


def test_without_words_the_tables_are_listed_with_their_counts(as_viewer):
    page = as_viewer.get(VALUES).content.decode()

    assert "supply_checks" in page
    assert "Left out" in page


def test_long_finds_come_in_pages(as_viewer):
    rows = search("", only="supply_checks")
    first = as_viewer.get(VALUES, {"table": "supply_checks"}).content.decode()
    second = as_viewer.get(VALUES, {"table": "supply_checks", "page": "2"}).content.decode()

    assert f"{len(rows)} rows" in first
    assert rows[0].place in first
    assert rows[0].place not in second
    assert rows[45].place in second


def test_conflicts_stand_side_by_side_with_what_is_suggested(as_viewer):
    page = as_viewer.get(DISAGREE).content.decode()

    for one in conflicts():
        assert f'id="{one.key}"' in page
    assert "50 C" in page
    assert "54 C" in page


def test_conflicts_are_found_by_words(as_viewer):
    page = as_viewer.get(DISAGREE, {"q": "storage temperature"}).content.decode()

    assert 'id="K-13"' in page
    assert 'id="K-16"' not in page


@pytest.mark.parametrize("url", [HOME, VALUES, DISAGREE, CONTENTS])
def test_who_is_not_signed_in_goes_to_the_door(client, db, url):
    reply = client.get(url)

    assert reply.status_code == 302
    assert "login" in reply["Location"]


@pytest.mark.parametrize("url", [HOME, VALUES, DISAGREE, CONTENTS])
def test_nothing_is_posted_here(as_viewer, url):
    assert as_viewer.post(url).status_code == 405
