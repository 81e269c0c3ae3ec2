"""How findings become an answer: the gravest counts, each reason once, on whose word."""

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.chain_links.judge import (
    NOBODY,
    Extras,
    common,
    fine,
    from_memory,
    judge,
    look_again,
    open_question,
    pressure_text,
    stop,
)
from ullage.answers.chain_links.rows import (
    colour_of,
    connection_rows,
    printed,
    rule,
    same_colour,
)
from ullage.answers.chain_questions import question_of
from ullage.answers.chain_things import Bag, Seal
from ullage.answers.things import Place
from ullage.core.gas import Gas

RULE = common("One rule.")


@pytest.mark.parametrize(
    ("findings", "verdict", "sentence"),
    [
        ([fine("Good."), stop("Bad.", "Mend it.")], Verdict.STOP, "Bad."),
        ([fine("Good."), look_again("Odd.", "See.")], Verdict.LOOK_AGAIN, "Odd."),
        ([look_again("Odd.", "See."), open_question(Bag(), "present")], Verdict.LOOK_AGAIN, "Odd."),
        ([fine("Good."), open_question(Bag(), "present")], Verdict.NOT_YET, NOBODY),
        ([fine("Good."), fine("Better.")], Verdict.FINE, "Good."),
    ],
)
def test_the_gravest_finding_is_the_verdict(findings, verdict, sentence):
    answer = judge("Is it good?", findings)

    assert answer.verdict is verdict
    assert answer.sentence == sentence


def test_a_second_look_still_asks_what_is_open():
    answer = judge("Is it?", [look_again("Odd.", "See."), open_question(Bag(), "present")])

    assert answer.settles == "Is a self-inflating bag within reach?"
    assert answer.todo == "See."


def test_a_sentence_for_all_fine_stands_only_when_all_is_fine():
    extras = Extras(when_fine="All is well.")

    assert judge("Is it?", [fine("Good.")], extras).sentence == "All is well."
    assert judge("Is it?", [fine("Good."), stop("Bad.", "No.")], extras).sentence == "Bad."


def test_what_is_said_twice_is_told_once():
    answer = judge("Is it?", [stop("Bad.", "No.", RULE), stop("Bad.", "No.", RULE)])

    assert answer.reasons == ("Bad.",)
    assert answer.todo == "No."
    assert [line.source for line in answer.where_from] == ["reading", "common_practice"]


def test_a_rule_from_memory_and_one_of_the_trade_keep_their_marks():
    answer = judge("Is it?", [fine("Good.", RULE, from_memory("Recalled."))])

    assert [line.how_known for line in answer.where_from] == ["seen", "common", "memory"]
    assert answer.where_from[2].text == "Recalled. From memory, not confirmed."


def test_a_rule_by_its_number_carries_what_stands_beside_it():
    assert rule("CP-19").text.startswith("CP-19: New seal at every cylinder change")
    assert "Beside it: " in rule("CP-19").text
    assert printed("connections", "seal.crush").source == "supply_S28"


@pytest.mark.parametrize(
    ("gas", "us", "iso"),
    [
        (Gas.OXYGEN, "green", "white"),
        (Gas.NITROUS_OXIDE, "blue", "blue"),
        (Gas.AIR, "yellow", "black and white"),
        (Gas.CARBON_DIOXIDE, "grey", "grey"),
        (Gas.NITROGEN, "black", "black"),
        (Gas.HELIUM, "brown", "brown"),
    ],
)
def test_every_gas_has_its_colour_in_both_schemes(gas, us, iso):
    # supply section 4.3: S30 for the United States, S31 and S32 for ISO 32.
    assert colour_of(gas, "us")[0].text == us
    assert colour_of(gas, "iso32")[0].text == iso
    assert colour_of(gas, "none of them") is None


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("white", "White", True),
        ("black and white", "white/black", True),
        ("gray", "grey", True),
        ("black", "black and white", False),
        ("green", "white", False),
    ],
)
def test_colours_are_the_same_in_any_order_and_spelling(one, other, same):
    assert same_colour(one, other) is same


@pytest.mark.parametrize(
    ("written", "gas"),
    [
        ("2-5", "oxygen"),
        ("pins 3 and 5", "nitrous oxide"),
        ("Pin index 1-5", "air"),
        ("1,6", "carbon dioxide"),
        ("CGA 540", "oxygen"),
        ("870", "oxygen"),
        ("DISS 1040", "nitrous oxide"),
        ("diss 1160", "air"),
    ],
)
def test_a_connection_is_known_by_its_number(written, gas):
    # supply section 4.2: S33, S35, S36 seen; air's numbers from memory.
    assert [row.gas for row in connection_rows(written)] == [gas]


@pytest.mark.parametrize("written", ["", "3-8", "none", "54"])
def test_a_number_that_no_table_holds_means_no_gas(written):
    assert connection_rows(written) == ()


def test_a_question_is_found_by_part_and_field():
    assert question_of(Seal(), "count") == "How many seals are in the connection?"


@pytest.mark.parametrize(("unit", "text"), [("psi", "50 psi"), ("bar", "3.45 bar")])
def test_a_pressure_is_told_in_the_unit_of_the_place(unit, text):
    assert pressure_text(344.738, Place(pressure_unit=unit)) == text
