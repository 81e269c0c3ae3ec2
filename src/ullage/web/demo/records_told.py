"""What happened in the recorded cases of the practice world, minute by minute."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from ullage.answers.record.fixed import utc_text
from ullage.answers.record.things import EntryKind, Meaning
from ullage.answers.weights import weight_text
from ullage.web.accounts.selectors import User
from ullage.web.cases.selectors import rules_of
from ullage.web.cases.services import Opening, case_ready
from ullage.web.days.selectors import PlannedCase
from ullage.web.demo.build import World
from ullage.web.demo.records import (
    Course,
    Teller,
    grouped,
    planned_named,
    recovered,
    told_record,
)
from ullage.web.machines.selectors import Machine, machines_of
from ullage.web.sites.selectors import Site
from ullage.web.sites.services import site_change

__all__ = ["records_of_the_world"]

_DRUG, _FLUID = EntryKind.DRUG, EntryKind.FLUID
#: What the practice site has set for its records; each with why.
RULES = {
    "intervals": {
        "sheep, recovery": {"minutes": 5.0, "why": "Until it stands; adopted in January."},
        "mouse, anaesthesia": {"minutes": 15.0, "why": "Groups on the mask bench."},
    },
    "protocols": {"S-14": {"minutes": 5.0, "why": "Item 7 of the protocol."}},
    "groups": True,
    "recovery": {"sheep": {"own": ["It stands by itself."], "why": "Rule 9, adopted in January."}},
    "keeping": ["aspa"],
    "own_years": 10.0,
}
_SHEEP = {
    "strain": "Texel cross",
    "sex": "female",
    "age": "3 years",
    "protocol": "S-14",
    "procedure": "hind-limb plate, left",
    "place": "Theatre 2",
    "people": "M. Ostrander, anaesthesia; A. Vray, responsible veterinarian; T. Kell, surgeon",
    "committee": "Fennel Lane committee, licence S-14",
    "source": "Fennel Lane farm",
    "pain relief": "buprenorphine before, meloxicam after",
    "endpoints": "as in protocol S-14, item 12",
    "reason": "ruminant, orthopaedic procedure of 90 minutes",
}
_SHEEP_COURSE = Course(
    every_min=5.0,
    first_min=10.0,
    values={
        "heart_rate": ("112", "9", "104", "98", "96", "94", "95", "92", "96", "104", "98", "94",
                       "92", "91", "92", "93", "92"),
        "respiratory_rate": ("24", "20", "18", "17", "16", "16", "16", "15", "16", "18", "16",
                             "16", "16", "15", "16", "16", "16"),
        "cuff_systolic": ("124 mmHg", "118 mmHg", "112 mmHg", "110 mmHg", "108 mmHg", "106 mmHg",
                          "108 mmHg", "108 mmHg", "112 mmHg", "122 mmHg", "114 mmHg", "110 mmHg",
                          "110 mmHg", "108 mmHg", "110 mmHg", "110 mmHg", "110 mmHg"),
        "cuff_mean": ("98 mmHg", "92 mmHg", "86 mmHg", "84 mmHg", "82 mmHg", "80 mmHg",
                      "82 mmHg", "82 mmHg", "85 mmHg", "94 mmHg", "86 mmHg", "83 mmHg",
                      "82 mmHg", "81 mmHg", "82 mmHg", "82 mmHg", "82 mmHg"),
        "cuff_diastolic": ("82 mmHg", "78 mmHg", "72 mmHg", "70 mmHg", "68 mmHg", "66 mmHg",
                           "68 mmHg", "68 mmHg", "70 mmHg", "78 mmHg", "72 mmHg", "68 mmHg",
                           "68 mmHg", "67 mmHg", "68 mmHg", "68 mmHg", "68 mmHg"),
        "oxygen_saturation": ("97 %", "97 %", "98 %", "98 %", "97 %", "98 %", "98 %", "97 %",
                              "97 %", "98 %", "97 %", "97 %", "97 %", "97 %", "98 %", "97 %",
                              "97 %"),
        "end_tidal_co2": ("38 mmHg", "40 mmHg", "42 mmHg", "43 mmHg", "45 mmHg", "46 mmHg",
                          "44 mmHg", "43 mmHg", "42 mmHg", "41 mmHg", "42 mmHg", "42 mmHg",
                          "42 mmHg", "42 mmHg", "42 mmHg", "42 mmHg", "42 mmHg"),
        "inspired_co2": ("0 mmHg", "0 mmHg", "0 mmHg", "1 mmHg", "0 mmHg", "0 mmHg", "0 mmHg",
                         "0 mmHg", "0 mmHg", "0 mmHg", "0 mmHg", "0 mmHg", "0 mmHg", "0 mmHg",
                         "0 mmHg", "0 mmHg", "0 mmHg"),
        "temperature_gullet": ("39.1 °C", "", "39.0 °C", "", "38.9 °C", "", "38.8 °C", "",
                               "38.7 °C", "", "38.7 °C", "", "38.6 °C", "", "38.6 °C"),
        "end_tidal_isoflurane": ("", "", "1.5 %", "", "1.6 %", "", "1.6 %", "", "1.5 %", "",
                                 "1.5 %", "", "1.6 %", "", "1.6 %"),
        "eyelid": ("", "brisk", "", "", "weak", "", "", "weak", "", "", "weak", "", "", "weak"),
        "jaw": ("", "some", "", "", "slack", "", "", "slack", "", "", "slack", "", "", "slack"),
    },
)  # fmt: skip


def records_of_the_world(world: World) -> None:
    """Tell the records of the first site; after the answers of today are there.

    One is closed and signed, one of a group is closed, two run, one recovers, one is ready.
    """
    site = world.sites[0]
    lead, people = world.people["lead"], world.people
    why = "Adopted at the meeting of January."
    facts = {"record_rules": RULES}
    site_change(site=site, by=lead, section="records", facts=facts, reason=why)
    machines = {one.name: one for one in machines_of(site)}
    _tansy(site, machines["Heron"], people, world.now)
    _mice_before(site, machines["Siskin"], people, world.now)
    _bracken(site, machines["Heron"], people, world.now)
    _mice_now(site, machines["Siskin"], people, world.now)
    _harebell(site, machines["Wren"], people, world.now)
    _clover(site, people)


def _opening(planned: PlannedCase, *, is_group: bool = False) -> Opening:
    return Opening(
        machine=planned.machine,
        name=planned.name,
        species=planned.species,
        planned=planned,
        is_group=is_group,
    )


def _weight(planned: PlannedCase) -> str:
    return weight_text(planned.weight_kg) if planned.weight_kg else ""


def _given(teller: Teller, weight_kg: float) -> None:
    """What a sheep was given before and at the beginning, by its weight."""
    told = (
        (-30.0, "midazolam", 0.3, "mg", 5.0, "into a muscle"),
        (-30.0, "buprenorphine", 0.01, "mg", 0.3, "into a muscle"),
        (-2.0, "propofol", 4.0, "mg", 10.0, "into a vein"),
    )
    for minute, drug, per_kg, unit, strength, route in told:
        amount = per_kg * weight_kg
        teller.seen(
            minute, _DRUG, drug, f"{per_kg:g} {unit}/kg", dose=f"{per_kg:g} {unit}/kg",
            concentration=f"{strength:g} mg/mL", volume=f"{amount / strength:.1f} mL", route=route,
            lot=f"L-{drug[:3].upper()}7", expiry="2027-08",
        )  # fmt: skip
    teller.seen(
        0.0, _FLUID, "lactated Ringer's", f"{5 * weight_kg:.0f} mL/h",
        rate=f"{5 * weight_kg:.0f} mL/h", route="into a vein",
    )  # fmt: skip


def _sheep_under(teller: Teller, planned: PlannedCase, until_min: float) -> None:
    """A sheep from its premedication to a minute: flows as planned, and what was seen."""
    weight_kg = planned.weight_kg or 60.0
    prep_min = float(planned.phases[0]["minutes"])
    hold = planned.phases[1]
    _given(teller, weight_kg)
    teller.case(0.0, {"state": "running"})
    teller.event(0.0, "anaesthesia began")
    teller.set(
        0.0, agent="isoflurane", carrier="oxygen", breathing_system="circle",
        airway="tracheal tube", induction="into a vein", dial="3.0 %",
        flow_oxygen=f"{planned.phases[0]['oxygen_l_min']:g} L/min",
    )  # fmt: skip
    teller.event(2.0, "tube in", "9.0 mm, cuff holds 20 cmH2O")
    teller.event(6.0, "connected")
    teller.event(6.2, "relief valve open")
    teller.event(7.0, "second source at hand", "reserve cylinder on Heron")
    teller.set(8.0, ventilation="breathing by itself", heating="warm air blanket")
    teller.set(10.0, phase="preparation", dial="2.5 %")
    teller.set(18.0, dial="2.0 %")
    teller.set(
        prep_min, flow_oxygen=f"{hold['oxygen_l_min']:g} L/min",
        flow_air=f"{hold['air_l_min']:g} L/min",
    )  # fmt: skip
    teller.set(prep_min + 1.0, ventilation="ventilator, by volume")
    teller.event(30.0, "procedure began", "hands full", late="7")
    ids = dict(_SHEEP_COURSE.tell(teller, until_min))
    slip = next((one.line.id for one in teller.lines if getattr(one.line, "typed", "") == "9"), "")
    if slip and ids:
        teller.amend(17.0, slip, "109", "finger slipped")


def _bracken(site: Site, heron: Machine, people: Mapping[str, User], now: datetime) -> None:
    """The case that a visitor can go on with."""
    planned = planned_named(site, "Bracken", "running")
    if planned is None or planned.began_at is None:
        return
    teller = Teller(began=planned.began_at, now=now, by=people["operator"])
    _sheep_under(teller, planned, until_min=(now - planned.began_at) / timedelta(minutes=1) - 1.0)
    facts = {**_SHEEP, "animal": "S-14", "weight": _weight(planned)}
    told_record(site, heron, teller, _opening(planned), facts)


def _tansy(site: Site, heron: Machine, people: Mapping[str, User], now: datetime) -> None:
    """Closed and signed, of the last sheep on that machine before today."""
    planned = planned_named(site, "Tansy", "done")
    if planned is None or planned.began_at is None:
        return
    teller = Teller(began=planned.began_at, now=now, by=people["operator"])
    hold_min = sum(float(one["minutes"]) for one in planned.phases[:2])
    end = sum(float(one["minutes"]) for one in planned.phases)
    _sheep_under(teller, planned, until_min=hold_min - 1.0)
    teller.seen(
        50.0, _DRUG, "fentanyl", "2 µg/kg", dose="2 µg/kg", concentration="0.05 mg/mL",
        volume="2.4 mL", route="into a vein", lot="L-FEN3", expiry="2027-03",
    )  # fmt: skip
    teller.event(hold_min - 2.0, "procedure ended")
    teller.event(hold_min, "anaesthesia ended")
    teller.set(hold_min, dial="0 %", flow_oxygen="3 L/min", flow_air="0 L/min")
    teller.set(hold_min + 1.0, phase="recovery", ventilation="breathing by itself")
    teller.case(hold_min + 1.1, {"state": "recovering"})
    teller.event(hold_min + 2.0, "person stays")
    recovered(teller, hold_min + 4.0, (site, "sheep"))
    for minute, heart in ((5.0, "94"), (10.0, "98"), (15.0, "106")):
        teller.set(
            hold_min + minute, heart_rate=heart, respiratory_rate="20", oxygen_saturation="96 %",
            temperature_rectal="38.4 °C",
        )  # fmt: skip
    teller.event(hold_min + 8.0, "tube out", "swallows and chews, cuff partly inflated")
    teller.set(end, flow_oxygen="0 L/min")
    teller.event(hold_min + 9.0, "awake")
    teller.event(hold_min + 9.5, "on its chest")
    teller.event(hold_min + 16.0, "nothing to report")
    teller.case(end + 10.0, {"severity": "moderate"}, "Judged at the end.")
    teller.case(end + 11.0, {"state": "closed"})
    teller.signed(end + 12.0, people["operator"], Meaning.AUTHOR)
    teller.signed(end + 35.0, people["veterinarian"], Meaning.REVIEWED)
    checked = _checked(heron, planned.began_at)
    facts = {**_SHEEP, **checked, "animal": "S-11", "weight": _weight(planned)}
    told_record(site, heron, teller, _opening(planned), facts)


def _checked(machine: Machine, began: datetime) -> dict[str, str]:
    """What was known of machine and gas on an earlier day, as the first line holds it."""
    checked = began - timedelta(minutes=50)
    return {
        "check": f"{machine} may be used: Start of day passed.",
        "check_verdict": "Fine",
        "check_at": utc_text(checked),
        "supply": "Lasts until the evening by the plan of the day.",
        "supply_verdict": "Fine",
        "supply_at": utc_text(checked + timedelta(minutes=10)),
    }


_MICE = ("M1", "M2", "M3", "M4")
_MOUSE = {
    "strain": "C57BL/6J",
    "sex": "male",
    "age": "11 weeks",
    "protocol": "M-31",
    "procedure": "imaging of the knee",
    "place": "Rodent lab, Mill End",
    "people": "M. Ostrander, anaesthesia",
    "committee": "Fennel Lane committee, licence M-31",
}


def _mice_under(
    teller: Teller, planned: PlannedCase, until_min: float, died_min: Mapping[str, float]
) -> None:
    flow = f"{planned.phases[0]['oxygen_l_min']:g} L/min"
    teller.case(0.0, {"state": "running"})
    teller.event(0.0, "anaesthesia began")
    teller.set(0.0, agent="isoflurane", carrier="oxygen", induction="by inhalation",
               breathing_system="induction chamber", dial="4.0 %", flow_oxygen=flow)  # fmt: skip
    for number, mouse in enumerate(_MICE):
        weight = f"{23.5 + 0.7 * number:.1f} g"
        teller.seen(-5.0 + number, EntryKind.VITAL, "weight", weight, animal=mouse)
        teller.event(5.0 + number, "connected", animal=mouse)
    teller.set(9.0, breathing_system="nose cone", airway="nose cone", dial="1.8 %",
               heating="electric pad")  # fmt: skip
    teller.event(10.0, "procedure began")
    for number, mouse in enumerate(_MICE):
        course = Course(
            every_min=15.0,
            first_min=15.0 + 0.5 * number,
            values={
                "respiratory_rate": tuple(
                    str(96 - 2 * step + 3 * number) for step in range(9)
                ),
                "temperature_rectal": tuple(
                    f"{36.8 - 0.05 * step:.1f} °C" for step in range(9)
                ),
                "withdrawal": ("weak", "absent", "absent", "absent", "absent", "absent", "absent",
                               "absent", "absent"),
            },
        )  # fmt: skip
        list(course.tell(teller, min(until_min, died_min.get(mouse, until_min)), mouse))


def _mice_now(site: Site, bench: Machine, people: Mapping[str, User], now: datetime) -> None:
    planned = planned_named(site, "Mice C-31", "running")
    if planned is None or planned.began_at is None:
        return
    teller = Teller(began=planned.began_at, now=now, by=people["operator"])
    _mice_under(teller, planned, (now - planned.began_at) / timedelta(minutes=1) - 1.0, {})
    facts = {**_MOUSE, **grouped(_MICE), "animal": "cage C-31"}
    told_record(site, bench, teller, _opening(planned, is_group=True), facts)


def _mice_before(site: Site, bench: Machine, people: Mapping[str, User], now: datetime) -> None:
    """A group that is closed: one died under way, the others woke."""
    planned = _last_group(bench)
    if planned is None or planned.began_at is None:
        return
    teller = Teller(began=planned.began_at, now=now, by=people["operator"])
    hold_min = sum(float(one["minutes"]) for one in planned.phases[:2])
    lost = _MICE[2]
    _mice_under(teller, planned, hold_min - 1.0, {lost: 39.0})
    teller.event(40.0, "died", "stopped breathing, not revived", animal=lost)
    teller.event(40.5, "adverse event", "M3 stopped breathing at 40 min", animal=lost)
    teller.event(hold_min - 1.0, "procedure ended")
    teller.event(hold_min, "anaesthesia ended")
    teller.set(hold_min, dial="0 %", phase="recovery")
    teller.case(hold_min + 0.5, {"state": "recovering"})
    for number, mouse in enumerate(one for one in _MICE if one != lost):
        recovered(teller, hold_min + 2.0 + number, (site, "mouse"), mouse)
        teller.event(hold_min + 5.0 + number, "awake", animal=mouse)
        teller.event(hold_min + 5.5 + number, "on its chest", animal=mouse)
    teller.set(hold_min + 9.0, flow_oxygen="0 L/min")
    teller.case(hold_min + 20.0, {"state": "closed"})
    cage = f"cage {planned.name.split()[-1]}"
    checked = _checked(bench, planned.began_at)
    facts = {**_MOUSE, **checked, **grouped(_MICE), "animal": cage}
    told_record(site, bench, teller, _opening(planned, is_group=True), facts)


def _last_group(bench: Machine) -> PlannedCase | None:
    rows = PlannedCase.objects.filter(machine=bench, state="done").select_related("machine__room")
    return rows.order_by("-starts_at").first()


def _harebell(site: Site, wren: Machine, people: Mapping[str, User], now: datetime) -> None:
    """A cat that came in without a plan and recovers now; two steps of its recovery are met."""
    teller = Teller(began=now - timedelta(minutes=64), now=now, by=people["veterinarian"])
    teller.case(0.0, {"state": "running"})
    teller.event(0.0, "anaesthesia began")
    teller.set(0.0, agent="isoflurane", carrier="oxygen", breathing_system="T-piece",
               airway="tracheal tube", dial="3.0 %", flow_oxygen="1.5 L/min")  # fmt: skip
    teller.event(4.0, "procedure began")
    course = Course(
        every_min=5.0,
        first_min=5.0,
        values={
            "heart_rate": ("168", "160", "152", "150", "148", "150", "146", "148"),
            "respiratory_rate": ("24", "20", "18", "18", "16", "18", "18", "20"),
            "oxygen_saturation": ("98 %",) * 8,
            "temperature_rectal": ("38.0 °C", "", "37.6 °C", "", "37.2 °C", "", "36.9 °C"),
        },
    )
    list(course.tell(teller, 44.0))
    teller.set(10.0, dial="2.0 %")
    teller.event(42.0, "procedure ended")
    teller.event(45.0, "anaesthesia ended")
    teller.set(45.0, dial="0 %")
    teller.case(45.5, {"state": "recovering"})
    teller.event(47.0, "person stays")
    teller.event(52.0, "tube out", "swallows")
    teller.set(54.0, flow_oxygen="0 L/min")
    for minute, step in ((47.0, "person"), (58.0, "warm")):
        teller.event(minute, "recovery step", _text(site, step), step=step, met="yes")
    teller.set(60.0, heart_rate="172", respiratory_rate="24", temperature_rectal="37.0 °C")
    facts = {
        "animal": "chip 7741", "sex": "female", "weight": "4.2 kg", "procedure": "wound of a paw",
        "place": "Theatre 1", "people": "A. Vray, anaesthesia",
        "started_without": "gas: Nobody has worked out how long the gas lasts.",
        "override_by": "Anneke Vray (veterinarian)", "override_reason": "It bled.",
    }  # fmt: skip
    opening = Opening(machine=wren, name="Harebell", species="cat")
    told_record(site, wren, teller, opening, facts)


def _clover(site: Site, people: Mapping[str, User]) -> None:
    """A planned case that was made ready and may begin."""
    planned = planned_named(site, "Clover", "planned")
    if planned is None:
        return
    facts = {
        "animal": "R-207", "sex": "female", "weight": _weight(planned), "protocol": "R-9",
        "procedure": "dental burr", "place": "Theatre 1",
    }  # fmt: skip
    opening = Opening(
        machine=planned.machine,
        name=planned.name,
        species=planned.species,
        facts=facts,
        planned=planned,
    )
    case_ready(site=site, opening=opening, by=people["operator"])


def _text(site: Site, key: str) -> str:
    return next(one.text for one in rules_of(site).steps("cat") if one.key == key)
