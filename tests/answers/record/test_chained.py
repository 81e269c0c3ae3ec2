"""The chain: each line stands on all before it, and nothing else has its sum."""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import AT
from ullage.answers.record.chained import (
    START,
    Head,
    chained,
    head_of,
    link,
    next_link,
    register_line,
)
from ullage.answers.record.fixed import fixed_text, read_fixed
from ullage.core.errors import PlanUnreadable, RuleBroken

CONTENTS = [{"order": order, "said": f"line {order}"} for order in range(1, 6)]


def test_the_sum_is_one_that_any_program_can_work_out():
    text = fixed_text(CONTENTS[0])
    by_hand = hashlib.sha256(f"ullage record 1\n{'0' * 64}\n{text}".encode()).hexdigest()

    assert chained(CONTENTS)[0].sum == by_hand


def test_a_chain_of_nothing_has_the_start_as_its_head():
    assert head_of((), "r1") == Head(kind="record", of="r1", count=0, sum=START)


def test_the_head_is_the_last_line():
    lines = chained(CONTENTS)

    assert head_of(lines, "r1") == Head(kind="record", of="r1", count=5, sum=lines[-1].sum)


@pytest.mark.parametrize("place", range(5))
def test_a_change_of_one_line_changes_its_sum_and_every_one_after_it(place):
    changed = [dict(one) for one in CONTENTS]
    changed[place]["said"] += "."
    before, after = chained(CONTENTS), chained(changed)

    same = [one.sum == other.sum for one, other in zip(before, after, strict=True)]
    assert same == [number < place for number in range(5)]


@pytest.mark.parametrize("order", [0, 2, -1, None, "1", 1.0, True, 2**70])
def test_the_first_line_has_the_number_one_and_nothing_like_it(order):
    with pytest.raises(RuleBroken, match=r"^Line 1 comes next"):
        next_link(None, {"order": order})


def test_a_number_that_is_left_out_or_stands_twice_is_refused():
    first = next_link(None, CONTENTS[0])
    for order in (1, 3):
        with pytest.raises(RuleBroken, match=f"^Line 2 comes next, not {order}"):
            next_link(first, {"order": order})
    with pytest.raises(RuleBroken, match="not None"):
        next_link(first, {})


def test_a_record_a_register_and_the_audit_never_share_a_sum():
    text = fixed_text(CONTENTS[0])

    assert len({link(START, text, kind) for kind in ("record", "register", "audit")}) == 3


@given(st.text(max_size=40), st.text(max_size=40))
def test_texts_that_look_alike_have_sums_of_their_own(one, other):
    try:
        texts = [fixed_text({"order": 1, "said": said}) for said in (one, other)]
    except PlanUnreadable:  # half a character
        return
    assert (link(START, texts[0]) == link(START, texts[1])) is (one == other)


def test_the_same_letter_written_in_two_ways_is_two_texts():
    composed, apart = "\u00e9", "e\u0301"  # é as one sign and as two

    assert link(START, fixed_text({"said": composed})) != link(START, fixed_text({"said": apart}))


def test_a_line_of_the_register_keeps_how_far_a_record_went():
    head = head_of(chained(CONTENTS), "r1")
    content = register_line(head, "site-1", 7, AT)

    assert (content["record"], content["count"], content["sum"]) == ("r1", 5, head.sum)
    assert (content["register"], content["order"], content["at"]) == ("site-1", 7, AT)
    assert read_fixed(fixed_text(content)) == content
