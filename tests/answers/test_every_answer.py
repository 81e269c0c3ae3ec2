"""What every answer owes its reader, whoever wrote it."""

import inspect
from collections.abc import Callable
from typing import get_type_hints

import pytest

from tests.answers.animal_examples import ANIMAL_EXAMPLES
from tests.answers.breathing_examples import BREATHING_EXAMPLES
from tests.answers.chain.sound import SOUND
from tests.answers.check_examples import CHECK_EXAMPLES
from tests.answers.exposure_examples import EXPOSURE_EXAMPLES
from tests.answers.record_examples import RECORD_EXAMPLES
from tests.answers.service_examples import SERVICE_EXAMPLES
from tests.answers.stock_examples import STOCK_EXAMPLES
from ullage import answers
from ullage.answers import (
    Answer,
    Verdict,
    Watch,
    chain_verdict,
    cylinder_contents,
    cylinder_lasts,
    formula_result,
    gauge_holds,
    machine_readiness,
    pipeline_failed_steps,
    site_air_pressure,
    site_reserve,
)
from ullage.answers.readiness import Remark
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.gas import Gas
from ullage.reference import HowKnown, sources

HALF_E = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76)
READ = Reading(at_min=0.0, gauge_kpa=6895.0)
STUCK = Remark(about="Out of use", verdict=Verdict.STOP, sentence="The bobbin sticks.")
MARKED = Watch(first_kpa=6895.0, last_kpa=6700.0, minutes=5.0)

#: One call per public function that answers; the first test keeps the list whole.
EXAMPLES: dict[str, Callable[[], Answer]] = {
    **ANIMAL_EXAMPLES,
    **BREATHING_EXAMPLES,
    **CHECK_EXAMPLES,
    **EXPOSURE_EXAMPLES,
    **RECORD_EXAMPLES,
    **STOCK_EXAMPLES,
    **SERVICE_EXAMPLES,
    "chain_verdict": lambda: chain_verdict(SOUND),
    "cylinder_contents": lambda: cylinder_contents(HALF_E, READ),
    "cylinder_lasts": lambda: cylinder_lasts(HALF_E, READ, 1.0),
    "formula_result": lambda: formula_result("litres_per_kg", {"gas": "oxygen"}),
    "machine_readiness": lambda: machine_readiness("Wren", [STUCK]),
    "gauge_holds": lambda: gauge_holds(HALF_E, MARKED, Place()),
    "pipeline_failed_steps": pipeline_failed_steps,
    "site_air_pressure": lambda: site_air_pressure(elevation_m=1900.0),
    "site_reserve": lambda: site_reserve(ReservePolicy()),
}


def test_every_function_that_answers_has_an_example():
    offered = {name: getattr(answers, name) for name in answers.__all__}
    answering = {
        name
        for name, thing in offered.items()
        if inspect.isfunction(thing) and get_type_hints(thing).get("return") is Answer
    }

    assert answering == set(EXAMPLES)


def test_what_is_offered_by_name_is_there():
    assert all(hasattr(answers, name) for name in answers.__all__)
    assert set(answers._HOMES) <= set(answers.__all__)
    assert not hasattr(answers, "nothing_of_the_kind")


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_says_why_and_on_whose_word(name):
    answer = EXAMPLES[name]()

    assert answer.reasons
    assert answer.sources
    assert set(answer.sources) <= set(sources())
    assert {one.how_known for one in answer.where_from} <= set(HowKnown)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_line_of_an_answer_is_a_sentence(name):
    answer = EXAMPLES[name]()
    lines = (*answer.reasons, *answer.cautions, *answer.assumptions, answer.sentence)
    told = (
        *lines,
        *(one.text for one in answer.where_from),
        *([answer.todo] if answer.todo else []),
    )

    for line in told:
        assert line[0].isupper() or line[0].isdigit(), line
        assert line.endswith("."), line


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_asks_something_and_names_its_unit(name):
    answer = EXAMPLES[name]()

    assert answer.question.endswith("?")
    assert answer.unit
    assert answer.covers or answer.low is None


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_without_a_number_has_a_range_or_a_question(name):
    answer = EXAMPLES[name]()

    assert answer.value is not None or answer.settles or answer.low is not None


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_survives_being_stored(name):
    answer = EXAMPLES[name]()

    assert Answer.from_dict(answer.as_dict()) == answer


@pytest.mark.parametrize("name", EXAMPLES)
def test_where_sources_disagree_one_side_is_chosen_unless_the_site_has_yet_to(name):
    answer = EXAMPLES[name]()
    chosen = sum(view.chosen for view in answer.views)

    assert not answer.views or chosen == (0 if answer.verdict is Verdict.NOT_YET else 1)
