"""What each part of the chain says and asks to be done, word for word, branch by branch."""

from dataclasses import replace

import pytest

from tests.answers.chain.sound import PLACE, SOUND, with_part
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part
from ullage.answers.chain_things import (
    Chain,
    CylinderMaterial,
    Hold,
    Magnet,
    RegulatorKind,
    SealKind,
)
from ullage.answers.plan import SourceKind
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA

FINE, LOOK, STOP, OPEN = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP, Verdict.NOT_YET


def judged(part, **changes):
    return chain_by_part(with_part(part, **changes))[part]


def known(answer):
    return {line.how_known for line in answer.where_from}


# --- identity -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gas", "colour", "connection"),
    [
        (Gas.NITROUS_OXIDE, "blue", "3-5"),
        (Gas.AIR, "yellow", "1-5"),
        (Gas.CARBON_DIOXIDE, "gray", "1-6"),
    ],
)
def test_another_gas_is_itself_by_its_own_label_colour_and_connection(gas, colour, connection):
    chain = replace(
        with_part("identity", label_gas=gas, colour=colour, connection=connection), gas=gas
    )
    answer = chain_by_part(chain)["identity"]

    assert answer.verdict is FINE, answer.reasons
    assert answer.question == f"Is it {gas}?"
    assert answer.sentence == f"Label, colour and connection all name {gas}."


def test_any_doubt_about_the_gas_keeps_it_from_being_connected():
    for changes in ({"label_gas": Gas.AIR}, {"colour": "blue"}, {"connection": "1-5"}):
        answer = judged("identity", **changes)
        assert answer.verdict is STOP
        assert answer.todo.startswith("Do not connect it, or disconnect it. Set it apart")


def test_a_colour_is_judged_by_the_scheme_of_the_site_and_by_none_where_none_is_set():
    white = with_part("identity", colour="white")
    iso = replace(white, colour_scheme="iso32")
    none = replace(white, colour_scheme="")

    assert chain_by_part(white)["identity"].verdict is STOP
    assert chain_by_part(iso)["identity"].verdict is FINE
    assert "White is oxygen in ISO 32." in chain_by_part(iso)["identity"].reasons
    assert "no scheme is set for this site" in " ".join(chain_by_part(none)["identity"].reasons)


@pytest.mark.parametrize(
    ("fraction", "verdict"), [(0.9, FINE), (0.899, STOP), (0.0, STOP), (1.0, FINE), (0.21, STOP)]
)
def test_the_analyser_asks_for_the_least_that_a_concentrator_may_give(fraction, verdict):
    answer = judged("identity", analyser_fraction=fraction)

    assert answer.verdict is verdict
    if verdict is STOP:
        assert "disconnect it and open the reserve cylinder" in answer.todo


def test_an_analyser_says_nothing_of_another_gas():
    chain = replace(with_part("identity", analyser_fraction=0.05, label_gas=Gas.AIR), gas=Gas.AIR)
    reasons = " ".join(chain_by_part(chain)["identity"].reasons)

    assert "analyser" not in reasons


def test_an_adaptor_comes_off_and_the_other_source_is_used():
    answer = judged("identity", adapted=True)

    assert answer.sentence.startswith("There is an adaptor, or the fit was forced")
    assert answer.todo.startswith("Take the adaptor off")


# --- secured, seal, oil ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("held", "says"),
    [
        (Hold.MACHINE, "The cylinder is on the machine."),
        (Hold.CHAIN, "The cylinder is chained to the wall."),
        (Hold.STAND, "The cylinder stands in a stand or cart, not on the machine or at the wall."),
        (Hold.NOTHING, "Nothing holds the cylinder; if it falls the valve can break off."),
    ],
)
def test_what_holds_the_cylinder_is_said(held, says):
    assert judged("secured", held=held).sentence == says


def test_nothing_that_holds_it_is_mended_before_anything_else():
    assert judged("secured", held=Hold.NOTHING).todo.endswith("before anything else.")


def test_a_low_chain_and_a_lying_cylinder_are_both_named():
    answer = judged("secured", held=Hold.CHAIN, upright=False, chain_above_middle=False)

    assert answer.verdict is LOOK
    assert "The cylinder does not stand upright." in answer.reasons
    assert "The chain does not lie between the middle and the shoulder." in answer.reasons
    assert "Stand it upright" in answer.todo
    assert "Move the chain" in answer.todo


def test_heat_is_warned_of_with_what_the_sources_print():
    # NFPA 54 °C, and 52 °C of others (storage table): both stand in the caution.
    caution = judged("secured").cautions[0]

    assert caution.startswith("Keep cylinders below ")
    assert "sources print" in caution


def test_a_seal_is_counted_before_it_is_judged_new():
    none, two = judged("seal", count=0), judged("seal", count=2)

    assert (none.sentence, none.todo) == (
        "There is no seal in the connection.",
        "Fit one new seal.",
    )
    assert two.todo == "Take all of them out and fit exactly one new seal."
    assert two.reasons[0].endswith("a second one lets the wrong cylinder fit.")


@pytest.mark.parametrize(
    ("kind", "verdict"), [(SealKind.CRUSH, STOP), (SealKind.ELASTOMER, LOOK), (None, LOOK)]
)
def test_a_used_seal_shows_what_the_texts_say_of_each_kind(kind, verdict):
    answer = judged("seal", new=False, kind=kind)

    assert answer.verdict is verdict
    assert [view.result for view in answer.views] == [
        "new at every change",
        "may be used again",
        "one use only",
    ]
    assert [view.chosen for view in answer.views] == [True, False, False]


def test_a_new_seal_needs_no_views_and_a_stacked_one_is_damaged_work():
    assert judged("seal").views == ()
    damaged = judged("seal", damaged=True)
    assert "with a pin bent or missing take the yoke out of use" in damaged.todo


def test_grease_keeps_the_valve_shut_even_where_no_seal_belongs():
    answer = judged("seal", takes_seal=False, count=None, greased=True)

    assert answer.verdict is STOP
    assert answer.todo.startswith("Do not open the valve.")


def test_a_connection_that_takes_no_seal_and_holds_one_is_still_counted():
    answer = judged("seal", takes_seal=False, count=2)

    assert answer.verdict is STOP


def test_opening_a_valve_is_described_at_every_seal():
    assert judged("seal").cautions[0].startswith("Flow controls shut, open the valve slowly")


def test_oil_is_named_with_the_gas_it_would_burn_in():
    answer = judged("oil_free", clean=False)

    assert "near the oxygen; under pressure it can burn" in answer.sentence
    assert answer.todo.startswith("Do not open the valve. Clean hands and tools")
    assert judged("oil_free").sentence == "Parts, hands and tools are free of oil and grease."


# --- regulator ------------------------------------------------------------------------------


def pressed(still_psi, flowing_psi, **more):
    return judged(
        "regulator",
        still_gauge_kpa=still_psi * PSI_KPA,
        flowing_gauge_kpa=flowing_psi * PSI_KPA,
        **more,
    )


@pytest.mark.parametrize(
    ("psi", "verdict"),
    [(39.9, STOP), (40.1, LOOK), (44.9, LOOK), (45.1, FINE), (54.9, FINE), (55.1, LOOK),
     (59.9, LOOK), (60.1, STOP)],
)  # fmt: skip
def test_each_limit_of_the_line_pressure_is_passed_from_both_sides(psi, verdict):
    assert pressed(psi, psi).verdict is verdict


def test_a_line_pressure_beyond_its_limits_says_both():
    answer = pressed(30, 30)

    assert answer.sentence == (
        "With no flow the outlet reads 30 psi; below 40 psi or above 60 psi nobody begins."
    )
    assert answer.todo == "Take the regulator or outlet out of use; use another supply."


def test_a_line_pressure_that_is_unusual_says_what_is_usual():
    answer = pressed(57, 54)

    assert answer.sentence == "With no flow the outlet reads 57 psi; 45 psi to 55 psi is usual."
    assert "with the gauge tapped" in answer.todo


@pytest.mark.parametrize(("droop", "verdict"), [(4.9, FINE), (5.1, LOOK), (0.0, FINE)])
def test_a_droop_of_five_psi_is_looked_at_again(droop, verdict):
    answer = pressed(54, 54 - droop)

    assert answer.verdict is verdict
    if verdict is LOOK:
        assert answer.sentence == "The pressure droops by 5.1 psi when gas flows."


def test_a_flowing_pressure_out_of_its_limits_is_named_before_the_droop():
    answer = pressed(54, 35)

    assert answer.verdict is STOP
    assert answer.sentence.startswith("At working flow the outlet reads 35 psi")
    assert not any("droops" in line for line in answer.reasons)


def test_without_a_still_pressure_no_droop_is_told():
    answer = judged("regulator", still_gauge_kpa=None, flowing_gauge_kpa=48 * PSI_KPA)

    assert answer.verdict is OPEN
    assert not any("droops" in line for line in answer.reasons)


def test_a_maker_s_own_pressure_is_judged_within_a_tenth_and_stopped_at_a_fifth():
    # supply_S25: a regulator within 10 %; supply_S64: alarm 20 % either way.
    verdicts = [
        judged(
            "regulator",
            nominal_gauge_kpa=500.0,
            still_gauge_kpa=kpa,
            flowing_gauge_kpa=kpa,
        ).verdict
        for kpa in (395.0, 405.0, 445.0, 455.0, 545.0, 555.0, 595.0, 605.0)
    ]

    assert verdicts == [STOP, LOOK, LOOK, FINE, FINE, LOOK, LOOK, STOP]


@pytest.mark.parametrize(
    ("country", "low", "high"), [("GB", 360.0, 440.0), ("DE", 360.0, 550.0), ("FR", 360.0, 550.0)]
)
def test_a_country_has_its_own_pipeline_pressure(country, low, high):
    for kpa, verdict in ((low - 1, LOOK), (low + 1, FINE), (high - 1, FINE), (high + 1, LOOK)):
        chain = replace(
            with_part("regulator", still_gauge_kpa=kpa, flowing_gauge_kpa=kpa), country=country
        )
        assert chain_by_part(chain)["regulator"].verdict is verdict, kpa


def test_a_preset_regulator_is_left_alone_and_the_others_say_why_not():
    flow = judged("regulator", kind=RegulatorKind.FLOW_METERING)
    adjustable = judged("regulator", kind=RegulatorKind.ADJUSTABLE)

    assert "behind it the pressure falls as soon as gas is drawn" in flow.sentence
    assert flow.todo == "Use a preset pressure regulator ahead of a machine."
    assert "it may give too low or too high a pressure" in adjustable.sentence
    assert "read the outlet gauge before each case" in adjustable.todo


def test_the_outlet_of_a_pipeline_has_no_kind_of_regulator():
    chain = replace(with_part("regulator", kind=None), source=SourceKind.PIPELINE)

    assert chain_by_part(chain)["regulator"].verdict is FINE


def test_a_creeping_regulator_is_shut_off_and_taken_away():
    answer = judged("regulator", creeps=True)

    assert answer.sentence.startswith("The outlet pressure climbs while nothing flows")
    assert answer.todo.startswith("Close the source, let the pressure out")


# --- hose -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "todo"),
    [
        ({"ends_gas": Gas.AIR}, "Take the hose out of use. Find out how it could be connected."),
        ({"laboratory_tubing": True}, "Replace it with a medical gas hose that is rated"),
        ({"rated": False}, "Replace it with a medical gas hose that is."),
        ({"damaged": True}, "Replace it; do not mend it."),
        ({"colour": "blue"}, "Read the name on the hose and on both ends"),
    ],
)
def test_a_hose_that_is_not_right_is_replaced_not_mended(changes, todo):
    assert judged("hose", **changes).todo.startswith(todo)


def test_a_sound_hose_is_said_in_one_sentence():
    assert judged("hose").sentence == "The hose is made for oxygen, rated and whole."


@pytest.mark.parametrize("field", ["ends_gas", "laboratory_tubing", "rated", "damaged"])
def test_each_open_question_of_a_hose_is_asked(field):
    answer = judged("hose", **{field: None})

    assert answer.verdict is OPEN
    assert answer.settles.endswith("?")


def test_a_hose_in_no_known_scheme_is_only_told_its_colour():
    chain = replace(with_part("hose", colour="purple"), colour_scheme="")
    answer = chain_by_part(chain)["hose"]

    assert answer.verdict is FINE
    assert "The hose is purple." in answer.reasons


# --- reserve, bag, magnet -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("psi", "verdict"),
    [(199, STOP), (201, LOOK), (999, LOOK), (1001, LOOK), (1709, LOOK), (1711, FINE), (1900, FINE)],
)
def test_a_reserve_is_empty_half_and_full_at_its_limits(psi, verdict):
    # Empty below 200 psi, half at 1000 psi, full from 90 % of 1900 psi, 1710 psi.
    assert judged("reserve", gauge_kpa=psi * PSI_KPA).verdict is verdict


def test_a_missing_wrench_makes_a_full_reserve_useless():
    answer = judged("reserve", wrench=False)

    assert answer.verdict is STOP
    assert answer.sentence.endswith("the reserve cannot be opened when it is needed.")
    assert answer.todo == "Tie a wrench to the machine."


def test_an_open_reserve_is_closed_and_read_again():
    answer = judged("reserve", valve_closed=False)

    assert answer.verdict is LOOK
    assert answer.todo == "Close it, then read its gauge again."


def test_a_place_that_may_run_from_one_source_rests_on_the_rule_of_the_site():
    answer = judged("reserve", present=False, single_source_allowed=True)

    assert answer.verdict is LOOK
    assert "site" in known(answer)
    assert "Have the self-inflating bag at hand" in answer.todo


def test_a_bag_of_the_wrong_size_can_hurt_a_small_lung():
    answer = judged("bag", fits=False)

    assert answer.verdict is LOOK
    assert "too large a bag can hurt a small lung" in answer.todo
    assert judged("bag", fits=None).verdict is FINE


def test_without_a_bag_nobody_begins():
    answer = judged("bag", present=False)

    assert answer.verdict is STOP
    assert answer.todo.endswith("before beginning.")


AT_MAGNET = {
    "room_marked": True,
    "cylinder_material": CylinderMaterial.ALUMINIUM,
    "regulator_marked": True,
}


def test_a_steel_cylinder_inside_is_not_touched():
    answer = judged("magnet", **{**AT_MAGNET, "cylinder_material": CylinderMaterial.STEEL})

    assert answer.sentence == "A steel cylinder in a room with a magnet becomes a missile."
    assert "touch nothing and call whoever answers for the magnet" in answer.todo


def test_steel_and_an_unmarked_regulator_are_both_kept_out():
    answer = judged(
        "magnet",
        **{**AT_MAGNET, "cylinder_material": CylinderMaterial.STEEL, "regulator_marked": False},
    )

    assert len([line for line in answer.reasons if "magnet" in line]) == 2
    assert "use one that is marked" in answer.todo


def test_a_room_without_a_magnet_says_so_and_warns_of_nothing():
    answer = judged("magnet", room_marked=False)

    assert answer.sentence == "The room is not marked as holding a magnet."
    assert answer.cautions == ()


def test_a_pipeline_brings_no_cylinder_to_the_magnet():
    magnet = Magnet(room_marked=True, regulator_marked=True)
    chain = replace(SOUND, source=SourceKind.PIPELINE, magnet=magnet)

    assert chain_by_part(chain)["magnet"].verdict is FINE


# --- which parts a chain has ----------------------------------------------------------------


@pytest.mark.parametrize("kind", [SourceKind.MANIFOLD, SourceKind.SEQUENCE, SourceKind.CYLINDER])
def test_every_source_of_cylinders_has_them_secured_sealed_and_read(kind):
    assert {"secured", "contents", "seal"} <= set(chain_by_part(replace(SOUND, source=kind)))


@pytest.mark.parametrize("kind", [SourceKind.PIPELINE, SourceKind.CONCENTRATOR, SourceKind.LIQUID])
def test_other_sources_have_none_to_secure(kind):
    parts = set(chain_by_part(replace(Chain(), source=kind, place=PLACE)))

    assert not parts & {"secured", "contents", "seal", "room_air"}
