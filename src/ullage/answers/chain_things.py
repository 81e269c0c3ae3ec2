"""What a person found along the chain from source to flowmeter; None where nobody has said.

The question that settles each field stands in `chain_questions`. Amounts are in our units.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from ullage.answers.plan import SourceKind
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.checks import each_said, not_negative, positive, within
from ullage.core.gas import Gas

__all__ = [
    "Bag",
    "Chain",
    "Contents",
    "CylinderMaterial",
    "Flowmeter",
    "Hold",
    "Hose",
    "Identity",
    "Magnet",
    "OilFree",
    "PlannedFlow",
    "Regulator",
    "RegulatorKind",
    "Reserve",
    "RoomAir",
    "Seal",
    "SealKind",
    "Secured",
    "Storage",
    "Stored",
    "Ventilator",
]


class Hold(StrEnum):
    """What holds a cylinder."""

    MACHINE = "on the machine"
    CHAIN = "chained to the wall"
    STAND = "in a stand or cart"
    NOTHING = "nothing"


class RegulatorKind(StrEnum):
    """What kind of regulator stands between cylinder and machine."""

    PRESET = "preset"
    ADJUSTABLE = "adjustable"
    FLOW_METERING = "flow-metering"


class SealKind(StrEnum):
    """What the seal of a connection is made of."""

    ELASTOMER = "metal-bound elastomer"
    CRUSH = "crush gasket"


class CylinderMaterial(StrEnum):
    """What a cylinder is made of."""

    STEEL = "steel"
    ALUMINIUM = "aluminium"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """Label, colour and connection: the three that must name one gas."""

    label_gas: Gas | None = None
    colour: str | None = None
    connection: str | None = None
    adapted: bool | None = None
    analyser_fraction: float | None = None

    def __post_init__(self) -> None:
        if self.analyser_fraction is not None:
            within("analyser_fraction", self.analyser_fraction, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Secured:
    """What holds the cylinder."""

    held: Hold | None = None
    upright: bool | None = None
    chain_above_middle: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What is in the cylinder, and what the plan asks of it."""

    cylinder: Cylinder | None = None
    reading: Reading | None = None
    needed_l: float | None = None
    second_source: bool | None = None
    policy: ReservePolicy = field(default_factory=ReservePolicy)

    def __post_init__(self) -> None:
        if self.needed_l is not None:
            not_negative("needed_l", self.needed_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class Regulator:
    """The regulator, or the outlet of a pipeline: what kind, and what its gauge shows."""

    kind: RegulatorKind | None = None
    still_gauge_kpa: float | None = None
    flowing_gauge_kpa: float | None = None
    creeps: bool | None = None
    nominal_gauge_kpa: float | None = None

    def __post_init__(self) -> None:
        each_said(self, not_negative, "still_gauge_kpa", "flowing_gauge_kpa", "nominal_gauge_kpa")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    """The supply hose from source to machine."""

    fitted: bool | None = None
    ends_gas: Gas | None = None
    colour: str | None = None
    rated: bool | None = None
    laboratory_tubing: bool | None = None
    damaged: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """The connector and its seal."""

    takes_seal: bool | None = None
    count: int | None = None
    new: bool | None = None
    kind: SealKind | None = None
    damaged: bool | None = None
    greased: bool | None = None

    def __post_init__(self) -> None:
        if self.count is not None:
            not_negative("count", self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class OilFree:
    """Whether oil or grease can reach the gas."""

    clean: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFlow:
    """One flow that the plan sets, over how many places of which system, for what animal."""

    flow_l_min: float
    system: str = ""
    places: int = 1
    weight_kg: float | None = None
    species: str = ""
    label: str = ""

    def __post_init__(self) -> None:
        not_negative("flow_l_min", self.flow_l_min)
        positive("places", self.places)
        if self.weight_kg is not None:
            positive("weight_kg", self.weight_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flowmeter:
    """The flowmeter, and the flows that the plan sets on it."""

    gas: Gas | None = None
    lowest_l_min: float | None = None
    highest_l_min: float | None = None
    float_free: bool | None = None
    flows: tuple[PlannedFlow, ...] | None = None

    def __post_init__(self) -> None:
        if self.lowest_l_min is not None:
            not_negative("lowest_l_min", self.lowest_l_min)
        if self.highest_l_min is not None:
            positive("highest_l_min", self.highest_l_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """The reserve cylinder."""

    present: bool | None = None
    gauge_kpa: float | None = None
    full_gauge_kpa: float | None = None
    wrench: bool | None = None
    valve_closed: bool | None = None
    single_source_allowed: bool = False

    def __post_init__(self) -> None:
        if self.gauge_kpa is not None:
            not_negative("gauge_kpa", self.gauge_kpa)
        if self.full_gauge_kpa is not None:
            positive("full_gauge_kpa", self.full_gauge_kpa)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """The self-inflating bag, which needs no gas supply."""

    present: bool | None = None
    fits: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Magnet:
    """What matters where a magnet is on."""

    room_marked: bool | None = None
    cylinder_material: CylinderMaterial | None = None
    regulator_marked: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ventilator:
    """The ventilator, if one is driven from this chain."""

    fitted: bool | None = None
    gas_driven: bool | None = None
    lowest_gauge_kpa: float | None = None
    highest_gauge_kpa: float | None = None
    peak_flow_l_min: float | None = None
    supply_flow_l_min: float | None = None

    def __post_init__(self) -> None:
        each_said(
            self,
            not_negative,
            "lowest_gauge_kpa",
            "highest_gauge_kpa",
            "peak_flow_l_min",
            "supply_flow_l_min",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomAir:
    """The room into which the content would escape."""

    volume_m3: float | None = None
    changes_per_h: float | None = None
    escaping_l: float | None = None

    def __post_init__(self) -> None:
        if self.volume_m3 is not None:
            positive("volume_m3", self.volume_m3)
        each_said(self, not_negative, "changes_per_h", "escaping_l")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """One lot of cylinders in store: the gas, its litres each, how many."""

    gas: Gas
    contents_l: float
    count: int = 1

    def __post_init__(self) -> None:
        not_negative("contents_l", self.contents_l)
        not_negative("count", self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Storage:
    """What stands in store here, and by which code the site counts it."""

    stored: tuple[Stored, ...] | None = None
    code: str | None = None
    enclosed: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """One chain from source to flowmeter, as a person found it."""

    gas: Gas = Gas.OXYGEN
    source: SourceKind = SourceKind.CYLINDER
    place: Place = field(default_factory=Place)
    colour_scheme: str = "iso32"
    country: str = ""
    name: str = ""
    identity: Identity = Identity()
    secured: Secured = Secured()
    contents: Contents = Contents()
    seal: Seal = Seal()
    oil_free: OilFree = OilFree()
    regulator: Regulator = Regulator()
    hose: Hose = Hose()
    flowmeter: Flowmeter = Flowmeter()
    reserve: Reserve = Reserve()
    bag: Bag = Bag()
    ventilator: Ventilator = Ventilator()
    magnet: Magnet = Magnet()
    room_air: RoomAir = RoomAir()
    storage: Storage = Storage()
