"""What each kind of step asks for. A number is typed in the shown unit and kept in ours."""

from collections.abc import Mapping

from ullage.answers.checks.things import CheckField, MeasureKind
from ullage.answers.endings import ending_of

__all__ = ["ABSENT", "FIELDS", "GOOD"]

#: Names of the two fields of a step that is answered by yes or no.
GOOD, ABSENT = "good", "absent"


def _asks(name: str, question: str, shown: str = "", **more: str | bool) -> CheckField:
    """A number, in the unit that the ending of its name says."""
    ending = ending_of(name)
    return CheckField(
        name=name,
        question=question,
        kind="number",
        quantity=ending.kind,
        unit=ending.unit if ending.kind != "time" else "min",
        shown_unit=shown or ending.unit,
        required=bool(more.get("required", True)),
        way=str(more.get("way", "")),
        hint=str(more.get("hint", "")),
        low=-_MOST["cmH2O"] if more.get("below_zero") else 0.0,
        high=_MOST.get(shown, _MOST.get(ending.kind)),
    )


#: More than this, in our units, is a slip of the unit and no reading.
_MOST = {"cmH2O": 20.0, "psi": 31_000.0, "%": 1.0, "s": 60.0, "time": 1440.0, "flow": 150.0} | {
    "volume": 100.0,
    "volume per pressure": 10.0,
}


def _yes(name: str, question: str, *, required: bool = True, way: str = "") -> CheckField:
    return CheckField(name=name, question=question, kind="yes or no", required=required, way=way)


def _words(name: str, question: str, *words: str, required: bool = True) -> CheckField:
    return CheckField(name=name, question=question, kind="choice", words=words, required=required)


_HOLD, _FALL = "flow that holds", "fall of pressure"
_KNOWN, _SYRINGE, _PARTS = "compliance known", "compliance by syringe", "compliance from parts"

#: Kind of a step -> its fields, in the order in which they are asked.
FIELDS: Mapping[MeasureKind, tuple[CheckField, ...]] = {
    MeasureKind.YES_NO: (_yes(GOOD, "Is it as described?"),),
    MeasureKind.LEAK: (
        _asks("held_kpa", "Pressure held", "cmH2O", way=_HOLD, required=False),
        _asks("held_flow_l_min", "Flow that holds it", "mL/min", way=_HOLD, required=False),
        _asks("started_kpa", "Pressure at first", "cmH2O", way=_FALL, required=False),
        _asks("ended_kpa", "Pressure at the end", "cmH2O", way=_FALL, required=False),
        _asks("elapsed_min", "Time that it took", "s", way=_FALL, required=False),
        _asks(
            "compliance_l_kpa",
            "Compliance as measured before",
            "mL/cmH2O",
            way=_KNOWN,
            required=False,
            hint="With the same bag and hoses.",
        ),
        _asks("injected_l", "Volume pushed in by syringe", "mL", way=_SYRINGE, required=False),
        _asks("rise_kpa", "Rise of pressure that it made", "cmH2O", way=_SYRINGE, required=False),
        _asks(
            "system_l",
            "Volume of the closed system, bag included",
            "L",
            way=_PARTS,
            required=False,
            hint="Hoses, absorber, bag as filled.",
        ),
        _yes("bag_on", "Is a bag on, more than half full?", way=_PARTS, required=False),
        _yes("hoses_on", "Are the two hoses on?", way=_PARTS, required=False),
    ),
    MeasureKind.HIGH_PRESSURE_FALL: (
        _asks("started_kpa", "Gauge at first", "psi"),
        _asks("ended_kpa", "Gauge at the end", "psi"),
        _asks("elapsed_min", "Time between", "min"),
        _words("cylinder", "Size of the cylinder", "small", "large", required=False),
        _asks(
            "trapped_l",
            "Volume between closed valve and flow controls",
            "mL",
            required=False,
            hint="Without it a fall cannot be told as a flow.",
        ),
    ),
    MeasureKind.SUCTION_BULB: (
        _asks("flat_off_min", "Stayed flat, vaporizers off", "s"),
        _asks("flat_on_min", "Stayed flat, each vaporizer on: the shortest", "s"),
    ),
    MeasureKind.RESERVE: (
        _asks("gauge_kpa", "Gauge of the reserve", "psi"),
        _yes("closed_again", "Is its valve closed again?"),
    ),
    MeasureKind.REGULATOR: (
        _asks("still_kpa", "Outlet with no flow", "psi"),
        _asks("flowing_kpa", "Outlet at working flow", "psi"),
        _asks("later_kpa", "Outlet with no flow again, after the wait", "psi"),
        _asks("elapsed_min", "How long you waited", "min"),
        _asks("nominal_kpa", "Pressure that its maker states", "psi", required=False),
    ),
    MeasureKind.PIPELINE_ALARM: (
        _asks("line_kpa", "Line pressure with no flow", "psi"),
        _yes("alarm_sounded", "Did the oxygen-failure alarm sound?"),
        _asks("alarm_kpa", "Line pressure when it sounded", "psi", required=False),
    ),
    MeasureKind.FLUSH: (
        _asks("bag_l", "Volume at which the bag is full", "L"),
        _asks("elapsed_min", "Time from empty until full", "s"),
    ),
    MeasureKind.OXYGEN_ANALYSER: (
        _asks("air_fraction", "Reading in room air", "%"),
        _asks("oxygen_fraction", "Reading in oxygen", "%"),
    ),
    MeasureKind.RELIEF_VALVE: (
        _yes("fell_at_once", "Opened under pressure, did the needle fall at once?"),
        _asks("open_kpa", "Highest pressure with it open, at high flow", "cmH2O"),
    ),
    MeasureKind.ONE_WAY_VALVES: (
        _yes("inspiratory_moves", "Does the inspiratory valve move and close?"),
        _yes("expiratory_moves", "Does the expiratory valve move and close?"),
        _yes("goes_round", "Does gas go round from one bag to the other?"),
        _yes("resistance_normal", "Is the resistance normal both ways?"),
    ),
    MeasureKind.COAXIAL: (
        _words("way", "How was it tried?", "inner tube blocked", "flush with open end"),
        _yes("as_expected", "Did the float dip, or the bag empty?"),
    ),
    MeasureKind.SCAVENGING: (
        _asks(
            "still_kpa",
            "Pressure with no flow",
            "cmH2O",
            below_zero=True,
            hint="Below zero with a minus.",
        ),
        _asks("flush_kpa", "Highest pressure on flush", "cmH2O", below_zero=True),
    ),
}
