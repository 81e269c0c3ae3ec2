"""What stands on the pages of a record, as data: nothing is left out, nothing made up."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tests.web.records.world import (
    KERR,
    ORR,
    Case,
    CaseOpened,
    EntryKind,
    EntryText,
    Meaning,
    file_of,
    mice_case,
    sheep_case,
)
from ullage.answers.record.chained import head_of
from ullage.answers.record.printed import entry_words
from ullage.answers.record.standing import record_standing
from ullage.core.errors import PlanUnreadable, RuleBroken
from ullage.web.records.paper import RecordPaper, groups_of, paper_data
from ullage.web.records.paper_tables import value_table
from ullage.web.records.paper_words import Told, breakable, initials_of

pytestmark = pytest.mark.web

ABOUT = RecordPaper(number="2026-0147", site="Fennel Lane", time_zone="Europe/London")


def data_of(lines, **more):
    about = RecordPaper(number="2026-0147", site="Fennel Lane", time_zone="Europe/London", **more)
    return paper_data(lines, file_of(lines), about)


def opened(**facts):
    case = Case()
    case.add(CaseOpened, 0, facts=facts)
    return case


def cells(case, **more):
    return data_of(case.lines, **more)


@pytest.fixture(scope="module")
def sheep():
    return data_of(sheep_case())


def test_every_entry_stands_somewhere_on_the_pages(sheep):
    """Numbers in the table, words in the lists; a dense record must not lose one."""
    lines = sheep_case()
    printed = json.dumps(sheep["values"]["rows"] + sheep["others"], ensure_ascii=False)
    in_table = [
        number.strip("[]‗ ")
        for _, _, row in sheep["values"]["rows"]
        for words, _ in row[:-1]
        for number in words.split(", ")
        if words
    ]
    valid = [one.entry for one in record_standing(lines).valid]
    read = {EntryKind.VITAL, EntryKind.GAS}
    numbers = [
        one.number for one in valid if one.kind in read and one.number and one.what != "weight"
    ]
    told = sheep["given"] + sheep["events"] + sheep["others"]

    assert sorted(in_table) == sorted(numbers)
    assert len(numbers) + len(told) == len(valid)
    assert "assisted by hand" in printed


def test_a_value_without_a_column_is_listed():
    rates = ("heart_rate", "pulse_rate", "respiratory_rate", "respiratory_rate_co2")
    pressures = ("cuff_mean", "arterial_mean", "end_tidal_co2", "inspired_co2")
    shares = ("oxygen_saturation", "inspired_oxygen", "end_tidal_oxygen", "end_tidal_isoflurane")
    typed = dict.fromkeys(rates, "30 /min") | dict.fromkeys(pressures, "30 mmHg")
    typed |= dict.fromkeys(shares, "30 %") | {
        "temperature_rectal": "38 °C",
        "tidal_volume": "90 mL",
    }
    case = opened()
    for minute, (key, said) in enumerate(typed.items()):
        case.read(minute, key, said)
    found = cells(case)

    assert len(found["values"]["keys"]) == 12
    assert len(found["others"]) == len(typed) - 12 == 2


def test_late_amended_and_other_units_are_marked_in_the_table():
    case = opened()
    case.read(1, "heart_rate", "92 /min", late=9.0)
    first = case.read(2, "heart_rate", "29 /min")
    case.amend(3, first.id, "digits swapped", "heart_rate", "93 /min")
    case.read(4, "cuff_mean", "12.0 kPa")
    told = Told.of(case.lines, ZoneInfo("Europe/London"))
    rows = value_table(record_standing(case.lines), told)["rows"]

    assert [row[2] for row in rows] == [
        [("[92]", 1), ("", 1), ("T.K.", 1)],
        [("93 ‗", 1), ("", 1), ("T.K.", 1)],
        [("", 1), ("12.0 kPa", 1), ("T.K.", 1)],
    ]
    assert [row[0] for row in rows] == ["09:01", "09:02", "09:04"]


def test_both_values_of_an_amendment_stay_with_who_when_and_why(sheep):
    by_reason = {row[4]: row for row in sheep["amended"]}

    assert by_reason["digits swapped"][2] == "88 /min"
    assert by_reason["digits swapped"][1] not in {"", "88 /min"}
    assert by_reason["digits swapped"][3] == "T.K., 11:30"
    assert by_reason["written in the wrong case"][2] == "withdrawn"
    assert by_reason["clock read again"][1].startswith("at 09:02: ")
    assert by_reason["clock read again"][2].startswith("at 09:01: ")
    assert by_reason["flock book read again"][:3] == ["Case: age", "3 years", "4 years"]


def test_a_correction_of_no_entry_is_printed_too():
    case = opened()
    case.amend(1, "nowhere", "wrong record", typed="x", number="7")

    assert cells(case)["amended"] == [
        ["No entry that stands", "", "x", "T.K., 09:01", "wrong record"]
    ]


def test_numbers_of_drugs_and_events_are_those_of_the_chart(sheep):
    numbers = [int(row[0]) for row in sheep["given"] + sheep["events"] if row[0]]
    late = [row for row in sheep["events"] if row[4]]

    assert sorted(numbers) == list(range(1, 18))
    assert [row[4] for row in late] == ["amended", "late, written 09:41"]


def test_what_nobody_recorded_says_so():
    facts = dict(cells(opened(animal="S-1"))["facts"])

    assert facts["Animal"] == "S-1"
    assert {value for label, value in facts.items() if label != "Animal"} == {"not recorded"}


def test_facts_without_a_label_of_ours_are_kept():
    assert ["Ear tag", "UK 123"] in cells(opened(**{"ear tag": "UK 123"}))["facts"]


def test_a_group_has_a_line_for_each_animal_and_a_chart_for_each():
    found = data_of(mice_case(3))

    assert [row[0] for row in found["animals"]] == ["M1", "M2", "M3"]
    assert found["animals"][1] == [
        *("M2", "24.4 g", "not recorded", "9", "09:51", "09:52", "", "T.K.")
    ]
    assert [one["title"][:11] for one in found["charts"]] == [f"Chart of M{n}" for n in (1, 2, 3)]
    assert found["values"]["has_animals"]


def test_signatures_carry_their_meaning_and_how_far_they_go(sheep):
    assert sheep["signed"] == [
        ["Tamsin Kerr", "I made this record", "4 June 2026 13:05", "1206"],
        ["Morag Orr", "I was responsible for this anaesthesia", "4 June 2026 13:22", "1207"],
    ]


def test_the_fingerprint_is_the_head_of_the_chain_that_is_attached(sheep):
    from tests.web.records.world import chain_of

    head = head_of(chain_of(sheep_case()), "2026-0147")

    assert sheep["groups"].replace(" ", "").replace("·", "") == head.sum
    assert sheep["count"] == head.count == 1208
    assert groups_of(head.sum).count(" ") == 16


def test_lines_that_are_not_those_of_the_file_are_not_printed_under_its_fingerprint():
    lines = sheep_case(60)
    chain = file_of(lines)
    changed = [*lines]
    changed[5] = replace(lines[5], author=ORR if lines[5].author == KERR else KERR)

    for wrong in (changed, lines[:-1], lines[::-1], []):
        with pytest.raises(RuleBroken, match="not of one record"):
            paper_data(wrong, chain, ABOUT)
    with pytest.raises(PlanUnreadable, match="end is missing"):
        paper_data(lines, b"{}", ABOUT)


def test_a_time_on_another_day_names_its_day():
    told = Told(zone=ZoneInfo("Europe/London"), day=datetime(2026, 6, 4, tzinfo=UTC).date())

    assert told.time(datetime(2026, 6, 4, 8, 0, tzinfo=UTC)) == "09:00"
    assert told.time(datetime(2026, 6, 4, 23, 10, tzinfo=UTC)) == "5 Jun 00:10"
    assert told.time(datetime(2025, 12, 31, 12, 0, tzinfo=UTC)) == "31 Dec 2025 12:00"


@pytest.mark.parametrize(
    ("authors", "short"),
    [
        ([KERR, ORR], ["T.K.", "M.O."]),
        ([KERR, "Theo Kay (tkay)"], ["tkerr", "tkay"]),
        (["Plato (plato)"], ["plato"]),
        (["Tamsin Kerr", "Theo Kay"], ["Tamsin Kerr", "Theo Kay"]),
        ([""], [""]),
    ],
)
def test_initials_never_stand_for_two_people(authors, short):
    assert list(initials_of(authors).values()) == short


def test_an_author_to_be_confirmed_is_named_as_such():
    case = opened()
    case.add(EntryText, 1, kind=EntryKind.EVENT, what="moved", typed="", author_confirmed=False)

    assert cells(case)["events"][0][3] == "T.K. to confirm"


def test_phases_end_where_the_next_begins(sheep):
    assert sheep["phases"][0] == ["induction", "09:00", "09:10", "10 min"]
    assert [row[0] for row in sheep["phases"]] == ["induction", "preparation", "recovery"]


def test_words_of_an_entry_hold_every_detail():
    case = opened()
    given = {"dose": "2 ug/kg", "route": "IV", "witness": "J.R."}
    one = case.add(EntryText, 1, kind=EntryKind.DRUG, what="fentanyl", typed="", details=given)

    assert entry_words(one) == "2 ug/kg, IV, witness J.R."


def test_a_word_too_long_for_a_column_can_be_broken_and_drawings_are_left_alone():
    long = "x" * 45
    found = breakable({"facts": [["Place", f"in {long}"]], "charts": [long]})

    assert found["facts"][0][1] == f"in {'x' * 20}\u200b{'x' * 20}\u200b{'x' * 5}"
    assert found["charts"] == [long]


def test_a_signature_alone_is_a_record_too():
    case = opened(animal="S-1")
    case.sign(1, "Tamsin Kerr", Meaning.AUTHOR)
    found = cells(case)

    assert found["charts"] == []
    assert found["signed"][0][3] == "1"
