"""One judgement for each kind of step: what was entered becomes an answer.

A new kind is a word in `MeasureKind`, its fields in `fields`, and one line here.
"""

from collections.abc import Callable, Mapping

from ullage.answers.answer import Answer
from ullage.answers.checks.asked import Asked
from ullage.answers.checks.measures.flows import flush, oxygen_analyser, suction_bulb
from ullage.answers.checks.measures.leak import leak
from ullage.answers.checks.measures.plain import coaxial, one_way_valves, yes_no
from ullage.answers.checks.measures.relief import relief_valve, scavenging
from ullage.answers.checks.measures.supply_side import (
    high_pressure_fall,
    pipeline_alarm,
    regulator,
    reserve,
)
from ullage.answers.checks.things import MeasureKind

__all__ = ["MEASURES"]

#: Kind of a step -> what judges it.
MEASURES: Mapping[MeasureKind, Callable[[Asked], Answer]] = {
    MeasureKind.YES_NO: yes_no,
    MeasureKind.LEAK: leak,
    MeasureKind.HIGH_PRESSURE_FALL: high_pressure_fall,
    MeasureKind.SUCTION_BULB: suction_bulb,
    MeasureKind.RESERVE: reserve,
    MeasureKind.REGULATOR: regulator,
    MeasureKind.PIPELINE_ALARM: pipeline_alarm,
    MeasureKind.FLUSH: flush,
    MeasureKind.OXYGEN_ANALYSER: oxygen_analyser,
    MeasureKind.RELIEF_VALVE: relief_valve,
    MeasureKind.ONE_WAY_VALVES: one_way_valves,
    MeasureKind.COAXIAL: coaxial,
    MeasureKind.SCAVENGING: scavenging,
}
