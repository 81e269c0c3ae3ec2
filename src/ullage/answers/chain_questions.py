"""The question that settles each field of a chain; forms, files and answers ask in these words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from types import UnionType
from typing import Any, get_args, get_type_hints

from ullage.answers.chain_things import (
    Bag,
    Chain,
    Contents,
    Flowmeter,
    Hose,
    Identity,
    Magnet,
    OilFree,
    Regulator,
    Reserve,
    RoomAir,
    Seal,
    Secured,
    Storage,
    Ventilator,
)
from ullage.answers.endings import ending_of
from ullage.answers.formula_arguments import choices

__all__ = ["QUESTIONS", "AskedField", "asked_fields", "question_of"]

#: Part of the chain -> field -> question.
QUESTIONS: Mapping[type[Any], Mapping[str, str]] = {
    Identity: {
        "label_gas": "Which gas does the label name?",
        "colour": "Which colour marks the gas on the shoulder or the outlet?",
        "connection": "Which pins, DISS or CGA number does the connection have?",
        "adapted": "Is there an adaptor, or was the fit forced?",
        "analyser_fraction": "What does the oxygen analyser read?",
    },
    Secured: {
        "held": "What holds the cylinder: machine, chain, stand, or nothing?",
        "upright": "Does the cylinder stand upright?",
        "chain_above_middle": "Does the chain lie above the middle and below the shoulder?",
    },
    Contents: {
        "cylinder": "Which cylinder is it, and what is its water capacity?",
        "reading": "What does the gauge, or the scale, read?",
        "needed_l": "How much gas does the plan need?",
        "second_source": "Is there a second source of this gas, ready to use?",
    },
    Regulator: {
        "kind": "Is the regulator preset, adjustable or flow-metering?",
        "still_gauge_kpa": "What does the outlet gauge read with no flow?",
        "flowing_gauge_kpa": "What does the outlet gauge read at working flow?",
        "creeps": "Does the outlet pressure climb while nothing flows?",
    },
    Hose: {
        "fitted": "Is there a hose between the source and the machine?",
        "ends_gas": "For which gas are the ends of the hose made?",
        "colour": "Which colour does the hose have?",
        "rated": "Is it a medical gas hose rated for the line pressure?",
        "laboratory_tubing": "Is any of it laboratory or clear plastic tubing?",
        "damaged": "Is there a crack, kink, oil or home-made joint?",
    },
    Seal: {
        "takes_seal": "Does this connection take a seal (a yoke always does)?",
        "count": "How many seals are in the connection?",
        "new": "Is the seal new at this change of cylinder?",
        "kind": "Is the seal metal-bound elastomer or a crush gasket?",
        "damaged": "Is the seal damaged, or a pin bent or missing?",
        "greased": "Is there grease, sealant or tape on the connection?",
    },
    OilFree: {
        "clean": "Are parts, hands and tools free of oil, grease, hand cream, sealant and tape?",
    },
    Flowmeter: {
        "gas": "For which gas is the flowmeter tube made?",
        "lowest_l_min": "What is the lowest flow marked on the tube?",
        "highest_l_min": "What is the highest flow marked on the tube?",
        "float_free": "Does the float move freely, and rest at zero when shut?",
        "flows": "Which flows are planned?",
    },
    Reserve: {
        "present": "Is a reserve oxygen cylinder on the machine?",
        "gauge_kpa": "What did the reserve read when its valve was opened today?",
        "full_gauge_kpa": "What is the filling pressure of the reserve?",
        "wrench": "Is the wrench or key on the machine?",
        "valve_closed": "Is the valve of the reserve closed?",
    },
    Bag: {
        "present": "Is a self-inflating bag within reach?",
        "fits": "Does its size and connector suit the animals of today?",
    },
    Magnet: {
        "room_marked": "Is this room marked as holding a magnet?",
        "cylinder_material": "Of what is the cylinder made, by its stamp or label?",
        "regulator_marked": "Is the regulator marked for use near the magnet?",
    },
    Ventilator: {
        "fitted": "Is a ventilator fed from this chain?",
        "gas_driven": "Is the ventilator driven by gas?",
        "lowest_gauge_kpa": "What supply pressure does its maker ask at least?",
        "highest_gauge_kpa": "What supply pressure does its maker allow at most?",
        "peak_flow_l_min": "What flow does the ventilator draw at its peak?",
        "supply_flow_l_min": "What flow can the regulator or outlet deliver?",
    },
    RoomAir: {
        "volume_m3": "How large is the room?",
        "changes_per_h": "How often an hour is its air renewed?",
        "escaping_l": "How much gas could escape at once?",
    },
    Storage: {
        "stored": "Which cylinders stand in store here?",
        "code": "Which storage code does the site follow?",
        "enclosed": "Has the store the enclosure that this code asks for?",
    },
}


def question_of(part: Any, name: str) -> str:
    """The question that settles one field of a part of the chain.

    >>> from ullage.answers.chain_things import Bag
    >>> question_of(Bag(), "present")
    'Is a self-inflating bag within reach?'
    """
    return QUESTIONS[type(part)][name]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedField:
    """One field of a chain as a form asks for it: yes or no, a word of several, a number, text.

    ``kind`` is "yes or no", "choice", "number", "count", "text" or "thing"; a number is in
    ``unit``, and ``quantity`` says in which kind of quantity people may type it.
    """

    part: str
    name: str
    question: str
    kind: str
    words: tuple[str, ...] = ()
    unit: str = ""
    quantity: str = ""


def asked_fields() -> Iterator[AskedField]:
    """Every question of a chain, part by part, in the order in which gas meets them.

    >>> next(asked_fields()).question
    'Which gas does the label name?'
    """
    parts = get_type_hints(Chain)
    for part in (one.name for one in fields(Chain)):
        kinds = get_type_hints(parts[part])
        for name, question in QUESTIONS.get(parts[part], {}).items():
            yield _asked(part, name, question, _bare(kinds[name]))


def _bare(annotation: Any) -> Any:
    return get_args(annotation)[0] if isinstance(annotation, UnionType) else annotation


def _asked(part: str, name: str, question: str, kind: Any) -> AskedField:
    words = choices(kind)
    ending = ending_of(name)
    is_number = kind is float
    return AskedField(
        part=part,
        name=name,
        question=question,
        kind={bool: "yes or no", float: "number", int: "count", str: "text"}.get(
            kind, "choice" if words else "thing"
        ),
        words=words,
        unit=ending.unit if is_number else "",
        quantity=ending.kind if is_number else "",
    )
