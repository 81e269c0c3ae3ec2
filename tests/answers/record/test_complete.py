"""The report of a record: every item of the facts, what is there, and what nobody recorded."""

from dataclasses import replace
from datetime import timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import FACTS, times
from tests.answers.record.full import DRUG, MORE, amended, lines
from ullage.answers import Verdict
from ullage.answers.record.complete import record_complete
from ullage.answers.record.seen import NOT_RECORDED, case_seen
from ullage.answers.record.things import EntryKind, EntryText
from ullage.reference import stated
from ullage.reference.values import raw_table

FULL = lines()
ITEMS = {key: stated("record", f"item.{key}").text for key in raw_table("record")["item"]}


def told(found, animal=""):
    return {one.what: (one.result, one.note) for one in record_complete(found, animal).steps}


def item(key, found, animal=""):
    return told(found, animal)[ITEMS[key]]


def test_a_whole_record_is_complete():
    answer = record_complete(FULL)

    assert [one.what for one in answer.steps if one.result == NOT_RECORDED or one.note] == []
    assert answer.verdict is Verdict.FINE
    assert answer.value == 26.0
    assert answer.sentence == "Everything is recorded: 26 items."


def test_an_empty_record_says_so_of_every_item():
    answer = record_complete([])

    assert {one.result for one in answer.steps} == {NOT_RECORDED}
    assert answer.value == 0.0
    assert "leave what nobody saw as not recorded" in answer.todo


@pytest.mark.published("records_standards")
@pytest.mark.parametrize(
    ("key", "place"),
    [
        # REC-001 heart and respiratory rate; REC-002 drugs with dose, time, route; REC-009 depth,
        # temperature, blood pressure; REC-020 expiry; REC-027 author; ARR-003 animal; EU-005
        ("heart_rate", "REC-001"),
        ("respiratory_rate", "REC-001"),
        ("drugs", "REC-002"),
        ("depth", "REC-009"),
        ("temperature", "REC-009"),
        ("blood_pressure", "REC-009"),
        ("drug_expiry", "REC-020"),
        ("authors", "REC-027"),
        ("species", "ARR-003"),
        ("awake", "REC-032"),
        ("severity", "EU-005"),
    ],
)
def test_each_item_names_the_row_that_asks_for_it(key, place):
    assert place in stated("record", f"item.{key}").where
    assert any(place in one.text for one in record_complete(FULL).where_from)


@pytest.mark.parametrize("key", [*FACTS, "severity"])
def test_a_fact_that_is_left_out_is_not_recorded(key):
    facts = {name: said for name, said in {**FACTS, **MORE}.items() if name != key}

    assert item(key, lines(facts=facts)) == (NOT_RECORDED, "")
    assert record_complete(lines(facts=facts)).value == 25.0
    assert item(key, lines(facts={**facts, key: "  "})) == (NOT_RECORDED, "")


@pytest.mark.parametrize(
    ("without", "key"),
    [
        (("heart_rate",), "heart_rate"),
        (("respiratory_rate",), "respiratory_rate"),
        (("cuff_mean",), "blood_pressure"),
        (("temperature_rectal",), "temperature"),
        (("jaw",), "depth"),
        (("nothing to report",), "events"),
        (("procedure ended",), "end"),
        (("awake", "on its chest"), "awake"),
        (("drug",), "drugs"),
        (("drug",), "drug_details"),
        (("drug",), "drug_expiry"),
        (("dial", "end_tidal_isoflurane"), "agent"),
        (("carrier", "flow_oxygen"), "carrier"),
    ],
)
def test_an_entry_that_is_left_out_is_not_recorded(without, key):
    answer = record_complete(lines(without))

    assert item(key, lines(without)) == (NOT_RECORDED, "")
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert ITEMS[key].lower() in answer.sentence


@pytest.mark.parametrize(
    ("without", "key", "note"),
    [
        (("agent",), "agent", "The agent is not named."),
        (("carrier",), "carrier", "The gas is not named."),
        (("flow_oxygen",), "carrier", "The flow is not recorded."),
        (("awake",), "awake", "Not recorded: awake."),
        (("on its chest",), "awake", "Not recorded: on its chest."),
    ],
)
def test_what_is_there_in_part_says_what_lacks(without, key, note):
    result, lacks = item(key, lines(without))

    assert result != NOT_RECORDED
    assert lacks == note
    assert record_complete(lines(without)).value == 25.0


@pytest.mark.parametrize(
    ("detail", "key"),
    [
        ("dose", "drugs"),
        ("route", "drugs"),
        ("concentration", "drug_details"),
        ("expiry", "drug_expiry"),
    ],
)
def test_a_drug_without_a_detail_is_named(detail, key):
    found = lines()
    found[-1] = replace(found[-1], details={**DRUG, detail: " "})

    assert item(key, found)[1] == f"buprenorphine has no {detail}."


def test_no_drug_is_a_word_that_somebody_says():
    found = lines(["drug"])
    word = replace(found[-1], id="r1-none", what="no other drug")

    assert item("drugs", [*found, word]) == ("none given", "")
    assert item("drug_expiry", [*found, word]) == ("none given", "")
    assert item("drugs", [*lines(), word])[0] == "buprenorphine"


def test_an_entry_whose_author_is_not_confirmed_is_counted():
    found = lines()
    found[3] = replace(found[3], author_confirmed=False)

    assert item("authors", found) == ("S. Vale", "Author to confirm: 1 entry.")


def test_an_adverse_event_is_told_in_the_words_in_which_it_was_written():
    found = lines(["nothing to report"])
    event = replace(found[-2], id="r1-x", what="adverse event", typed="Breath held for 20 s.")

    assert item("events", [*found, event])[0] == "Breath held for 20 s."


def test_an_animal_that_died_is_not_asked_for_its_waking():
    found = lines(["awake", "on its chest"])
    died = replace(found[-2], id="r1-x", what="died")

    result, lacks = item("awake", [*found, died])
    assert (result, lacks) == ("died, 10:00 UTC", "")


def test_a_weight_that_was_taken_counts_before_the_one_that_was_stated():
    order = len(FULL) + 1
    weighed = EntryText(
        id="r1-w",
        record="r1",
        order=order,
        author="S. Vale",
        times=times(-30),
        kind=EntryKind.VITAL,
        what="weight",
        typed="3020 g",
        number="3020",
        unit="g",
    )

    assert item("weight", FULL)[0] == "3.1 kg"
    assert item("weight", [*FULL, weighed])[0] == "3020 g"
    assert case_seen([*FULL, weighed]).weight_kg == pytest.approx(3.02)


def test_of_a_group_each_animal_has_its_own_weight_and_waking():
    shared = lines(["awake", "on its chest"])
    order = len(shared)

    def own(animal, what, kind=EntryKind.EVENT, **more):
        nonlocal order
        order += 1
        return EntryText(
            id=f"r1-{order}",
            record="r1",
            order=order,
            author="S. Vale",
            times=times(order),
            kind=kind,
            what=what,
            typed=more.pop("typed", ""),
            animal=animal,
            **more,
        )

    found = [
        *shared,
        own("m1", "weight", EntryKind.VITAL, typed="21 g", number="21", unit="g"),
        own("m1", "awake"),
        own("m1", "on its chest"),
        own("m2", "awake"),
    ]

    assert item("weight", found, "m1") == ("21 g", "")
    assert item("weight", found, "m2") == (NOT_RECORDED, "")
    assert item("awake", found, "m1")[1] == ""
    assert item("awake", found, "m2")[1] == "Not recorded: on its chest."
    assert item("awake", found, "m3") == (NOT_RECORDED, "")
    assert record_complete(found, "m1").question == "Is the record of m1 complete?"


def test_what_was_seen_of_another_animal_of_the_group_is_left_out():
    first, second = lines(animal="m1"), lines(animal="m2")[1:]
    found = [*first, *(replace(one, id=f"{one.id}-b") for one in second)]

    assert len(case_seen(found, "m1").entries) == len(case_seen(first).entries)
    assert len(case_seen(found).entries) == 2 * len(case_seen(first).entries)
    assert item("heart_rate", found, "m1") == ("4 entries", "")
    assert item("heart_rate", found, "m3") == (NOT_RECORDED, "")


def test_a_withdrawn_entry_is_no_record_of_anything():
    found = amended(lines(), "jaw", "tight")
    found[-1] = replace(found[-1], withdrawn=True)

    assert item("depth", found) == (NOT_RECORDED, "")


def test_later_facts_of_the_case_replace_what_they_name():
    later = replace(FULL[0], id="r1-z", order=99, facts={"strain": "Dutch"}, reason="misread")

    assert item("strain", [*FULL, later])[0] == "Dutch"
    assert item("species", [*FULL, later])[0] == "rabbit"


@given(st.sets(st.integers(1, len(FULL) - 1)))
def test_leaving_lines_out_never_makes_a_record_more_complete(dropped):
    fewer = [one for place, one in enumerate(FULL) if place not in dropped]

    assert record_complete(fewer).value <= record_complete(FULL).value


def test_days_and_times_are_those_of_the_clock_of_the_place():
    place = timezone(timedelta(hours=16))
    told = {one.what: one.result for one in record_complete(FULL, zone=place).steps}
    plain = {one.what: one.result for one in record_complete(FULL).steps}

    # all of the case is on 8 June in UTC, and after midnight there
    assert (plain["Date"], told["Date"]) == ("8 June 2026", "9 June 2026")
    assert (plain["End of the procedure"], told["End of the procedure"]) == ("09:31 UTC", "01:31")
