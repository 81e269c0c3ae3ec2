"""The shipped lists, and lists that a site has edited: what holds for all, what is refused."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.checks import (
    ChangeKind,
    Lasts,
    MeasureKind,
    check_list,
    list_from_mapping,
    list_to_mapping,
    shipped_lists,
    steps_left_out,
)
from ullage.answers.checks.fields import FIELDS
from ullage.answers.endings import unit_by_name
from ullage.core.errors import PlanUnreadable, UnknownReference
from ullage.core.units import KINDS, unit_of
from ullage.reference import HowKnown, sources, table
from ullage.reference.checks import check_file, check_list_names

EVERY_LIST = pytest.mark.parametrize("check", shipped_lists(), ids=lambda one: one.key)
EVERY_STEP = sorted({step.key: step for one in shipped_lists() for step in one.steps}.items())
SHUTS = {
    *("leak", "relief_valve", "one_way_valves", "coaxial_inner_tube", "flush", "scavenging"),
    *("line_and_alarm", "oxygen_failure_alarm"),
}


def written(base="before_each_case", **changes):
    """A site's own list, started from a shipped one."""
    return {**list_to_mapping(check_list(base)), "key": "ours", "title": "Ours", **changes}


def without(mapping, key):
    steps = [one for one in mapping["steps"] if one.get("step") != key]
    return {**mapping, "steps": steps}


def refused(mapping):
    with pytest.raises(PlanUnreadable, match=r"\.$") as caught:
        list_from_mapping(mapping)
    return str(caught.value)


def test_the_eight_lists_are_shipped_in_their_order():
    assert [one.key for one in shipped_lists()] == [
        *("start_of_day", "before_each_case", "after_cylinder_change"),
        *("after_absorbent_or_hose_change", "monthly", "rodent_mask_bench", "veterinary_circle"),
        "non_rebreathing",
    ]


def test_the_start_of_day_has_ten_steps_of_which_four_are_measured():
    check = check_list("start_of_day")

    assert (len(check.steps), sum(step.measures for step in check.steps)) == (10, 4)
    assert {"oxygen_analyser", "reserve_cylinder", "self_inflating_bag"} <= set(check.required)


@EVERY_LIST
def test_a_list_ends_with_the_relief_valve_open_and_no_other_step_does_so(check):
    assert [step.key for step in check.steps if step.closes] == [check.steps[-1].key]
    assert check.steps[-1].key == "relief_open"
    assert check.steps[-1].required
    assert check.steps[-1].kind is MeasureKind.YES_NO
    assert "pressure zero" in check.steps[-1].title


@EVERY_LIST
def test_every_step_of_the_pre_use_check_is_covered_or_left_out_with_a_reason(check):
    left = steps_left_out(check)
    covered = {number for step in check.steps for number in step.covers} | set(check.covers)

    assert covered | {one.number for one in left} == set(table("check_steps"))
    assert all(one.why for one in left)
    assert set(check.left_out) == {one.number for one in left}


@EVERY_LIST
def test_a_list_says_when_it_is_done_and_names_no_step_twice(check):
    keys = [step.key for step in check.steps]

    assert check.when
    assert len(keys) == len(set(keys))
    assert set(check_file(check.key)["required"]) <= set(keys)


@pytest.mark.parametrize(("key", "step"), EVERY_STEP)
def test_a_step_says_what_good_looks_like_and_on_whose_word(key, step):
    assert step.title
    assert step.good.endswith(".")
    assert step.todo.endswith(".")
    assert step.method.endswith(".")
    assert not step.caution or step.caution.endswith(".")
    assert step.where_from
    assert {one.source for one in step.where_from} <= set(sources())
    assert {one.how_known for one in step.where_from} <= set(HowKnown)
    assert step.asks_no_animal is (key in SHUTS)


@pytest.mark.parametrize(("key", "step"), EVERY_STEP)
def test_nothing_recalled_stands_as_seen(key, step):
    for one in step.where_from:
        assert one.how_known != "seen" or sources()[one.source].seen_on, one
        assert one.how_known != "memory" or not sources()[one.source].seen_on, one


def test_every_shipped_step_is_in_a_list():
    assert set(check_file("steps")) == {key for key, _ in EVERY_STEP}


@pytest.mark.parametrize("kind", MeasureKind)
def test_the_fields_of_a_kind_can_be_typed(kind):
    for one in FIELDS[kind]:
        assert one.kind in {"yes or no", "choice", "number"}
        assert bool(one.words) is (one.kind == "choice")
        if one.kind == "number":
            assert unit_of(one.quantity, one.shown_unit) == one.shown_unit
            assert one.unit == next(iter(KINDS[one.quantity]))
            assert one.quantity in {"time", "share"} or unit_by_name(one.name) == one.unit


@EVERY_LIST
def test_a_list_that_was_edited_nowhere_is_itself(check):
    through_json = json.loads(json.dumps(list_to_mapping(check)))

    assert list_from_mapping(through_json) == check


def test_a_list_of_that_name_is_not_there():
    with pytest.raises(UnknownReference, match="No check list 'nothing'"):
        check_list("nothing")
    with pytest.raises(UnknownReference, match="No check list"):
        check_list("../sources")


def test_a_site_may_word_add_and_move_steps():
    own = written()
    own["steps"].insert(
        0,
        {
            "key": "doors",
            "title": "Doors shut",
            "good": "Both doors are shut.",
            "again_after": ["case"],
        },
    )
    own["steps"][1]["good"] = "Both floats rest."
    check = list_from_mapping(own)

    assert check.based_on == "before_each_case"
    assert check.steps[0].again_after == (ChangeKind.CASE,)
    assert [one.how_known for one in check.steps[0].where_from] == ["site"]
    assert "site" in {one.how_known for one in check.steps[1].where_from}
    assert "site" not in {one.how_known for one in check.steps[2].where_from}


@pytest.mark.parametrize("base", check_list_names())
def test_a_required_step_may_not_be_left_out_of_an_edited_list(base):
    for key in check_list(base).required:
        said = refused(without(written(base), key))

        named = check_file("steps")[key]["title"]
        last = f'The last step must be "{named}"'
        assert f'The step "{named}" is required here' in said or last in said


def test_dropping_what_the_site_calls_required_does_not_help():
    own = without(written("start_of_day", required=[]), "oxygen_analyser")

    assert "is required here and may not be left out" in refused(own)


def test_a_list_of_another_name_keeps_the_required_steps_of_its_base():
    own = without(written("start_of_day"), "reserve_cylinder")

    assert own["based_on"] == "start_of_day"
    assert "Reserve oxygen" in refused(own)


def test_the_closing_step_comes_last_and_keeps_its_words():
    own = written()
    moved = {**own, "steps": [own["steps"][-1], *own["steps"][:-1]]}
    reworded = written()
    reworded["steps"][-1]["title"] = "Done"

    assert "The last step must be" in refused(moved)
    assert "keeps its title" in refused(reworded)


def test_a_step_that_shuts_the_system_asks_for_no_animal_however_it_is_worded():
    step = {"key": "x", "title": "X", "good": "Holds.", "kind": "leak", "asks_no_animal": False}
    own = {"key": "ours", "title": "Ours", "steps": [step, "relief_open"]}

    assert list_from_mapping(own).steps[0].asks_no_animal


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"title": " "}, "needs a title"),
        ({"title": 7}, "needs a title"),
        ({"key": ""}, "needs a key"),
        ({"lasts": "for ever"}, "lasts 'for ever', which is not known"),
        ({"lasts": []}, "which is not known"),
        ({"after": ["earthquake"]}, "after 'earthquake', which is not known"),
        ({"after": "earthquake"}, "after 'earthquake', which is not known"),
        ({"based_on": "nobody"}, "no shipped list 'nobody'"),
        ({"colour": "red"}, "may not set 'colour'"),
        ({"steps": []}, "has 1 to 200 steps"),
        ({"steps": None}, "has 1 to 200 steps"),
        ({"steps": ["relief_open"] * 201}, "has 1 to 200 steps"),
        ({"steps": "relief_open"}, "is required here"),
        ({"steps": [3, "relief_open"]}, "Step 1 must be the name of a step or a table"),
        ({"steps": ["nothing", "relief_open"]}, "no step 'nothing' to take over"),
        ({"steps": [{"step": "leak", "key": "x"}, "relief_open"]}, "keeps its key, 'leak'"),
        ({"steps": [{"step": "leak", "kind": "yes_no"}, "relief_open"]}, "may not set 'kind'"),
        ({"steps": [{"key": "leak", "grave": False}, "relief_open"]}, "may not set 'grave'"),
        ({"steps": [{"key": "x"}, "relief_open"]}, "Step 1 needs good: what good looks like"),
        ({"steps": [{"title": "X"}, "relief_open"]}, "Step 1 needs a key"),
        ({"steps": ["leak", "leak", "relief_open"]}, "in the list more than once"),
    ],
)
def test_a_list_that_cannot_be_used_is_refused_in_sentences(changes, said):
    assert said in refused(written(**changes))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"kind": "guess"}, "of the kind 'guess', which is not known"),
        ({"covers": ["99"]}, "has no step '99'"),
        ({"waits_s": [0]}, "a wait is a number of seconds"),
        ({"waits_s": [3601]}, "a wait is a number of seconds"),
        ({"waits_s": [True]}, "a wait is a number of seconds"),
        ({"waits_s": [float("nan")]}, "a wait is a number of seconds"),
        ({"again_after": ["lunch"]}, "again after 'lunch'"),
        ({"grave": "no"}, "grave is yes or no"),
        ({"caution": "x" * 2001}, "caution must be words"),
        ({"todo": 5}, "todo must be words"),
        ({"good": ""}, "needs good"),
    ],
)
def test_a_step_of_a_site_that_cannot_be_used_is_refused(changes, said):
    step = {"key": "x", "title": "X", "good": "Good.", **changes}

    assert said in refused({"key": "o", "title": "O", "steps": [step, "relief_open"]})


def test_every_fault_is_named_at_once():
    said = refused({"title": "", "steps": ["nothing", "leak"]})

    assert "needs a key" in said
    assert "needs a title" in said
    assert "no step 'nothing'" in said
    assert "The last step must be" in said


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5) | st.floats(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)
LIST_KEYS = ("key", "title", "when", "lasts", "steps", "after", "covers", "required", "left_out")
STEP_KEYS = ("key", "title", "good", "method", "kind", "waits_s", "covers", "grave", "again_after")


def read_or_refused(mapping):
    """A list, or a sentence; nothing else may come of what somebody wrote."""
    try:
        return list_from_mapping(mapping)
    except PlanUnreadable as refusal:
        return str(refusal)


@given(st.sampled_from(LIST_KEYS), JUNK)
def test_whatever_is_written_into_a_list_makes_a_list_or_a_sentence(key, junk):
    found = read_or_refused(written(**{key: junk}))

    assert found.endswith(".") if isinstance(found, str) else found.steps[-1].closes


@given(st.sampled_from(STEP_KEYS), JUNK)
def test_whatever_is_written_into_a_step_makes_a_list_or_a_sentence(key, junk):
    step = {"key": "x", "title": "X", "good": "Good.", key: junk}
    found = read_or_refused({"key": "o", "title": "O", "steps": [step, "relief_open"]})

    assert found.endswith(".") if isinstance(found, str) else found.steps[-1].closes


def test_lists_last_as_they_say():
    lasting = {one.key: one.lasts for one in shipped_lists()}

    assert lasting["start_of_day"] is Lasts.DAY
    assert lasting["before_each_case"] is Lasts.CASE
    assert lasting["monthly"] is Lasts.MONTH
    assert lasting["after_cylinder_change"] is Lasts.CHANGE
