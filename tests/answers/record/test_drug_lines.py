"""Uses of drugs for the site's own log: amounts two ways, what is missing, no balance."""

import csv
import io
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.record.cases import FACTS, entry, opened, times
from tests.answers.record.taken import amendment, group_case, records
from ullage.answers import Verdict
from ullage.answers.record.cells import unguarded
from ullage.answers.record.drug_amount import drug_given
from ullage.answers.record.drug_lines import DRUG_LOG_CAUTIONS, drug_lines, drug_lines_csv
from ullage.answers.record.things import EntryKind
from ullage.core.errors import InvalidQuantity
from ullage.reference import fact

WHOLE = {
    "dose": "10 mg/kg",
    "volume": "0.31 mL",
    "concentration": "100 mg/mL",
    "route": "i.m.",
    "lot": "A7",
    "bottle": "14",
    "expiry": "2027-03",
    "wasted": "0.19 mL",
}


def drug(order=2, what="ketamine", details=WHOLE, **more):
    return entry(order, what, "", kind=EntryKind.DRUG, details=details, **more)


def amount(weight_kg=3.1, **details):
    return drug_given(drug(details=details), weight_kg)


@pytest.mark.parametrize(
    ("details", "value", "unit"),
    [
        # 0.31 mL x 100 mg/mL = 31 mg; 10 mg/kg x 3.1 kg = 31 mg
        ({"volume": "0.31 mL", "concentration": "100 mg/mL"}, 31.0, "mg"),
        ({"dose": "10 mg/kg"}, 31.0, "mg"),
        ({"dose": "30 ug/kg"}, 0.093, "mg"),
        ({"dose": "5 mg"}, 5.0, "mg"),
        ({"dose": "500 ug"}, 0.5, "mg"),
        ({"volume": "50 uL", "concentration": "300 ug/mL"}, 0.015, "mg"),
        # 2 % is 2 g in 100 mL, 20 mg in 1 mL
        ({"volume": "0.5 mL", "concentration": "2 %"}, 10.0, "mg"),
        ({"volume": "0.2 mL", "concentration": "1000 [iU]/mL"}, 200.0, "[iU]"),
        ({"dose": "0 mg/kg"}, 0.0, "mg"),
    ],
)
def test_an_amount_is_worked_out_of_what_was_entered(details, value, unit):
    found = amount(**details)

    assert found.value == pytest.approx(value)
    assert found.unit == unit
    assert found.verdict is Verdict.FINE
    assert "nothing confirms it" in found.cautions[0]


def test_two_ways_that_agree_are_one_amount_with_both_steps():
    found = amount(**WHOLE)

    assert found.value == pytest.approx(31.0)
    assert [one.result for one in found.steps] == ["31 mg", "31 mg"]
    assert found.sentence == "31 mg was given; both ways agree."


@pytest.mark.parametrize(
    ("volume", "asked"),
    # 31 mg by dose; 5 % of the larger: 0.3264 mL is 5.02 % more, 0.3262 mL 4.97 %
    [("0.31 mL", False), ("0.3262 mL", False), ("0.3264 mL", True), ("0.031 mL", True)],
)
def test_ways_that_differ_by_more_than_a_twentieth_are_asked_about(volume, asked):
    found = amount(**{**WHOLE, "volume": volume})

    assert (found.verdict is Verdict.LOOK_AGAIN) is asked
    assert (found.value is None) is asked
    assert ("Which is right" in found.settles) is asked
    assert found.low <= 31.0 * (1 + 1e-12)
    assert found.high >= 31.0 * (1 - 1e-12)


@pytest.mark.parametrize(
    ("details", "weight_kg", "says"),
    [
        ({}, 3.1, "No dose was recorded."),
        ({"dose": "10 mg/kg"}, None, "The weight of the animal was not recorded."),
        ({"dose": "a little"}, 3.1, "is no number with a unit"),
        ({"dose": "5 ug/kg/min"}, 3.1, "needs how long it ran"),
        ({"dose": "-1 mg/kg"}, 3.1, "lies below nothing"),
        ({"volume": "0.3 mL"}, 3.1, "No concentration was recorded."),
        ({"concentration": "2 mg/mL"}, 3.1, "No volume was recorded."),
    ],
)
def test_without_a_way_the_amount_is_asked_for(details, weight_kg, says):
    found = amount(weight_kg, **details)

    assert found.value is None
    assert found.verdict is Verdict.NOT_YET
    assert found.settles.endswith("?")
    assert any(says in one for one in found.cautions)


@pytest.mark.parametrize("weight_kg", [0.0, -1.0, float("nan"), float("inf")])
def test_a_weight_that_is_none_is_refused(weight_kg):
    with pytest.raises(InvalidQuantity, match="weight_kg"):
        amount(weight_kg, dose="1 mg/kg")


def test_units_and_milligrams_are_not_compared():
    found = amount(dose="10 mg/kg", volume="0.2 mL", concentration="1000 [iU]/mL")

    assert (found.value, found.unit, found.verdict) == (200.0, "[iU]", Verdict.FINE)


def test_a_percentage_says_how_it_is_taken():
    found = amount(volume="0.5 mL", concentration="2 %")

    assert found.assumptions == ("A concentration in % is taken as grams in 100 mL.",)


def one_line(*lines, **more):
    (found,) = drug_lines([opened(), *lines], **more)
    return found


def test_a_line_has_every_field_that_a_log_of_use_asks_for():
    line = one_line(drug(author="Mo Orr-Vale (mo)"))

    # records_standards CD-009: date, protocol, drug, concentration, bottle, given, wasted, initials
    assert "amount given" in fact("records_standards", "CD-009").value
    assert line.at == "2026-06-08 09:10+00:00"
    assert (line.drug, line.concentration, line.volume) == ("ketamine", "100 mg/mL", "0.31 mL")
    assert (line.bottle, line.lot, line.expiry) == ("14", "A7", "2027-03")
    assert (line.amount, line.wasted) == ("31 mg", "0.19 mL")
    assert (line.species, line.animals, line.animal) == ("rabbit", "1", "R-041")
    assert (line.protocol, line.name, line.initials) == ("P-12", "Mo Orr-Vale (mo)", "MOV")
    assert line.remarks == ""


def test_the_day_is_that_of_the_place():
    # records_standards CD-004: the date on which it really happened
    late = drug(times=times(14 * 60 + 30))
    line = one_line(late, zone=ZoneInfo("Asia/Tokyo"))

    assert line.at == "2026-06-09 08:30+09:00"
    assert line.at_utc == "2026-06-08T23:30:00.000000Z"


def test_what_nobody_entered_is_not_recorded():
    (line,) = drug_lines([drug(details={}, author="")])
    missing = (
        *(line.concentration, line.bottle, line.lot, line.expiry, line.dose, line.volume),
        *(line.amount, line.wasted, line.species, line.animal, line.protocol, line.name),
        *(line.initials, line.route, line.as_typed),
    )

    assert set(missing) == {"not recorded"}
    assert line.is_asked


def test_a_disagreement_stands_in_the_line_and_no_amount_is_chosen():
    line = one_line(drug(details={**WHOLE, "volume": "3.1 mL"}))

    assert line.amount == "asked: 31 to 310 mg"
    assert "Asked: Which is right: 3.1 mL of 100 mg/mL, or 10 mg/kg for 3.1 kg?" in line.remarks


def test_the_weight_is_the_last_one_before_the_drug():
    before = entry(2, "weight", "3 kg", number="3", unit="kg", times=times(1.0))
    after = entry(4, "weight", "9 kg", number="9", unit="kg", times=times(90.0))
    line = one_line(before, drug(3, details={"dose": "10 mg/kg"}), after)

    assert line.amount == "30 mg"


def test_corrections_and_withdrawals_stay_in_the_line():
    given_line = drug()
    changed = amendment(3, given_line, details={"volume": "0.32 mL"}, reason="read again")
    line = one_line(given_line, changed)
    gone = one_line(given_line, amendment(3, given_line, withdrawn=True, reason="other animal"))

    assert line.volume == "0.32 mL"
    assert "Amended by Mo Orr (mo): was 10 mg/kg, 0.31 mL" in line.remarks
    assert "reason: read again." in line.remarks
    assert gone.remarks.startswith("Withdrawn")


@pytest.mark.parametrize(
    ("expiry", "past"),
    [
        ("2026-05", True),
        ("2026-06", False),
        ("2026-06-07", True),
        ("2026-06-08", False),
        ("2027-01", False),
        ("soon", False),
        ("2026-99", False),
        ("", False),
    ],
)
def test_a_drug_past_its_date_is_remarked(expiry, past):
    # records_standards REC-020: expired drugs; given on 8 June 2026
    line = one_line(drug(details={**WHOLE, "expiry": expiry}))

    assert ("Past the expiry date" in line.remarks) is past


def test_a_group_names_the_animal_or_how_many():
    own, bench = drug(8, animal="m1"), drug(9, details={"dose": "1 mg"})
    found = drug_lines([*group_case(), own, bench])

    assert [(one.animal, one.animals) for one in found] == [
        ("m1", "1"),
        ("m1", "1"),
        ("cage 7", "2, as entries of the group name them"),
    ]
    # 100 mg/kg for 25 g
    assert next(one for one in found if one.entry == "r1-7").amount == "2.5 mg"


def test_only_the_drugs_asked_for_are_listed():
    lines = [opened(), drug(), drug(3, "Buprenorphine")]

    assert [one.drug for one in drug_lines(lines, drugs=["buprenorphine"])] == ["Buprenorphine"]


def test_the_lines_say_that_they_are_no_log_and_keep_no_balance():
    # records_standards CD-002: a running balance is institutional custom, no federal duty
    told = " ".join(DRUG_LOG_CAUTIONS)

    assert "for the site's own log" in told
    assert "No running balance" in told
    assert "balance" not in drug_lines_csv([]).splitlines()[0]


def read(text):
    rows = csv.DictReader(io.StringIO(text, newline=""))
    return [{name: unguarded(cell) for name, cell in row.items()} for row in rows]


def test_the_lines_go_out_as_a_table():
    (row,) = read(drug_lines_csv([[opened(), drug(what="=ketamine")]]))

    assert (row["drug"], row["amount"], row["protocol"]) == ("=ketamine", "31 mg", "P-12")


@settings(max_examples=50, deadline=None)
@given(records(), st.dictionaries(st.sampled_from(["weight", "species", "animal"]), st.text()))
def test_any_record_gives_a_line_a_drug_and_no_empty_field(lines, facts):
    found = drug_lines([opened(facts={**FACTS, **facts}), *lines])

    assert len(found) == sum(getattr(one, "kind", None) is EntryKind.DRUG for one in lines)
    for one in found:
        assert all((one.at, one.drug, one.amount, one.wasted, one.animals, one.initials))
    assert len(read(drug_lines_csv([lines]))) == len(found)
