"""The formulas on offer: listed once, described by their docstrings, run from words."""

import inspect
import pkgutil
import shlex
from importlib import import_module
from typing import get_type_hints

import pytest

import ullage.core
from tests.answers.animal_examples import ANIMAL_EXAMPLES
from tests.answers.breathing_examples import BREATHING_EXAMPLES
from ullage.answers.formula_arguments import read_argument, said
from ullage.answers.formula_docs import described
from ullage.answers.formula_list import FORMULAS, QUESTIONS
from ullage.answers.formulas import formula, formula_result, formulas
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference, UnreadableQuantity
from ullage.core.gas import C15, Gas, contents_l
from ullage.core.supply import ReserveRule
from ullage.reference import sources

LISTED = {
    f"{module}.{name}"
    for modules in FORMULAS.values()
    for module, names in modules.items()
    for name in names
}
WITH_EXAMPLE = [one for one in formulas() if one.example]


def public_functions_of_the_core():
    for found in pkgutil.walk_packages(ullage.core.__path__, "ullage.core."):
        if found.name.split(".")[-1].startswith("_"):
            continue
        module = import_module(found.name)
        for name in getattr(module, "__all__", ()):
            thing = getattr(module, name)
            if inspect.isfunction(thing) and thing.__module__ == found.name:
                yield f"{found.name}.{name}", get_type_hints(thing)["return"]


def test_compute_offers_every_public_function_of_the_core_that_returns_a_number():
    numbers = {name for name, kind in public_functions_of_the_core() if kind in {float, int}}

    assert numbers - LISTED == set()


def test_what_is_listed_returns_a_number_or_a_range():
    kinds = dict(public_functions_of_the_core())

    assert {kinds[name] for name in LISTED} <= {float, int, tuple[float, float]}


def test_every_question_of_animals_agents_and_breathing_can_be_asked_by_name():
    offered = {
        name for modules in QUESTIONS.values() for names in modules.values() for name in names
    }

    assert offered == {*ANIMAL_EXAMPLES, *BREATHING_EXAMPLES}


@pytest.mark.parametrize(
    ("name", "given", "value"),
    [
        ("effective_draws", {"weights": "0.5; 0.5; 0"}, 2.0),
        ("even_half_width_share", {"errors": "0.1; -0.2", "held_share": "1"}, 0.2013),
    ],
)
def test_a_list_of_numbers_is_read_into_an_array(name, given, value):
    assert formula_result(name, given).value == pytest.approx(value, abs=1e-4)


def test_an_answer_comes_back_as_it_is_with_its_sides_and_verdict():
    given = {"animal": "cat, 4 kg", "system": "T-piece", "breathed": "fresh_gas_l_min: 0.6"}
    answer = formula_result("carbon_dioxide", given)

    assert answer.unit == "mmHg"
    assert len(answer.views) == 4
    assert answer.verdict is not None


def test_a_value_of_the_site_goes_into_the_animal_and_is_said():
    plain, own = (
        formula_result("animal_value", {"animal": text, "name": "tidal_l"})
        for text in ("cat, 4 kg", "cat, 4 kg, tidal_l: 50 mL")
    )

    assert own.value == pytest.approx(50.0)
    assert plain.value < 40.0
    assert "Set by the site: tidal l." in own.assumptions


@pytest.mark.parametrize("text", ["cat", "", "4 kg", "cat, tidal_l: 50 mL"])
def test_an_animal_without_species_or_weight_is_refused(text):
    with pytest.raises(UnreadableQuantity, match="species and weight"):
        formula_result("bag_size", {"animal": text})


def test_a_weight_that_is_a_slip_is_asked_about():
    with pytest.raises(RuleBroken, match="confirm the weight"):
        formula_result("bag_size", {"animal": "mouse, 25 kg"})


def test_a_name_is_listed_once():
    names = [one.name for one in formulas()]

    assert len(names) == len(set(names))


@pytest.mark.parametrize("one", formulas(), ids=lambda one: one.name)
def test_a_formula_is_described(one):
    assert one.summary.endswith(".")
    assert one.unit
    assert all(parameter.unit or parameter.meaning for parameter in one.parameters)
    assert {line.key for line in one.sources} <= set(sources())


@pytest.mark.parametrize("one", WITH_EXAMPLE, ids=lambda one: one.name)
def test_an_example_runs_as_it_stands(one):
    words = shlex.split(one.example)
    answer = formula_result(one.name, dict(word.split("=", 1) for word in words[3:]))

    assert words[:3] == ["ullage", "compute", one.name]
    assert answer.value is not None or (answer.low is not None and answer.high is not None)
    assert answer.reasons


#: These take a list or a thing, which no single line of words can show.
WITHOUT_EXAMPLE = {
    "concurrent_peak_l_min",
    "chance_before",
    "effective_draws",
    "even_half_width_share",
    "fresh_gas_without_rebreathing_l_min",
}


def test_every_formula_of_plain_numbers_has_an_example():
    assert {one.name for one in formulas() if not one.example} == WITHOUT_EXAMPLE


def test_a_result_is_that_of_the_function():
    given = {
        "gas": "oxygen",
        "water_capacity_l": "4.76 L",
        "gauge_kpa": "1900 psi",
        "temperature_k": "20 C",
        "condition": "15C",
    }
    answer = formula_result("contents_l", given)
    direct = contents_l(Gas.OXYGEN, 4.76, 1900 * 6.894757293168361, 293.15, condition=C15)

    assert answer.value == pytest.approx(direct, rel=1e-12)
    assert answer.unit == "L"


def test_a_range_is_an_answer_without_a_number():
    answer = formula_result(
        "liquid_remaining_range_l",
        {
            "gas": "nitrous oxide",
            "water_capacity_l": "4.76",
            "temperature_k": "20 C",
            "filling_density": "0.68",
        },
    )

    assert answer.value is None
    assert answer.low < answer.high
    assert answer.range_text in answer.sentence


def test_what_was_left_at_its_default_is_assumed_aloud():
    answer = formula_result("litres_per_kg", {"gas": "oxygen"})

    assert "Left at its default: condition = 70F." in answer.assumptions


def test_the_steps_repeat_what_was_given_in_the_units_of_the_names():
    answer = formula_result("kelvin", {"celsius_degrees": "70 °F"})

    assert answer.steps[0].what == "celsius_degrees"
    assert answer.steps[0].result == "21.11111111 °C"


def test_where_a_formula_comes_from_is_said_with_its_source():
    answer = formula_result("most_leak_share", {"limit_fraction": "23.5 %"})

    assert answer.where_from[0].source == "supply_S63"
    assert answer.where_from[0].how_known == "computed"


@pytest.mark.parametrize(
    ("name", "given", "sentence"),
    [
        ("contents_l", {"gas": "oxygen"}, r"also needs water_capacity_l \[L\], gauge_kpa \[kPa\]"),
        ("litres_per_kg", {}, r"also needs gas \(oxygen or air"),
        ("kelvin", {"celsius": "3"}, "takes no 'celsius'; it takes celsius_degrees"),
        ("litres_per_kg", {"gas": "oxigen"}, "must be one of oxygen.*Did you mean oxygen"),
        ("flush_l", {"count": "1.5", "seconds_s": "10", "flush_flow_l_min": "50"}, "whole number"),
    ],
)
def test_what_does_not_fit_is_said_in_one_sentence(name, given, sentence):
    with pytest.raises(UnreadableQuantity, match=sentence):
        formula_result(name, given)


def test_a_name_that_is_close_is_suggested():
    with pytest.raises(UnknownReference, match=r"Similar: .*contents_l"):
        formula("content_l")


def test_a_number_that_physics_does_not_allow_is_refused_by_the_core():
    given = {"usable_gas_l": "600", "flow_l_min": "0 L/min"}

    with pytest.raises(InvalidQuantity, match="flow_l_min is 0"):
        formula_result("endurance_min", given)


def test_a_thing_is_written_as_its_fields():
    rule = read_argument("rule", ReserveRule, "pressure_kpa: 200 psi, minutes: 15")

    assert rule.pressure_kpa == pytest.approx(1378.95, rel=1e-5)
    assert said(rule).startswith("pressure_kpa: 1378.95")


@pytest.mark.parametrize("text", ["200 psi", "pressure: 3", ""])
def test_a_thing_that_is_not_written_as_its_fields_is_refused(text):
    with pytest.raises(UnreadableQuantity, match="rule is written as field: value"):
        read_argument("rule", ReserveRule, text)


def test_many_numbers_are_set_apart_by_semicolons():
    given = {"reached_min": "10; 30; 20", "ends_min": "25; 25; 25"}
    answer = formula_result("chance_before", given)

    assert answer.value == pytest.approx(2 / 3)


def test_yes_and_no_are_words_of_a_flag():
    assert read_argument("dry", bool, "yes") is True
    assert read_argument("dry", bool, "False") is False


def test_a_docstring_is_taken_apart():
    def leak_l_min(volume_l: float) -> float:
        """Leak of a volume.

        Parameters
        ----------
        volume_l : [L] above 0,
            and finite.

        Returns
        -------
        [L/min] at 70 °F.

        Source: supply_S62 (formula), supply_S63 (limits (both)).
        """
        return volume_l

    words = described(leak_l_min)

    assert words.parameters[0].meaning == "above 0, and finite."
    assert (words.unit, words.returns) == ("L/min", "at 70 °F.")
    assert [line.key for line in words.sources] == ["supply_S62", "supply_S63"]
    assert words.sources[1].what == "limits (both)"


@pytest.mark.parametrize(
    "given",
    [
        {"reached_min": ";", "ends_min": ";"},
        {"reached_min": "1; 2", "ends_min": "1"},
        {"reached_min": "1", "ends_min": "1; 2"},
    ],
)
def test_a_share_of_no_draws_or_of_unequal_ones_is_refused(given):
    with pytest.raises(InvalidQuantity, match=r"draws is 0|number of ends_min is"):
        formula_result("chance_before", given)


@pytest.mark.parametrize("text", ["nan", "inf", "1e400", "-inf", "", "1,2,3"])
@pytest.mark.parametrize("name", ["usable_gas_l", "flow_l_min"])
def test_what_is_no_number_is_never_run(name, text):
    given = {"usable_gas_l": "600 L", "flow_l_min": "2 L/min", name: text}

    with pytest.raises(UnreadableQuantity, match=f"{name}: "):
        formula_result("endurance_min", given)


@pytest.mark.parametrize(
    ("flow", "minutes"), [("2 L/min", 300), ("2000 mL/min", 300), ("0.12 m³/h", 300), ("2", 300)]
)
def test_a_formula_takes_a_flow_in_any_unit(flow, minutes):
    answer = formula_result("endurance_min", {"usable_gas_l": "600 L", "flow_l_min": flow})

    assert answer.value == pytest.approx(minutes)
    assert answer.unit == "min"
