"""Answers as text: 80 columns, words before colour, numbers with their range, units kept."""

import pytest
from click import BadParameter
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import CAUTION_LINE, Answer, Step, Verdict, View, WhereFrom
from ullage.cli.quantity import Quantity, Written, written_unit
from ullage.cli.text import WIDTH, answer_lines, caution_lines, pairs, wrapped
from ullage.core.units import KINDS

READ = WhereFrom(source="reading", how_known="seen", text="71 bar on the gauge.")


def answer(**told):
    plain = {
        "question": "How long does it last?",
        "unit": "min",
        "sentence": "Oxygen lasts about 2 h 41 min.",
        "reasons": ("274 L are usable.",),
        "where_from": (READ,),
    }
    return Answer(**{**plain, **told})


def lines(**told):
    return list(answer_lines(answer(**told)))


def test_the_verdict_comes_first_then_what_to_do_then_the_number():
    said = lines(verdict=Verdict.STOP, todo="Change it.", value=161.0, low=140.0, high=180.0)

    assert said[0] == "Stop. Oxygen lasts about 2 h 41 min."
    assert said[1] == "Change it."
    assert said[3] == "  161 min, about 2 h 41 min"
    assert said[4] == "  likely 140 to 180 min, 2 h 20 min to 3 h 00 min"


def test_without_a_verdict_the_sentence_stands_alone():
    assert lines()[0] == "Oxygen lasts about 2 h 41 min."


def test_a_range_without_a_number_is_printed_with_its_question():
    said = lines(low=10.0, high=500.0, settles="What does it weigh?", covers="all of it")

    assert "  likely 10 to 500 min, 10 min to 8 h 20 min" in said
    assert "  (all of it)" in said
    assert "  What does it weigh?" in said
    assert not any("about 2" in line for line in said[1:])


def test_litres_need_no_second_number():
    said = lines(unit="L", value=343.2, low=313.0, high=372.0)

    assert "  343 L" in said
    assert "  likely 313 to 372 L" in said


def test_steps_views_sources_assumptions_and_cautions_have_their_headings():
    said = lines(
        steps=(Step(what="71 bar by the tables", result="343 L", note="± 5 bar"),),
        views=(View(label="A rule", result="224 min", source="supply_S4", how_known="seen"),),
        assumptions=("No leak.",),
        cautions=("Read it again.",),
    )

    assert [one for one in said if one in {"Why", "Beside it", "Where from", "Assumed"}] == [
        "Why",
        "Beside it",
        "Where from",
        "Assumed",
    ]
    assert said[said.index("Why") + 1].endswith("  343 L")
    assert said[said.index("Take care") + 1] == "  Read it again."
    assert any("A rule (seen in print)" in line for line in said)


def test_what_was_read_and_entered_is_not_called_print():
    entered = WhereFrom(source="entered", how_known="seen", text="1 L/min.")
    printed = WhereFrom(source="supply_S4", how_known="seen", text="0.28 L/psi.")
    words = " ".join(lines(where_from=(READ, entered, printed)))

    assert "71 bar on the gauge. (read on an instrument; reading)" in words
    assert "1 L/min. (entered; entered)" in words
    assert "0.28 L/psi. (seen in print; supply_S4)" in words


def test_a_value_from_memory_says_so():
    recalled = WhereFrom(source="gauge_classes", how_known="memory", text="Class 2.5.")

    assert any("from memory" in line for line in lines(where_from=(recalled,)))


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(whitelist_categories=("L", "Nd", "Zs")), max_size=400))
def test_no_wrapped_line_is_wider_than_the_screen_and_no_word_is_lost(text):
    said = wrapped(text, "  ")

    assert all(len(line) <= WIDTH for line in said)
    assert "".join("".join(said).split()) == "".join(text.split())


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.text("ab c", max_size=200), st.text("x1", min_size=1, max_size=40))))
def test_pairs_keep_their_results_on_the_right_within_the_screen(rows):
    said = list(pairs(rows))

    assert all(len(line) <= WIDTH for line in said)
    assert sum(any(one in "x1" for one in line) for line in said) == len(rows)


def test_long_words_on_the_left_run_over_several_lines():
    said = list(pairs([("word " * 40, "343 L")]))

    assert said[0].endswith("  343 L")
    assert len(said) > 2
    assert all(line.startswith("  word") for line in said)


def test_the_caution_stands_alone_after_an_empty_line():
    first, *rest = caution_lines()

    assert first == ""
    assert " ".join(rest) == CAUTION_LINE


# --- quantities -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kind", "unit"),
    [
        ("1900 psi", "pressure", "psi"),
        ("1,900 PSIG", "pressure", "psi"),
        ("13.1MPa", "pressure", "MPa"),
        ("140 kg/cm2", "pressure", "kgf/cm²"),
        ("-3 bar", "pressure", "bar"),
        ("500 cc/min", "flow", "mL/min"),
        ("2 lpm", "flow", "L/min"),
        ("70F", "temperature", "°F"),
        ("20 °C", "temperature", "°C"),
        ("2.5 %", "share", "%"),
        ("71", "pressure", "kPa"),
        ("about 71 bar", "pressure", "bar"),
        ("", "pressure", "kPa"),
    ],
)
def test_the_unit_somebody_wrote_is_told(text, kind, unit):
    assert written_unit(text, kind) == unit


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("1900 psi", "pressure", 13_100.04),
        ("131 bar", "pressure", 13_100.0),
        ("500 mL/min", "flow", 0.5),
        ("0,5 L/min", "flow", 0.5),
        ("60 cu ft/h", "flow", 28.3168),
        ("68 F", "temperature", 293.15),
        ("8 lb 2", "mass", None),
        ("1.6 %", "share", 0.016),
        ("2 h 30 min", "time", 150.0),
    ],
)
def test_an_option_is_read_in_our_unit_or_refused(text, kind, value):
    if value is None:
        with pytest.raises(BadParameter, match=kind):
            Quantity(kind).convert(text, None, None)
    else:
        assert Quantity(kind).convert(text, None, None).value == pytest.approx(value, rel=1e-5)


def test_what_was_read_already_is_kept():
    once = Written(7100.0, "bar")

    assert Quantity("pressure").convert(once, None, None) is once


@pytest.mark.parametrize("kind", ["pressure", "volume", "flow", "mass", "length"])
def test_every_unit_of_a_kind_is_told_back(kind):
    for unit in KINDS[kind]:
        assert written_unit(f"12 {unit}", kind) == unit
