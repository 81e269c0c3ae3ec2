"""Conflicts of animals, agents and breathing: each is shown side by side, one side chosen."""

from collections.abc import Callable, Mapping

import pytest

from ullage.answers import (
    Answer,
    Breathed,
    BreathingSystem,
    Delivery,
    FlowPhase,
    MacToday,
    Vaporizer,
    absorbent_due,
    absorbent_lasts,
    agent_climate,
    agent_mac,
    agent_solubility,
    agent_vapour_pressure,
    animal,
    animal_value,
    bag_size,
    body_tissues,
    breathing_at_depth,
    carbon_dioxide,
    circulation_at_depth,
    fresh_gas_flow,
    nitrous_oxide_spares,
    system_follows,
    system_suits,
    vaporizer_output,
)
from ullage.answers.things import Place
from ullage.reference import conflicts

CAT, DOG, PIG, RABBIT = (
    animal("cat", 4.0),
    animal("dog", 20.0),
    animal("pig", 40.0),
    animal("rabbit", 3.0),
)
PIECE, HIGH = BreathingSystem.T_PIECE, Place(barometric_kpa=80.5)

#: Conflict -> an answer that shows it, and how many sides it has at least.
SHOWN: Mapping[str, tuple[Callable[[], Answer], int]] = {
    "K-19": (lambda: system_suits(CAT, BreathingSystem.CIRCLE), 4),
    "K-20": (lambda: fresh_gas_flow(CAT, PIECE, FlowPhase.HOLD), 5),
    "K-21": (lambda: fresh_gas_flow(animal("cat", 7.0), PIECE, FlowPhase.HOLD), 6),
    "K-22": (lambda: carbon_dioxide(CAT, PIECE, Breathed(fresh_gas_l_min=0.8)), 4),
    "K-24": (lambda: bag_size(animal("cat", 6.0)), 2),
    "K-25": (lambda: system_follows(BreathingSystem.LARGE_CIRCLE, 500.0, 3.0), 3),
    "K-26": (lambda: absorbent_lasts(DOG, 1.0), 4),
    "K-27": (lambda: absorbent_due(0.0), 7),
    "K-36": (lambda: agent_vapour_pressure("desflurane"), 2),
    "K-37": (lambda: agent_solubility("isoflurane", "pig"), 5),
    "K-38": (lambda: agent_solubility("desflurane", "rat"), 4),
    "K-39": (lambda: agent_solubility("halothane", "cat"), 2),
    "K-40": (lambda: agent_solubility("sevoflurane", "dog"), 3),
    "K-41": (lambda: agent_mac("mouse", "isoflurane"), 3),
    "K-42": (lambda: agent_mac("pig", "isoflurane"), 3),
    "K-43": (lambda: agent_mac("rabbit", "halothane"), 3),
    "K-44": (lambda: agent_mac("cat", "sevoflurane"), 3),
    "K-45": (lambda: agent_mac("dog", "desflurane"), 2),
    "K-46": (lambda: agent_mac("rat", "nitrous oxide"), 3),
    "K-47": (lambda: nitrous_oxide_spares("pig", 0.5), 7),
    "K-49": (
        lambda: vaporizer_output(Vaporizer(agent="isoflurane", dial_fraction=0.02), HIGH),
        2,
    ),
    "K-50": (
        lambda: agent_climate(Delivery(agent="desflurane", fraction=0.06, fresh_gas_l_min=2.0)),
        3,
    ),
    "K-52": (lambda: animal_value(PIG, "cardiac_output_l_min"), 5),
    "K-53": (lambda: body_tissues(CAT), 2),
    "K-54": (lambda: animal_value(RABBIT, "lung_l"), 3),
    "K-55": (lambda: breathing_at_depth(CAT, "isoflurane", 1.0), 2),
    "K-56": (lambda: circulation_at_depth(CAT, "isoflurane", 1.0), 4),
    "K-57": (lambda: animal_value(DOG, "oxygen_demand_l_min"), 4),
    "K-58": (lambda: animal_value(DOG, "minute_volume_awake_l_min"), 4),
    "K-59": (lambda: animal_value(RABBIT, "tidal_l"), 2),
}
#: Conflicts that are no side of one number, and where they are told instead.
TOLD: Mapping[str, str] = {
    "K-23": "a caution of a circle",
    "K-28": "a caution of absorbent",
    "K-48": "the band of a drug holds both percentages",
    "K-51": "two columns of the page of comparisons",
    "K-60": "tracheas are not computed",
    **{f"K-{n}": "a room of its own: leaks, waste gas, service" for n in range(29, 36)},
}


def test_every_conflict_of_these_rooms_is_shown_or_told():
    wanted = {one.key for one in conflicts() if 19 <= int(one.key[2:]) <= 60}

    assert set(SHOWN) | set(TOLD) == wanted


@pytest.mark.parametrize("key", SHOWN)
def test_a_conflict_stands_side_by_side_and_one_side_is_chosen(key):
    ask, sides = SHOWN[key]
    answer = ask()

    assert len(answer.views) >= sides
    assert sum(one.chosen for one in answer.views) == 1
    assert len({one.result for one in answer.views}) > 1


@pytest.mark.parametrize("key", SHOWN)
def test_the_chosen_side_is_the_number_and_no_mean_of_the_sides(key):
    """What is used appears word for word on the chosen side, wherever a side is a number."""
    answer = SHOWN[key][0]()
    chosen = next(one for one in answer.views if one.chosen)
    shown = chosen.result.split(" ")[0]
    unlike = {"K-19", "K-25", "K-27"}

    if key not in unlike:
        assert answer.number_text.startswith(shown)


def test_what_is_told_in_words_is_told():
    circle = system_suits(CAT, BreathingSystem.CIRCLE)
    drug = agent_mac("dog", "sevoflurane", MacToday(drugs=("dexmedetomidine",)))

    assert any("absorbent adds resistance" in one for one in circle.cautions)
    assert any("two thirds or full" in one for one in absorbent_due(0.0).cautions)
    assert drug.low <= 2.36 * (1 - 0.437) < 2.36 * (1 - 0.33) <= drug.high
