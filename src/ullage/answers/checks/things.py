"""What a check is made of: fields, steps, lists, limits and entries; plain, frozen, additive.

Numbers are in the units used inside: kPa, L, L/min, min; a field says how people type them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from ullage.answers.answer import Answer, WhereFrom

__all__ = [
    "Change",
    "ChangeKind",
    "CheckEntry",
    "CheckField",
    "CheckList",
    "CheckStep",
    "Lasts",
    "LeftOut",
    "Limit",
    "MeasureKind",
]


class MeasureKind(StrEnum):
    """How a step is answered: by yes or no, or by a measurement that becomes a result."""

    YES_NO = "yes_no"
    LEAK = "leak"
    HIGH_PRESSURE_FALL = "high_pressure_fall"
    SUCTION_BULB = "suction_bulb"
    RESERVE = "reserve"
    REGULATOR = "regulator"
    PIPELINE_ALARM = "pipeline_alarm"
    FLUSH = "flush"
    OXYGEN_ANALYSER = "oxygen_analyser"
    RELIEF_VALVE = "relief_valve"
    ONE_WAY_VALVES = "one_way_valves"
    COAXIAL = "coaxial"
    SCAVENGING = "scavenging"


class Lasts(StrEnum):
    """For how long the result of a list stands, if nothing is changed."""

    DAY = "the day"
    CASE = "one case"
    MONTH = "a month"
    CHANGE = "until the next change"


class ChangeKind(StrEnum):
    """What was changed or done since a check, after which some steps must be done again."""

    CASE = "case"
    CONNECTION = "connection"
    CYLINDER = "cylinder"
    REGULATOR = "regulator"
    ABSORBENT = "absorbent"
    HOSE = "hose"
    BAG = "bag"
    VAPORIZER = "vaporizer"
    SCAVENGING = "scavenging"
    SERVICE = "service"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckField:
    """One thing that a step asks for.

    ``kind`` is "yes or no", "choice" or "number". A number is kept in ``unit``; people type it
    as ``quantity`` and see ``shown_unit``. ``way`` groups fields that belong to one way of
    measuring, where a step offers several; every way may be left empty but one. What lies outside
    ``low`` to ``high``, in ``unit``, is no reading of this kind and is refused.
    """

    name: str
    question: str
    kind: str
    quantity: str = ""
    unit: str = ""
    shown_unit: str = ""
    words: tuple[str, ...] = ()
    required: bool = True
    way: str = ""
    hint: str = ""
    low: float = 0.0
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckStep:
    """One step of a check: what to do, what good looks like, and on whose word.

    ``asks_no_animal``: the step shuts the relief valve or plugs the patient end, so "no animal
    connected" is asked first, as an entry of its own. ``waits_s``: waits that run as timers.
    ``covers``: numbers of the steps of the fact base's list. ``grave``: failing it, the machine may
    not be used. ``each_case``: no check of the morning stands for it. ``again_after``: changes
    after which it must be done again.
    """

    key: str
    title: str
    good: str
    kind: MeasureKind
    fields: tuple[CheckField, ...]
    method: str
    where_from: tuple[WhereFrom, ...]
    caution: str = ""
    asks_no_animal: bool = False
    waits_s: tuple[float, ...] = ()
    covers: tuple[str, ...] = ()
    required: bool = False
    closes: bool = False
    grave: bool = True
    each_case: bool = False
    again_after: tuple[ChangeKind, ...] = ()
    todo: str = ""
    may_be_absent: bool = False
    when_absent: str = ""
    absent_is_fine: bool = False
    with_what: str = ""

    @property
    def measures(self) -> bool:
        """True when the step is a measurement and not a yes or no."""
        return self.kind is not MeasureKind.YES_NO


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """One step of the fact base's list that a list leaves out, and why where the list says so."""

    number: str
    title: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckList:
    """A list of steps, in their order; the last one opens the relief valve.

    ``based_on`` names the shipped list whose required steps hold. ``covers``: steps of the fact
    base's list that every check fulfils by being kept. ``left_out``: number -> why. ``then`` names
    the shipped list that is done before each case after this one.
    """

    key: str
    title: str
    when: str
    lasts: Lasts
    steps: tuple[CheckStep, ...]
    based_on: str = ""
    note: str = ""
    after: tuple[ChangeKind, ...] = ()
    covers: tuple[str, ...] = ()
    left_out: Mapping[str, str] = field(default_factory=dict)
    then: str = ""

    def step(self, key: str) -> CheckStep | None:
        """The step of that key; None where the list has none."""
        return next((one for one in self.steps if one.key == key), None)

    @property
    def required(self) -> tuple[str, ...]:
        """The keys that an edited list may not leave out."""
        return tuple(one.key for one in self.steps if one.required)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit that a measurement is held against, and on whose word.

    ``low`` and ``high`` are in ``unit``; None where there is no such side. ``at_kpa``: the
    pressure at which it holds. ``within_min``: the time that it speaks of. ``inclusive``: a
    result that equals it passes.
    """

    name: str
    key: str
    label: str
    unit: str
    where_from: WhereFrom
    low: float | None = None
    high: float | None = None
    at_kpa: float | None = None
    within_min: float | None = None
    inclusive: bool = True
    usual: bool = False

    @property
    def standing(self) -> str:
        """How the limit is known: seen, memory, common, site."""
        return self.where_from.how_known


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """One entry of a check: which step, and its result; the last entry of a step counts."""

    step: str
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Something that was changed or done at a time, after a check."""

    kind: ChangeKind
    at: datetime
