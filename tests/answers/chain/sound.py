"""One chain in which everything is answered and in order; tests change one thing of it."""

from dataclasses import replace

from ullage.answers.chain_things import (
    Bag,
    Chain,
    Contents,
    Flowmeter,
    Hold,
    Hose,
    Identity,
    Magnet,
    OilFree,
    PlannedFlow,
    Regulator,
    RegulatorKind,
    Reserve,
    RoomAir,
    Seal,
    Secured,
    Storage,
    Stored,
    Ventilator,
)
from ullage.answers.plan import SourceKind
from ullage.answers.things import Cylinder, Place, Reading
from ullage.core.gas import C15, F70, Gas
from ullage.core.units import PSI_KPA

PLACE = Place(condition=C15, pressure_unit="psi", temperature_given=True)

SOUND = Chain(
    gas=Gas.OXYGEN,
    source=SourceKind.CYLINDER,
    place=PLACE,
    colour_scheme="us",
    country="US",
    identity=Identity(label_gas=Gas.OXYGEN, colour="green", connection="2-5", adapted=False),
    secured=Secured(held=Hold.MACHINE, upright=True),
    contents=Contents(
        cylinder=Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76),
        reading=Reading(at_min=0, gauge_kpa=1900 * PSI_KPA, temperature_k=293.15),
        needed_l=300.0,
        second_source=True,
    ),
    seal=Seal(takes_seal=True, count=1, new=True, damaged=False, greased=False),
    oil_free=OilFree(clean=True),
    regulator=Regulator(
        kind=RegulatorKind.PRESET,
        still_gauge_kpa=50 * PSI_KPA,
        flowing_gauge_kpa=48 * PSI_KPA,
        creeps=False,
    ),
    hose=Hose(fitted=True, ends_gas=Gas.OXYGEN, rated=True, laboratory_tubing=False, damaged=False),
    flowmeter=Flowmeter(
        gas=Gas.OXYGEN,
        lowest_l_min=0.1,
        highest_l_min=4.0,
        float_free=True,
        flows=(PlannedFlow(flow_l_min=1.0, system="circle", weight_kg=20.0, species="dog"),),
    ),
    reserve=Reserve(
        present=True,
        gauge_kpa=1900 * PSI_KPA,
        full_gauge_kpa=1900 * PSI_KPA,
        wrench=True,
        valve_closed=True,
    ),
    bag=Bag(present=True, fits=True),
    ventilator=Ventilator(fitted=False),
    magnet=Magnet(room_marked=False),
    room_air=RoomAir(volume_m3=30.0, changes_per_h=6.0, escaping_l=660.0),
    storage=Storage(stored=(Stored(gas=Gas.OXYGEN, contents_l=660.0, count=12),), code="nfpa99"),
)


def with_part(part: str, **changes: object) -> Chain:
    """The sound chain with fields of one part changed."""
    return replace(SOUND, **{part: replace(getattr(SOUND, part), **changes)})


def in_cubic_feet(chain):
    """The same chain at a place that counts litres as labels in the United States do."""
    return replace(chain, place=replace(chain.place, condition=F70))
