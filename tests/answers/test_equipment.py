"""Kinds of parts: every row is whole, speaks known words, and keeps what fits and nothing else."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import BreathingSystem, VaporizerKind
from ullage.answers.agents import LIQUIDS
from ullage.answers.chain_things import RegulatorKind
from ullage.answers.equipment import PART_KINDS, facts_read, part_kind
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.core.gas import Gas
from ullage.core.units import KINDS

FACTS = [(kind, fact) for kind in PART_KINDS.values() for fact in kind.facts]
NAMED = [f"{kind.key}-{fact.name}" for kind, fact in FACTS]
every_fact = pytest.mark.parametrize(("kind", "fact"), FACTS, ids=NAMED)

#: How the name of a quantity ends, so that its unit is known where it is kept.
ENDINGS = {
    "flow": ("_l_min",),
    "volume": ("_l",),
    "mass": ("_kg",),
    "pressure": ("_kpa",),
    "share": ("_fraction", "_share"),
    "count": ("_factor",),
}


def good(fact):
    """A value that the fact takes."""
    if fact.kind == "choice":
        return fact.choices[0][0]
    if fact.kind == "date":
        return date(2031, 5, 1)
    if fact.kind == "text":
        return "A humidifier"
    return fact.high * KINDS[fact.kind][fact.unit]


@every_fact
def test_a_fact_has_words_and_a_way_to_be_entered(kind, fact):
    assert fact.label
    if fact.kind == "choice":
        assert len(dict(fact.choices)) == len(fact.choices) >= 2
    elif fact.kind not in {"date", "text"}:
        assert fact.unit in KINDS[fact.kind]
        assert fact.low < fact.high
        assert fact.name.endswith((*ENDINGS[fact.kind], "sd_share"))


@every_fact
def test_a_good_value_is_kept_and_is_good_again(kind, fact):
    kept = facts_read(kind.key, {fact.name: good(fact)})

    assert facts_read(kind.key, kept) == kept
    assert set(kept) == {fact.name}


@pytest.mark.parametrize(
    ("kind", "fact"),
    [one for one in FACTS if one[1].kind not in {"choice", "date", "text"}],
)
@given(far=st.floats(min_value=1e-6, max_value=1e9))
def test_a_number_outside_its_limits_is_refused(kind, fact, far):
    share = KINDS[fact.kind][fact.unit]
    for value in (fact.high * share * (1 + 1e-9) + far, fact.low * share - far):
        with pytest.raises(InvalidQuantity, match="must be between"):
            facts_read(kind.key, {fact.name: value})


@every_fact
def test_what_is_no_such_value_is_refused_in_a_sentence(kind, fact):
    if fact.kind == "text":
        return
    with pytest.raises(RuleBroken, match=r"is (none of|no date|no number)"):
        facts_read(kind.key, {fact.name: "a great deal"})


@every_fact
def test_nothing_said_is_nothing_kept(kind, fact):
    assert facts_read(kind.key, {fact.name: None}) == {}
    assert facts_read(kind.key, {fact.name: ""}) == {}


def test_words_are_those_that_answers_know():
    def keys(kind, fact):
        return {key for key, _ in part_kind(kind).fact(fact).choices}

    assert keys("flowmeter", "gas") == set(Gas)
    assert keys("vaporizer", "agent") == set(LIQUIDS)
    assert keys("vaporizer", "works_by") == set(VaporizerKind)
    assert keys("breathing_system", "system") == set(BreathingSystem)
    assert keys("regulator", "works_by") == set(RegulatorKind)


def test_a_kind_or_a_fact_that_is_none_is_named_with_those_that_are():
    with pytest.raises(UnknownReference, match=r"No kind of part 'flux'\. Kinds: flowmeter"):
        part_kind("flux")
    with pytest.raises(UnknownReference, match=r"Relief valve has no .gas.\. It has: opens_kpa"):
        part_kind("relief_valve").fact("gas")


def test_kinds_are_told_apart_by_key_and_name():
    assert len({kind.name for kind in PART_KINDS.values()}) == len(PART_KINDS)
    assert all(key == kind.key and len(key) <= 20 for key, kind in PART_KINDS.items())
