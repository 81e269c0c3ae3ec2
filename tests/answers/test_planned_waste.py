"""Waste gas of a planned case: masks, chambers, leaks, and animals that breathe agent out."""

from dataclasses import replace
from functools import cache
from math import exp

import numpy as np
import pytest

from tests.answers.exposure_examples import ISO, KNOWN, LAB, RATS, UNKNOWN, rat_plan
from ullage.answers import Scavenging, Verdict, WasteSetup, case_plan, case_waste
from ullage.answers.case_breath import Inspired, breathed
from ullage.answers.case_planned import planned_of
from ullage.answers.case_things import CaseInput
from ullage.answers.exposure_things import EscapeKind
from ullage.answers.plan import Case, Phase
from ullage.answers.planned_escapes import case_escapes
from ullage.core.errors import InvalidQuantity

TOLD = WasteSetup(scavenging=Scavenging.ACTIVE, purged=False, mask_escape_share=0.1, leak_l_min=0.0)


def by_kind(setup, plan=None):
    found = {}
    for one in case_escapes(plan or rat_plan(), setup):
        found.setdefault(one.kind, []).append(one)
    return found


def test_without_a_dial_the_question_that_settles_it_is_asked():
    plan = case_plan(CaseInput(case=RATS, agent=ISO), draws=20)

    found = case_waste(plan, LAB)

    assert found.escapes == ()
    assert found.answers[ISO]["day"].settles == "Which drugs were given, or none?"
    assert found.answers[ISO]["day"].verdict is Verdict.NOT_YET


def test_a_case_that_is_fully_told_has_numbers():
    found = case_waste(rat_plan(), KNOWN, TOLD, {ISO: "niosh_by_custom"}, "US")
    told = found.answers[ISO]

    assert set(told) == {"peak", "room", "task", "day", "limit", "helps"}
    assert all(told[one].value is not None for one in ("peak", "room", "task", "day"))
    assert told["peak"].value > told["room"].value > told["day"].value
    assert told["limit"].verdict in {Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP}
    assert found.questions == ()


def test_what_nobody_said_is_asked_and_widens_the_band():
    found = case_waste(rat_plan(), LAB)

    assert found.questions[0] == "Is the waste gas scavenged, and how?"
    assert "Is the chamber blown out before it is opened?" in found.questions
    assert found.answers[ISO]["day"].value is None
    told = case_waste(rat_plan(), LAB, TOLD).answers[ISO]["day"]
    assert found.answers[ISO]["day"].high > told.high


def test_a_chamber_that_nobody_measured_is_asked_about_and_not_counted():
    case = replace(RATS, system="induction chamber", chamber=None)
    plan = case_plan(CaseInput(case=case, agent=ISO, drugs=(), target_mac=1.2), draws=20)

    found = case_waste(plan, LAB, TOLD)

    assert "How large is the chamber?" in found.questions
    assert EscapeKind.CHAMBER not in {one.kind for one in found.escapes}


def test_an_unknown_room_is_the_first_question():
    found = case_waste(rat_plan(), UNKNOWN, TOLD)

    assert found.questions[0] == "How large is Lab?"
    assert found.answers[ISO]["limit"].verdict is Verdict.NOT_YET


def test_a_chamber_opened_without_a_purge_gives_all_that_it_holds():
    full, purged, unsaid = (
        by_kind(replace(TOLD, purged=one))[EscapeKind.CHAMBER][0] for one in (False, True, None)
    )

    level = 0.01 * rat_plan().levels[-1].inspired[1]
    assert 0.5 * 4.0 * level < full.middle_l < 4.0 * max(rat_plan().delivered)
    assert purged.middle_l == pytest.approx(full.middle_l * exp(-3.0))
    assert (unsaid.low_l, unsaid.middle_l, unsaid.high_l) == (
        pytest.approx(purged.middle_l),
        None,
        pytest.approx(full.middle_l),
    )
    assert full.start_min == RATS.start_min + 6.0


def test_what_escapes_is_never_more_than_what_the_vaporizer_adds():
    plan = rat_plan()
    added = sum(
        dial / (1.0 - dial) * one.flow_l_min * one.minutes
        for one, dial in zip(
            [one for one in plan.stretches if one.phase.value != "waking"],
            plan.delivered,
            strict=True,
        )
    )
    for setup in (
        WasteSetup(),
        WasteSetup(scavenging=Scavenging.NONE),
        WasteSetup(scavenging=Scavenging.ACTIVE),
        WasteSetup(mask_escape_share=0.3),
        WasteSetup(scavenging=Scavenging.NONE, mask_escape_share=0.3),
    ):
        found = by_kind(setup)
        flow = [
            one for kind in (EscapeKind.MASK, EscapeKind.UNSCAVENGED) for one in found.get(kind, ())
        ]
        whole = sum(one.high_l for one in flow) / 1.2  # the dial may give a fifth more
        assert 0.0 < whole <= added


def test_an_unscavenged_flow_that_passes_the_mask_is_counted_once():
    open_mask = by_kind(WasteSetup(scavenging=Scavenging.NONE))
    told = by_kind(WasteSetup(scavenging=Scavenging.NONE, mask_escape_share=0.3))

    assert EscapeKind.MASK not in open_mask
    whole = sum(one.middle_l for one in open_mask[EscapeKind.UNSCAVENGED])
    parts = [one for kind in (EscapeKind.MASK, EscapeKind.UNSCAVENGED) for one in told[kind]]
    assert sum(one.middle_l for one in parts) == pytest.approx(whole)


@pytest.mark.parametrize("kind", [Scavenging.PASSIVE, Scavenging.ACTIVE, Scavenging.CHARCOAL])
def test_scavenging_takes_what_does_not_pass_the_mask(kind):
    assert EscapeKind.UNSCAVENGED not in by_kind(replace(TOLD, scavenging=kind))


def test_a_hood_leaves_what_is_breathed_out_later():
    assert set(by_kind(replace(TOLD, hood=True))) == {EscapeKind.RECOVERY}
    away = case_waste(rat_plan(), LAB, replace(TOLD, hood=True, away=True))
    assert away.escapes == ()
    assert away.answers[ISO]["day"].value == 0.0


def test_a_leak_counts_its_mixture():
    leak = by_kind(replace(TOLD, leak_l_min=0.3))[EscapeKind.LEAK]

    mean = sum(one.middle_l for one in leak) / sum(one.minutes for one in leak)
    least, most = min(rat_plan().delivered), max(rat_plan().delivered)
    assert 0.99 * 0.3 * least < mean < 0.3 * most


def test_liquid_that_is_spilled_dries_up_before_the_case():
    spilled = by_kind(replace(TOLD, spilled_ml=2.0))[EscapeKind.FILLING][0]

    # Two millilitres give about 390 mL of vapour at 20 °C.
    assert spilled.middle_l == pytest.approx(0.39, abs=0.01)
    assert spilled.end_min == RATS.start_min
    assert EscapeKind.FILLING not in by_kind(TOLD)


def test_more_animals_breathe_out_more():
    one, four = (by_kind(replace(TOLD, animals=count))[EscapeKind.RECOVERY][0] for count in (1, 4))

    assert four.middle_l == pytest.approx(4.0 * one.middle_l)


def test_time_on_the_system_keeps_breath_out_of_the_room():
    phases = (*RATS.phases[:2], replace(RATS.phases[2], minutes=60.0))
    given = CaseInput(case=replace(RATS, phases=phases), agent=ISO, drugs=(), target_mac=1.2)
    long = by_kind(TOLD, case_plan(given, draws=20))[EscapeKind.RECOVERY][0]
    short = by_kind(TOLD)[EscapeKind.RECOVERY][0]

    assert long.middle_l < 0.6 * short.middle_l
    assert short.start_min == RATS.start_min + 71.0
    shares = [share for _, _, share in short.pieces]
    assert sum(shares) == pytest.approx(1.0)


@cache
def rats():
    return planned_of(rat_plan().given)


STEADY = [Inspired(start_min=0.0, end_min=90.0, fraction=0.015)]


def test_what_is_taken_up_is_held_or_broken_down_and_comes_back():
    found = breathed(rats(), ISO, STEADY)
    back = sum(litres for *_, litres in found.given_back)

    assert found.held_l <= found.taken_l[0] * 1.001
    assert found.held_l == pytest.approx(found.taken_l[0], rel=0.02)  # 0.2 % is broken down
    assert 0.3 * found.held_l < back <= found.held_l
    flows = [litres / minutes for _, minutes, litres in found.given_back]
    assert flows == sorted(flows, reverse=True)


def test_twice_the_level_gives_twice_the_amount_without_depth():
    once, twice = (
        breathed(rats(), "nitrous oxide", [replace(STEADY[0], fraction=one)]) for one in (0.2, 0.4)
    )

    assert twice.taken_l[0] == pytest.approx(2.0 * once.taken_l[0], rel=1e-6)


def test_taken_up_in_pieces_adds_up_to_the_whole():
    cut = [
        Inspired(start_min=float(low), end_min=float(high), fraction=0.015)
        for low, high in ((0, 10), (10, 40), (40, 90))
    ]

    pieces, whole = breathed(rats(), ISO, cut), breathed(rats(), ISO, STEADY)

    assert sum(pieces.taken_l) == pytest.approx(whole.taken_l[0], rel=1e-3)
    assert list(np.array(pieces.taken_l) / (10.0, 30.0, 50.0)) == sorted(
        np.array(pieces.taken_l) / (10.0, 30.0, 50.0), reverse=True
    )


def dog_plan():
    phases = (Phase(name="Procedure", minutes=60, oxygen_l_min=1.0, nitrous_oxide_l_min=1.0),)
    case = Case(
        name="Bryony",
        machine="Heron",
        start_min=600,
        phases=phases,
        species="dog",
        weight_kg=20.0,
        system="circle",
    )
    return case_plan(CaseInput(case=case, agent=ISO, drugs=(), target_mac=1.0), draws=20)


def test_charcoal_lets_the_nitrous_oxide_of_a_case_into_the_room():
    found = case_waste(
        dog_plan(), KNOWN, WasteSetup(scavenging=Scavenging.CHARCOAL, leak_l_min=0.0)
    )
    unscavenged = [one for one in found.escapes if one.kind is EscapeKind.UNSCAVENGED]

    assert {one.agent for one in unscavenged} == {"nitrous oxide"}
    assert set(found.gases) == {ISO, "nitrous oxide"}
    # A litre a minute for an hour, less what the dog takes up, which is litres at first.
    assert 40.0 < unscavenged[0].middle_l < 60.0


@pytest.mark.parametrize(
    "wrong",
    [
        {"mask_escape_share": 1.1},
        {"leak_l_min": -0.1},
        {"animals": 0},
        {"spilled_ml": -1.0},
        {"leak_l_min": 51.0},
    ],
)
def test_a_setup_that_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="must be"):
        WasteSetup(**wrong)
