"""Limits side by side: those of the facts, each on its own word, and which one counts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.checks import chosen_limit, limit_choices, limit_names, site_leak_limit
from ullage.answers.checks.limits import limit_views, passes
from ullage.core.errors import UnknownReference
from ullage.reference import conflict, sources

CMH2O = 0.0980665


def test_the_limits_of_a_leak_are_those_of_the_facts_side_by_side():
    found = {
        one.key: (
            None if one.high is None else round(1000 * one.high),
            None if one.at_kpa is None else round(one.at_kpa / CMH2O),
            one.standing,
        )
        for one in limit_choices("leak")
    }

    assert found == {
        "iso_30": (150, 30, "memory"),
        "hospital_20": (250, 20, "seen"),
        "article_30": (300, 30, "seen"),
        "firm_20": (300, 20, "seen"),
        "hold_10_s": (None, 30, "memory"),
        "summary": (300, None, "seen"),
        "circuits": (75, 41, "seen"),
    }


# Conflicts K-12, K-29 and K-34 of the facts: every value that they name can be chosen.
@pytest.mark.parametrize(
    ("key", "name", "words"),
    [
        ("K-12", "high_pressure", ["100 psi in 5 min", "100 psi in 7 min", "725 psi) in 1 min"]),
        (
            "K-29",
            "leak",
            ["150 mL/min", "250 mL/min", "300 mL/min", "20 cmH2O", "No fall for 10 s"],
        ),
        ("K-34", "scavenging", ["-0.5 and 10 cmH2O", "-0.5 and 5 cmH2O", "-0.25 and 5 cmH2O"]),
    ],
)
def test_every_side_of_a_conflict_can_be_chosen(key, name, words):
    labels = " | ".join(one.label for one in limit_choices(name))

    assert conflict(key).key == key
    for one in words:
        assert one in labels


@pytest.mark.parametrize("name", limit_names())
def test_a_limit_names_its_source_and_one_at_most_is_usual(name):
    listed = limit_choices(name)

    assert len({one.key for one in listed}) == len(listed)
    assert sum(one.usual for one in listed) == (0 if name == "leak" else 1)
    for one in listed:
        assert one.where_from.source in sources()
        assert one.standing != "seen" or sources()[one.where_from.source].seen_on
        assert one.low is not None or one.high is not None or one.within_min is not None


@pytest.mark.parametrize("name", limit_names())
def test_exactly_one_side_is_shown_as_chosen(name):
    for chosen in (*limit_choices(name), None):
        assert sum(one.chosen for one in limit_views(name, chosen)) == 1


def test_the_sites_own_limit_counts_before_any_other():
    own = site_leak_limit(0.2, 30 * CMH2O, "adopted 12 January")

    assert chosen_limit("leak", {"leak": own}) is own
    assert own.where_from.text == "Rule of the site, 200 mL/min at 30 cmH2O; adopted 12 January."
    assert (own.standing, own.where_from.source) == ("site", "site_rule")


def test_an_unknown_limit_is_refused_with_those_that_are():
    with pytest.raises(UnknownReference, match=r"No limit 'nothing'\. Limits: leak, high_pressure"):
        limit_choices("nothing")


@given(st.floats(1e-3, 1e3))
def test_a_value_that_equals_a_limit_passes_where_the_limit_says_so(most):
    inclusive = site_leak_limit(most, 3.0)
    article, hospital = limit_choices("leak")[2], limit_choices("leak")[1]

    assert passes(inclusive, most)
    assert not passes(inclusive, most * 1.001)
    assert passes(article, article.high)
    assert not passes(hospital, hospital.high)
    assert passes(hospital, hospital.high * 0.999)
