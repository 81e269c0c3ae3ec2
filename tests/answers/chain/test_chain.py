"""The whole chain: every part answers, the gravest counts, what nobody said stays open."""

from dataclasses import fields, replace

import pytest

from tests.answers.chain.sound import SOUND, with_part
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part, chain_links, chain_verdict
from ullage.answers.chain_links import LINKS
from ullage.answers.chain_questions import QUESTIONS, asked_fields
from ullage.answers.chain_things import Chain, CylinderMaterial, RegulatorKind
from ullage.answers.pipeline_failed import pipeline_failed_steps
from ullage.answers.plan import SourceKind
from ullage.reference import HowKnown, sources

PARTS = [link.name for link in LINKS]


@pytest.mark.parametrize("part", PARTS)
def test_a_sound_part_is_fine(part):
    answer = chain_by_part(SOUND)[part]

    assert answer.verdict is Verdict.FINE, answer.reasons
    assert not answer.todo
    assert not answer.settles


def test_a_sound_chain_is_fine():
    assert chain_verdict(SOUND).verdict is Verdict.FINE
    assert chain_verdict(SOUND).sentence == "Every part of this chain is in order."
    assert chain_verdict(SOUND).number_text == "14 of 14 parts in order"


@pytest.mark.parametrize("part", PARTS)
def test_what_nobody_has_answered_is_not_yet_with_the_question_that_settles_it(part):
    answer = chain_by_part(Chain())[part]

    assert answer.verdict is Verdict.NOT_YET
    assert answer.settles.endswith("?")
    assert answer.text == answer.settles


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("chain", [SOUND, Chain()], ids=["sound", "unanswered"])
def test_every_answer_says_where_it_is_from(chain, part):
    answer = chain_by_part(chain)[part]

    assert answer.reasons
    assert answer.where_from
    assert set(answer.sources) <= set(sources())
    assert {line.how_known for line in answer.where_from} <= set(HowKnown)


@pytest.mark.parametrize("part", PARTS)
def test_where_sources_disagree_one_side_is_chosen(part):
    views = chain_by_part(SOUND)[part].views

    assert not views or sum(view.chosen for view in views) == 1


@pytest.mark.parametrize("chain", [SOUND, Chain()], ids=["sound", "unanswered"])
def test_every_line_is_a_sentence(chain):
    for answer in (*chain_links(chain), chain_verdict(chain), pipeline_failed_steps()):
        for line in (
            answer.sentence,
            *answer.reasons,
            *answer.cautions,
            *answer.assumptions,
            *(one.text for one in answer.where_from),
        ):
            assert line[0].isupper() or line[0].isdigit()
            assert line.endswith((".", "?")), line


def test_one_stop_stops_the_chain_and_says_which_part():
    chain = with_part("seal", count=2)
    answer = chain_verdict(chain)

    assert answer.verdict is Verdict.STOP
    assert answer.sentence == "Do not use this chain: connector and seal."
    assert answer.todo == "Take all of them out and fit exactly one new seal."


def test_a_stop_comes_before_an_open_question():
    chain = replace(with_part("seal", count=2), bag=type(SOUND.bag)())

    assert chain_verdict(chain).verdict is Verdict.STOP


def test_an_open_question_comes_before_a_second_look():
    chain = replace(with_part("regulator", kind=RegulatorKind.ADJUSTABLE), bag=type(SOUND.bag)())
    answer = chain_verdict(chain)

    assert answer.verdict is Verdict.NOT_YET
    assert answer.settles == "Is a self-inflating bag within reach?"


def test_while_a_question_is_open_the_number_of_parts_in_order_is_a_range():
    answer = chain_verdict(replace(SOUND, bag=type(SOUND.bag)()))

    assert answer.value is None
    assert (answer.low, answer.high) == (13.0, 14.0)
    assert answer.range_text == "13 to 14 of 14 parts in order"


def test_a_second_look_alone_asks_for_it():
    answer = chain_verdict(with_part("regulator", kind=RegulatorKind.ADJUSTABLE))

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert "preset" in answer.todo


def test_the_steps_of_the_whole_are_its_parts():
    steps = chain_verdict(SOUND).steps

    assert [step.what for step in steps] == [link.title for link in LINKS]
    assert {step.result for step in steps} == {"Fine"}


def test_a_pipeline_has_no_cylinder_to_secure_seal_or_read():
    names = set(chain_by_part(replace(SOUND, source=SourceKind.PIPELINE)))

    assert set(PARTS) - names == {"secured", "contents", "seal"}


def test_an_unmarked_regulator_at_the_magnet_stops_a_pipeline_too():
    chain = replace(
        with_part("magnet", room_marked=True, regulator_marked=False), source=SourceKind.PIPELINE
    )

    assert chain_by_part(chain)["magnet"].verdict is Verdict.STOP


def test_every_field_that_may_stay_open_has_its_question():
    for part, questions in QUESTIONS.items():
        optional = {one.name for one in fields(part) if one.default is None}

        assert optional - set(questions) <= {"nominal_gauge_kpa"}


def test_forms_can_ask_every_question_in_the_unit_of_its_field():
    asked = {(one.part, one.name): one for one in asked_fields()}

    assert asked["regulator", "still_gauge_kpa"].quantity == "pressure"
    assert asked["secured", "held"].words[1] == "chained to the wall"
    assert asked["seal", "new"].kind == "yes or no"
    assert asked["contents", "cylinder"].kind == "thing"


def test_the_pipeline_comes_off_first():
    answer = pipeline_failed_steps()
    first, second = answer.steps[0].what, answer.steps[1].what

    assert first.startswith("Disconnect the pipeline")
    assert second.startswith("Open the reserve oxygen cylinder")
    assert answer.verdict is Verdict.STOP
    assert answer.where_from[0].how_known == "common"


def test_the_steps_name_how_long_the_reserve_lasts_when_that_is_known():
    lasts = replace(pipeline_failed_steps(), sentence="Oxygen lasts about 40 min.")

    assert "The reserve: Oxygen lasts about 40 min." in pipeline_failed_steps(lasts).reasons


def test_a_steel_cylinder_at_the_magnet_is_a_stop_for_the_whole_chain():
    magnet = replace(
        SOUND.magnet,
        room_marked=True,
        cylinder_material=CylinderMaterial.STEEL,
        regulator_marked=True,
    )

    assert chain_verdict(replace(SOUND, magnet=magnet)).verdict is Verdict.STOP
