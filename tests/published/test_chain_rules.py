"""Rules of the trade about the chain, CP-10 to CP-21: common practice, as the answers use them.

Each rule is stated as `trade_rules` states it; the answer that follows it says so under its own
name and never as a sourced value.
"""

import pytest

from tests.answers.chain.sound import SOUND, with_part
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part
from ullage.answers.chain_things import Hold, PlannedFlow, RegulatorKind
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA
from ullage.reference import fact, fact_rows

FINE, LOOK, STOP = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP


def flow(ml_min, **more):
    planned = PlannedFlow(flow_l_min=ml_min / 1000.0, system="T-piece", **more)
    return with_part("flowmeter", flows=(planned,))


#: Rule, what stands in print, part, a chain that follows it, one that does not, its verdict.
RULES = [
    ("CP-10", "50", "regulator", SOUND, with_part("regulator", still_gauge_kpa=65 * PSI_KPA), STOP),
    (
        "CP-11",
        "true",
        "regulator",
        SOUND,
        with_part("regulator", kind=RegulatorKind.ADJUSTABLE),
        LOOK,
    ),
    (
        "CP-12",
        "true",
        "regulator",
        SOUND,
        with_part("regulator", kind=RegulatorKind.FLOW_METERING),
        LOOK,
    ),
    ("CP-13", "true", "hose", SOUND, with_part("hose", ends_gas=Gas.AIR), STOP),
    ("CP-14", "false", "hose", SOUND, with_part("hose", laboratory_tubing=True), STOP),
    ("CP-15", "500", "flowmeter", flow(500.0), flow(499.0), LOOK),
    ("CP-19", "1", "seal", SOUND, with_part("seal", new=False), LOOK),
    ("CP-20", "false", "oil_free", SOUND, with_part("oil_free", clean=False), STOP),
    ("CP-21", "true", "secured", SOUND, with_part("secured", held=Hold.NOTHING), STOP),
]


@pytest.mark.parametrize(("rule", "printed", "part", "good", "bad", "verdict"), RULES)
def test_a_rule_of_the_trade_is_followed_under_its_own_name(
    rule, printed, part, good, bad, verdict
):
    kept, broken = chain_by_part(good)[part], chain_by_part(bad)[part]

    assert fact("trade_rules", rule).value == printed
    assert kept.verdict is FINE
    assert broken.verdict is verdict
    assert "common" in {line.how_known for line in broken.where_from}


def test_no_rule_of_the_trade_about_the_chain_is_shown_as_seen():
    said = {row.key for row in fact_rows("trade_rules")}
    for answer in chain_by_part(SOUND).values():
        for line in answer.where_from:
            if line.text[:5] in said:
                assert line.how_known == "common", line.text


@pytest.mark.parametrize("ml_min", [499.0, 250.0, 100.0])
def test_below_the_floor_nothing_but_a_second_look(ml_min):
    assert chain_by_part(flow(ml_min))["flowmeter"].verdict is LOOK


# CP-15 beside the published rule: 200 mL/kg/min (machine_S02) asks for more above 2.5 kg.
@pytest.mark.published("machine_S02")
@pytest.mark.parametrize(("kg", "verdict"), [(2.4, FINE), (2.5, FINE), (2.6, LOOK)])
def test_above_two_and_a_half_kilograms_the_floor_is_not_enough(kg, verdict):
    assert chain_by_part(flow(500.0, weight_kg=kg))["flowmeter"].verdict is verdict
