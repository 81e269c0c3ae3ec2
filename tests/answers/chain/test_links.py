"""Each part of the chain: what is fine, what needs a second look, what stops, and why."""

import pytest

from tests.answers.chain.sound import with_part
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part
from ullage.answers.chain_things import CylinderMaterial, Hold, SealKind
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA

FINE, LOOK, STOP, OPEN = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP, Verdict.NOT_YET


def judged(part, **changes):
    return chain_by_part(with_part(part, **changes))[part]


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"label_gas": Gas.NITROUS_OXIDE}, STOP, "The label names nitrous oxide"),
        ({"colour": "white"}, STOP, "in US, the scheme of this site, oxygen is green"),
        ({"connection": "3-5"}, STOP, "is that of nitrous oxide"),
        ({"connection": "DISS 1240"}, FINE, "DISS 1240 is that of oxygen"),
        ({"connection": "CGA 540"}, FINE, "CGA 540 is that of oxygen"),
        ({"connection": "4711"}, STOP, "none that is known for oxygen"),
        ({"connection": "1220"}, STOP, "no breathing gas"),
        ({"adapted": True}, STOP, "adaptor"),
        ({"analyser_fraction": 0.21}, STOP, "The analyser reads 21 % oxygen"),
        ({"analyser_fraction": 0.93}, FINE, "The analyser reads 93 % oxygen"),
        ({"colour": None}, OPEN, "Nobody has answered"),
    ],
)
def test_identity_needs_label_colour_and_connection_to_agree(changes, verdict, words):
    answer = judged("identity", **changes)

    assert answer.verdict is verdict
    assert any(words in line for line in answer.reasons), answer.reasons


@pytest.mark.parametrize(
    ("changes", "verdict", "source"),
    [
        ({"held": Hold.NOTHING}, STOP, "common_practice"),
        ({"held": Hold.STAND}, LOOK, "common_practice"),
        ({"held": Hold.CHAIN}, FINE, "common_practice"),
        ({"held": Hold.CHAIN, "chain_above_middle": False}, LOOK, "supply_S44"),
        ({"upright": False}, LOOK, "supply_S44"),
    ],
)
def test_a_cylinder_is_held(changes, verdict, source):
    answer = judged("secured", **changes)

    assert answer.verdict is verdict
    assert source in answer.sources


def test_where_texts_differ_on_the_chain_both_are_shown_and_one_is_chosen():
    views = judged("secured", held=Hold.CHAIN).views

    assert [view.chosen for view in views] == [True, False]


def test_a_liquefied_gas_lying_down_is_a_stop():
    from dataclasses import replace

    chain = replace(with_part("secured", upright=False), gas=Gas.NITROUS_OXIDE)
    answer = chain_by_part(chain)["secured"]

    assert answer.verdict is STOP
    assert "memory" in {line.how_known for line in answer.where_from}


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"count": 0}, STOP, "There is no seal"),
        ({"count": 2}, STOP, "There are 2 seals"),
        ({"count": None}, OPEN, "Nobody has answered"),
        ({"new": False, "kind": SealKind.CRUSH}, STOP, "crush gasket was used again"),
        ({"new": False, "kind": SealKind.ELASTOMER}, LOOK, "a new one is the rule here"),
        ({"new": False}, LOOK, "nobody has said of which kind"),
        ({"greased": True}, STOP, "grease, sealant or tape"),
        ({"damaged": True}, STOP, "The seal is damaged"),
        ({"takes_seal": False, "count": None, "new": None}, FINE, "takes no seal"),
    ],
)
def test_exactly_one_new_seal_never_greased(changes, verdict, words):
    answer = judged("seal", **changes)

    assert answer.verdict is verdict
    assert any(words in line for line in answer.reasons), answer.reasons


def test_no_oil_near_oxygen():
    answer = judged("oil_free", clean=False)

    assert answer.verdict is STOP
    assert "common" in {line.how_known for line in answer.where_from}


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"ends_gas": Gas.AIR}, STOP, "made for air"),
        ({"laboratory_tubing": True}, STOP, "can burst"),
        ({"rated": False}, STOP, "not rated"),
        ({"damaged": True}, STOP, "home-made joint"),
        ({"colour": "green"}, FINE, "green, as oxygen is in US"),
        ({"colour": "white"}, LOOK, "oxygen is green"),
        ({"rated": None}, OPEN, "Nobody has answered"),
    ],
)
def test_the_hose_is_for_the_gas_rated_and_whole(changes, verdict, words):
    answer = judged("hose", **changes)

    assert answer.verdict is verdict
    assert any(words in line for line in answer.reasons), answer.reasons


def test_without_a_hose_there_is_none_to_judge():
    assert "hose" not in chain_by_part(with_part("hose", fitted=False))


@pytest.mark.parametrize(
    ("changes", "verdict", "words"),
    [
        ({"present": False}, STOP, "There is no reserve cylinder"),
        ({"present": False, "single_source_allowed": True}, LOOK, "the site lets this place"),
        ({"gauge_kpa": 150 * PSI_KPA}, STOP, "it is empty"),
        ({"gauge_kpa": 900 * PSI_KPA}, LOOK, "less than half"),
        ({"gauge_kpa": 1500 * PSI_KPA}, LOOK, "it is not full"),
        ({"gauge_kpa": 1800 * PSI_KPA}, FINE, "full"),
        ({"full_gauge_kpa": None}, OPEN, "Nobody has answered"),
        ({"wrench": False}, STOP, "wrench is missing"),
        ({"valve_closed": False}, LOOK, "empties without a sign"),
    ],
)
def test_the_reserve_is_full_with_its_wrench_and_its_valve_closed(changes, verdict, words):
    answer = judged("reserve", **changes)

    assert answer.verdict is verdict
    assert any(words in line for line in answer.reasons), answer.reasons


def test_that_a_reserve_counts_as_full_from_a_share_on_is_assumed_aloud():
    answer = judged("reserve")

    assert "A reserve counts as full from 90 % of its filling pressure on." in answer.assumptions


@pytest.mark.parametrize(
    ("changes", "verdict"), [({"present": False}, STOP), ({"fits": False}, LOOK)]
)
def test_a_self_inflating_bag_is_at_hand(changes, verdict):
    assert judged("bag", **changes).verdict is verdict


AT_MAGNET = {
    "room_marked": True,
    "cylinder_material": CylinderMaterial.ALUMINIUM,
    "regulator_marked": True,
}


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, FINE),
        ({"cylinder_material": CylinderMaterial.STEEL}, STOP),
        ({"cylinder_material": CylinderMaterial.OTHER}, LOOK),
        ({"cylinder_material": None}, OPEN),
        ({"regulator_marked": False}, STOP),
        ({"regulator_marked": None}, OPEN),
    ],
)
def test_near_a_magnet_steel_and_an_unmarked_regulator_are_a_stop(changes, verdict):
    answer = judged("magnet", **{**AT_MAGNET, **changes})

    assert answer.verdict is verdict
    assert answer.cautions


def test_the_magnet_rule_is_common_practice():
    answer = judged("magnet", **{**AT_MAGNET, "cylinder_material": CylinderMaterial.STEEL})

    assert {line.how_known for line in answer.where_from} == {"seen", "common"}
