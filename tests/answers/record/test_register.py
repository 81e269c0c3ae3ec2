"""The register of a site: a whole record that is gone, cut off or written anew shows."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import (
    OTHER,
    PUBLIC,
    case_chain,
    case_lines,
    long_chain,
    register,
    signed_file,
)
from ullage.answers import Verdict
from ullage.answers.record.chained import Head, chained, head_of, register_line
from ullage.answers.record.exported import export_chain
from ullage.answers.record.verified import verify_register
from ullage.answers.record.written import content_of

ONE, TWO = case_chain("r1"), case_chain("r2")
FILES = [export_chain(ONE, "r1"), export_chain(TWO, "r2")]
HEADS = (head_of(ONE[:3], "r1"), head_of(TWO, "r2"), head_of(ONE, "r1"))
REGISTER = signed_file(register(*HEADS), "site-1", "register")


def told(answer):
    return [(one.what, one.result) for one in answer.steps if not one.what.startswith("Signature")]


def test_a_register_that_agrees_with_every_record_is_fine():
    answer = verify_register(REGISTER, [PUBLIC], FILES)

    assert answer.verdict is Verdict.FINE
    assert answer.value == 3.0


def test_without_the_records_it_is_looked_at_alone():
    assert verify_register(REGISTER, [PUBLIC]).verdict is Verdict.FINE
    assert verify_register(REGISTER).verdict is Verdict.LOOK_AGAIN
    assert verify_register(REGISTER, [OTHER]).verdict is Verdict.STOP


@pytest.mark.parametrize(("kept", "gone"), [(0, "r2"), (1, "r1")])
def test_a_whole_record_that_is_gone_is_named(kept, gone):
    answer = verify_register(REGISTER, [PUBLIC], [FILES[kept]])

    assert answer.verdict is Verdict.STOP
    assert told(answer) == [(f"Record {gone}", "missing")]


def test_with_no_record_at_all_each_is_missing():
    answer = verify_register(REGISTER, [PUBLIC], [])

    assert told(answer) == [("Record r1", "missing"), ("Record r2", "missing")]
    assert "registered with 6 lines" in answer.steps[0].note


@given(st.integers(0, 5))
def test_a_record_that_was_cut_off_after_it_was_registered_is_found(kept):
    cut = export_chain(ONE[:kept], "r1")
    answer = verify_register(REGISTER, [PUBLIC], [cut, FILES[1]])

    assert ("Record r1", "cut off") in told(answer)


def test_a_record_that_went_on_after_it_was_registered_agrees():
    longer = signed_file(register(head_of(ONE[:3], "r1")), "site-1", "register")

    assert verify_register(longer, [PUBLIC], FILES[:1]).verdict is Verdict.FINE


def test_a_record_written_anew_is_found_though_its_own_chain_holds():
    lines = case_lines()
    lines[1] = replace(lines[1], typed="120", number="120")
    anew = export_chain(chained(content_of(one) for one in lines), "r1")
    answer = verify_register(REGISTER, [PUBLIC], [anew, FILES[1]])

    assert [one for one in told(answer) if one[0] == "Record r1"] == [("Record r1", "changed")] * 2


def test_a_record_that_was_never_registered_is_named():
    stray = export_chain(case_chain("r3"), "r3")
    answer = verify_register(REGISTER, [PUBLIC], [*FILES, stray])

    assert told(answer) == [("Record r3", "not registered")]


def test_a_record_whose_own_chain_does_not_hold_is_named():
    broken = FILES[0].replace(b"210", b"120")
    answer = verify_register(REGISTER, [PUBLIC], [broken, FILES[1]])

    assert told(answer) == [("Record r1", "does not hold")]
    assert "Line 2 (place 2)" in answer.steps[0].note


def test_a_record_file_that_cannot_be_read_is_named():
    answer = verify_register(REGISTER, [PUBLIC], [*FILES, b"hello"])

    assert told(answer) == [("Record file 3", "unreadable")]


@given(st.permutations(range(3)))
def test_the_order_of_a_register_counts(order):
    lines = register(*HEADS)
    data = export_chain(tuple(lines[one] for one in order), "site-1", "register")
    verdict = verify_register(data).verdict

    assert (verdict is Verdict.LOOK_AGAIN) == (list(order) == [0, 1, 2])


@pytest.mark.parametrize("place", range(3))
def test_a_line_taken_out_of_the_register_is_named(place):
    lines = register(*HEADS)
    data = export_chain((*lines[:place], *lines[place + 1 :]), "site-1", "register")

    assert (f"Line {place + 1}", "missing") in told(verify_register(data)) or place == 2


def test_the_last_line_taken_out_is_caught_by_the_signature():
    cut = export_chain(register(*HEADS)[:2], "site-1", "register")

    assert verify_register(cut, [PUBLIC]).verdict is Verdict.STOP


def test_a_record_that_got_shorter_in_the_register_is_found():
    data = signed_file(register(head_of(ONE, "r1"), head_of(ONE[:2], "r1")), "site-1", "register")

    assert told(verify_register(data, [PUBLIC])) == [("Record r1", "cut off")]


def test_two_heads_of_one_length_are_found():
    other = Head(kind="record", of="r1", count=6, sum="0" * 64)
    data = signed_file(register(head_of(ONE, "r1"), other), "site-1", "register")

    assert told(verify_register(data, [PUBLIC])) == [("Record r1", "changed")]


def test_a_line_of_another_site_is_named():
    mixed = chained(
        [
            register_line(HEADS[0], "site-1", 1, "2026-06-08T09:00:00.000000Z"),
            register_line(HEADS[1], "site-2", 2, "2026-06-08T09:00:00.000000Z"),
        ],
        "register",
    )
    answer = verify_register(export_chain(mixed, "site-1", "register"))

    assert told(answer) == [("Line 2 (place 2)", "added")]


@pytest.mark.parametrize(
    "change",
    [{"count": "3"}, {"line": "note"}, {"format": 2}, {"extra": 1}, {"sum": None}, {"count": True}],
)
def test_a_line_that_is_none_of_a_register_is_named(change):
    line = {**register_line(HEADS[0], "site-1", 1, "2026-06-08T09:00:00.000000Z"), **change}
    data = signed_file(chained([line], "register"), "site-1", "register")

    assert told(verify_register(data, [PUBLIC])) == [("Place 1", "unknown")]


def test_a_record_is_not_taken_for_a_register():
    assert verify_register(FILES[0]).steps[0].note == "The file holds a record, not a register."


def test_a_hundred_records_of_a_day_are_compared_and_the_one_that_is_gone_is_named():
    chains = {f"c{one}": long_chain(5, one, f"c{one}") for one in range(100)}
    files = [export_chain(chain, of) for of, chain in chains.items()]
    heads = [head_of(chain, of) for of, chain in chains.items()]
    data = signed_file(register(*heads), "site-1", "register")

    assert verify_register(data, [PUBLIC], files).verdict is Verdict.FINE
    assert told(verify_register(data, [PUBLIC], files[:57] + files[58:])) == [
        ("Record c57", "missing")
    ]
