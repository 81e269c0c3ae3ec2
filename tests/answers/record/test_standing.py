"""How entries stand: corrections and withdrawals beside what was first written."""

from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN, entry, opened, times
from ullage.answers.record.standing import record_standing
from ullage.answers.record.things import Amendment, entries_now


def amendment(order, of, **more):
    given_ = {"author": "M. Orr", "times": times(90.0), "reason": "misread", **more}
    return Amendment(id=f"r1-{order}", record="r1", order=order, of=of, **given_)


KINDS = st.sampled_from(["entry", "twin", "amend", "withdraw", "move"])


@given(st.lists(st.tuples(KINDS, st.integers(2, 12)), max_size=20))
def test_what_stands_is_what_the_entries_are_now(steps):
    lines = [opened()]
    for order, (kind, to) in enumerate(steps, start=2):
        if kind == "entry":
            lines.append(entry(order, number="210", unit="/min"))
        elif kind == "twin":
            lines.append(replace(entry(order, number="220", unit="/min"), id=f"r1-{to}"))
        elif kind == "amend":
            said = {"typed": "201", "number": "201", "unit": "/min"}
            lines.append(amendment(order, f"r1-{to}", **said))
        elif kind == "withdraw":
            lines.append(amendment(order, f"r1-{to}", withdrawn=True))
        else:
            lines.append(amendment(order, f"r1-{to}", observed=BEGAN + timedelta(minutes=to)))
    standing = record_standing(lines)

    assert tuple(one.entry for one in standing.valid) == entries_now(lines)
    assert len(standing.changes) == sum(isinstance(one, Amendment) for one in lines)


def test_a_correction_keeps_both_values_and_a_second_one_follows_the_first():
    said = {"number": "201", "unit": "/min", "typed": "201"}
    again = {"number": "203", "unit": "/min", "typed": "203"}
    lines = [opened(), entry(2, number="210", unit="/min")]
    lines += [amendment(3, "r1-2", **said), amendment(4, "r1-2", **again)]
    (one,) = record_standing(lines).entries

    told = [(change.was.number, change.now.number) for change in one.changes]
    assert told == [("210", "201"), ("201", "203")]
    assert one.entry.number == "203"
    assert one.is_amended


def test_a_withdrawn_entry_is_still_told():
    lines = [opened(), entry(2, number="210", unit="/min"), amendment(3, "r1-2", withdrawn=True)]
    standing = record_standing(lines)

    assert standing.valid == ()
    assert standing.entries[0].is_withdrawn
    assert (standing.changes[0].was.number, standing.changes[0].now) == ("210", None)


def test_a_correction_of_nothing_is_told_too():
    (change,) = record_standing([opened(), amendment(2, "nowhere")]).changes

    assert (change.was, change.now) == (None, None)


def test_late_follows_the_limit_of_the_site_and_a_time_that_was_corrected():
    late = entry(2, number="210", unit="/min", times=times(10.0, late=6.0))

    assert record_standing([late]).entries[0].is_late
    assert not record_standing([late], 10.0).entries[0].is_late
    moved = amendment(3, "r1-2", observed=BEGAN + timedelta(minutes=15))
    assert not record_standing([late, moved]).entries[0].is_late
