"""One template draws every answer: its number, its band, its reasons, its doubts."""

import pytest
from django.template import Context, Template
from django.template.loader import render_to_string

from ullage.answers import Answer, Step, Verdict, View, WhereFrom
from ullage.web.shared.bars import Level
from ullage.web.sites.models import Site

pytestmark = pytest.mark.web

SITE = Site(name="Fennel Lane", pressure_unit="bar", gas_colours="iso32")
KNOWN = {
    "question": "What is left?",
    "unit": "L",
    "sentence": "Alder is about half full.",
    "reasons": ("Real-gas tables at the room's temperature.",),
    "where_from": (
        WhereFrom(source="reading", how_known="reading", text="71 bar, 07:52, T.K."),
        WhereFrom(source="trade_memory", how_known="memory", text="About 20 mL is trapped."),
    ),
}


def answer(**more):
    return Answer(**(KNOWN | {"value": 343.0, "low": 313.0, "high": 372.0} | more))


def drawn(shape="answer", **context):
    return render_to_string(f"shared/{shape}.html", {"site": SITE} | context)


def test_question_number_band_and_sentence_stand_in_their_order():
    shown = drawn(answer=answer())
    places = [
        shown.index(words)
        for words in ("What is left?", ">343<", "313 to 372 L", "about half full", "Why")
    ]

    assert places == sorted(places)


def test_hours_and_minutes_are_two_numbers():
    shown = drawn(answer=answer(unit="min", value=161.0, low=144.0, high=178.0))

    assert '<span class="num">2</span><span class="unit">h</span>' in shown
    assert "likely <b>2 h 24 min to 2 h 58 min</b>" in shown


def test_without_a_number_only_the_range_and_the_question_that_settles_it():
    shown = drawn(
        answer=answer(value=None, low=343.0, high=685.0, settles="is the cylinder size E or F?")
    )

    assert "No answer yet: is the cylinder size E or F?" in shown
    assert "343 to 685 L" in shown
    assert "likely" not in shown


def test_the_why_holds_steps_where_from_assumed_and_take_care():
    shown = drawn(
        answer=answer(
            steps=(Step(what="71 bar, 20 °C", result="343 L", note="gauge ± 6 bar"),),
            assumptions=("The room is at 20 °C.",),
            cautions=("Open the valve slowly.",),
            draws=4096,
            seed=7,
        )
    )

    for words in ("gauge ± 6 bar", "Where from", "Assumed", "Take care", "4096 draws, seed 7"):
        assert words in shown


def test_what_is_from_memory_says_so():
    shown = drawn(answer=answer())

    assert '<span class="kn kn--mem">from memory, not confirmed</span>' in shown
    assert '<span class="kn kn--inst">read on an instrument</span>' in shown


@pytest.mark.parametrize(
    ("verdict", "is_open"),
    [(Verdict.STOP, True), (Verdict.LOOK_AGAIN, False), (Verdict.FINE, False), (None, False)],
)
def test_the_why_stands_open_where_the_verdict_is_stop(verdict, is_open):
    assert ('<details class="why" open>' in drawn(answer=answer(verdict=verdict))) is is_open


def test_a_verdict_is_a_word_beside_a_shape():
    shown = drawn(answer=answer(verdict=Verdict.LOOK_AGAIN, todo="Fit a full one."))

    assert '<use href="#v-look"/></svg>Look again' in shown
    assert "Fit a full one." in shown


def test_sides_that_disagree_stand_beside_each_other_and_one_is_chosen():
    shown = drawn(
        answer=answer(
            views=(
                View(label="Rule A", result="1.7 L/min", source="a", how_known="seen", chosen=True),
                View(label="Rule B", result="0.5 L/min", source="b", how_known="memory"),
            )
        )
    )

    assert "Sources disagree" in shown
    assert shown.count("chosen here") == 1
    assert shown.index("Rule A") < shown.index("chosen here") < shown.index("Rule B")


def test_a_bar_is_drawn_where_one_is_given():
    bar = Level(full=680, value=343, label="343 of 680 litres")

    assert "lvl__at" in drawn(answer=answer(), bar=bar)
    assert "lvl__at" not in drawn(answer=answer())


@pytest.mark.parametrize("shape", ["answer", "answer_row", "answer_inline"])
def test_words_that_people_typed_are_never_markup(shape):
    shown = drawn(
        shape, answer=answer(sentence="<script>x</script>", verdict=Verdict.FINE, value=343.0)
    )

    assert "<script>" not in shown
    assert "style=" not in shown


def test_a_row_says_the_same_in_little():
    shown = drawn("answer_row", answer=answer(verdict=Verdict.FINE))

    assert "343" in shown
    assert "313 to 372 L" in shown
    assert "<h3>What is left?</h3>" in shown


def test_a_row_that_stops_says_why_before_what_is_still_open():
    shown = drawn(
        "answer_row",
        answer=answer(
            value=None, low=None, high=None, verdict=Verdict.STOP, settles="Is it marked?"
        ),
    )

    assert shown.index("about half full") < shown.index("Still open: Is it marked?")
    assert "No answer yet" not in shown


def test_inside_a_sentence_number_unit_and_range_in_brackets():
    shown = drawn("answer_inline", answer=answer(verdict=Verdict.FINE))

    assert '<span class="vh">Fine: </span>' in shown
    assert '<span class="ans__r">(313 to 372 L)</span>' in shown


@pytest.mark.parametrize(
    ("site", "name", "style"),
    [
        (SITE, "oxygen", "gas--o2-iso"),
        (Site(gas_colours="us"), "oxygen", "gas--o2-us"),
        (Site(gas_colours="us"), "air", "gas--air-us"),
        (SITE, "nitrous_oxide", "gas--n2o-iso"),
    ],
)
def test_a_gas_stands_in_the_colours_of_the_site_with_its_name(site, name, style):
    text = Template("{% load ullage %}{% gas name %}")

    shown = text.render(Context({"site": site, "name": name}))

    assert style in shown
    assert name.replace("_", " ").capitalize() in shown
