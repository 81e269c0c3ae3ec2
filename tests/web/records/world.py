"""A four-hour case in lines, built the same each time: invented, of no real animal."""

import random
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from ullage.answers.record.chained import Chained, chained, head_of
from ullage.answers.record.exported import export_chain
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.signed import private_pem, sign_head
from ullage.answers.record.things import (
    Amendment,
    AnyLine,
    CaseOpened,
    EntryKind,
    EntryText,
    Meaning,
    SignatureText,
    Times,
)
from ullage.answers.record.words import read_reading
from ullage.answers.record.written import content_of
from ullage.reference.record import variable_rows

#: First gas, in UTC: 09:00 in Edinburgh.
BEGAN = datetime(2026, 6, 4, 8, 0, tzinfo=UTC)
KERR, ORR = "Tamsin Kerr (tkerr)", "Morag Orr (morr)"
PRIVATE = private_pem(bytes(range(32)))

SHEEP = {
    "animal": "Tansy, S-11",
    "species": "sheep",
    "strain": "Texel cross",
    "sex": "female",
    "age": "3 years",
    "weight": "58 kg",
    "protocol": "S-24",
    "committee": "AWERB 7, licence PP-12",
    "procedure": "hind-limb plate, left",
    "place": "Theatre 2",
    "people": "T. Kerr, anaesthesia; M. Orr, responsible veterinarian",
    "machine": "Heron, circle",
    "vaporizer": "variable bypass, isoflurane",
    "source": "own flock",
}
#: Minute, what; the sets of readings stand between them.
EVENTS = [
    (2, "tube in", "9.0 mm, cuff holds 20 cmH₂O"),
    (0, "anaesthesia began", ""),
    (35, "procedure began", "incision"),
    (55, "moved", "at drilling; end-tidal 1.4 %"),
    (56, "deepened", "dial 2.0 to 2.5 %"),
    (120, "turned", "onto the right side"),
    (205, "procedure ended", ""),
    (208, "anaesthesia ended", "dial 0"),
    (219, "tube out", "swallows and chews, cuff partly inflated"),
    (221, "on its chest", ""),
    (232, "awake", "stands"),
    (238, "nothing to report", ""),
]
#: Minute, name, then the details in their order.
DRUGS = [
    (-35, "midazolam", "0.3 mg/kg", "5 mg/mL", "3.5 mL", "IM", "M81", "2027-03"),
    (-35, "buprenorphine", "0.01 mg/kg", "0.3 mg/mL", "1.9 mL", "IM", "B2", "2027-01"),
    (-4, "propofol", "4 mg/kg", "10 mg/mL", "23.2 mL", "IV", "", "2026-11"),
    (60, "fentanyl", "2 ug/kg", "50 ug/mL", "2.3 mL", "IV", "", "2027-05"),
]
DETAILS = ("dose", "concentration", "volume", "route", "lot", "expiry")
FLUIDS = [
    (0, "lactated Ringer's", {"rate": "5 mL/kg/h", "route": "IV"}),
    (57, "lactated Ringer's", {"volume": "250 mL", "route": "IV"}),
    (210, "lactated Ringer's", {"rate": "0 mL/h", "route": "IV"}),
]
#: Minute, variable, as typed.
SETTINGS = [
    (0, "phase", "induction"),
    (0, "agent", "isoflurane"),
    (0, "carrier", "oxygen"),
    (0, "induction", "into a vein"),
    (1, "system", "rebreathing"),
    (2, "airway", "tracheal tube"),
    (0, "dial", "3.0 %"),
    (0, "flow_oxygen", "4.0 L/min"),
    (5, "ventilation", "breathing by itself"),
    (5, "heating", "warm air blanket"),
    (10, "phase", "preparation"),
    (10, "dial", "2.5 %"),
    (10, "flow_oxygen", "1.2 L/min"),
    (20, "dial", "2.0 %"),
    (52, "ventilation", "assisted by hand"),
    (56, "dial", "2.5 %"),
    (62, "dial", "2.0 %"),
    (180, "ventilation", "breathing by itself"),
    (207, "dial", "0 %"),
    (208, "flow_oxygen", "3.0 L/min"),
    (209, "phase", "recovery"),
]
#: Variable, middle, spread, decimals, unit as typed: each 5 minutes.
READINGS = [
    ("heart_rate", 92, 4, 0, "/min"),
    ("respiratory_rate", 15, 2, 0, "/min"),
    ("arterial_systolic", 108, 5, 0, "mmHg"),
    ("arterial_diastolic", 66, 4, 0, "mmHg"),
    ("arterial_mean", 82, 4, 0, "mmHg"),
    ("oxygen_saturation", 97, 1, 0, "%"),
    ("end_tidal_co2", 43, 2, 0, "mmHg"),
    ("inspired_co2", 0.4, 0.4, 0, "mmHg"),
    ("temperature_gullet", 38.6, 0.2, 1, "°C"),
    ("end_tidal_isoflurane", 1.6, 0.1, 1, "%"),
    ("inspired_oxygen", 94, 1, 0, "%"),
]
SIGNS = [
    ("eyelid", ("brisk", "weak", "absent")),
    ("jaw", ("some", "slack")),
    ("eye", ("turned down",)),
]


@dataclass
class Case:
    """Lines being gathered; ids and order numbers follow each other."""

    record: str = "2026-0147"
    lines: list[AnyLine] = field(default_factory=list)

    def times(self, minute: float, late: float = 0.2) -> Times:
        seen = BEGAN + timedelta(minutes=minute)
        written = seen + timedelta(minutes=late)
        return Times(
            observed=seen, written=written, received=written + timedelta(seconds=1), offset_s=0.2
        )

    def add(self, line, minute: float, late: float = 0.2, author: str = KERR, **more) -> AnyLine:
        order = len(self.lines) + 1
        given = {"id": f"{self.record}-{order}", "record": self.record, "order": order}
        one = line(author=author, times=self.times(minute, late), **given, **more)
        self.lines.append(one)
        return one

    def read(self, minute: float, key: str, typed: str, **more) -> AnyLine:
        found = read_reading(key, typed)
        given = {"kind": EntryKind(variable_rows()[key].kind), "what": key, "typed": typed, **more}
        return self.add(EntryText, minute, number=found.number, unit=found.unit, **given)

    def amend(self, minute: float, of: str, reason: str, key: str = "", typed: str = "", **more):
        said = read_reading(key, typed) if key else None
        more |= {"number": said.number, "unit": said.unit} if said else {}
        return self.add(Amendment, minute, of=of, reason=reason, typed=typed, **more)

    def sign(self, minute: float, name: str, meaning: Meaning, author: str = KERR) -> AnyLine:
        return self.add(SignatureText, minute, author=author, printed_name=name, meaning=meaning)


def sheep_case(count: int = 1200, seed: int = 7, record: str = "2026-0147") -> list[AnyLine]:
    """A sheep for four hours with so many entries, 3 late ones and 4 amendments."""
    dice = random.Random(seed)
    planned = [*_told(), *_readings(dice)]
    minute = 0.2
    while len(planned) < count:
        key = ("heart_rate", "oxygen_saturation", "end_tidal_co2")[len(planned) % 3]
        planned.append((minute, _typed(dice, key)))
        minute = minute + 0.6 if minute < 205 else 0.45
    case = Case(record)
    case.add(CaseOpened, -40, facts=SHEEP)
    for at, given in sorted(planned[:count], key=lambda one: one[0]):
        if "typed" in given and given.get("kind") is None:
            case.read(at, **given)
        else:
            case.add(EntryText, at, **given)
    _corrected(case)
    case.sign(245, "Tamsin Kerr", Meaning.AUTHOR)
    case.sign(262, "Morag Orr", Meaning.RESPONSIBLE, ORR)
    return case.lines


def _told() -> list[tuple[float, dict]]:
    found: list[tuple[float, dict]] = []
    for at, word, note in EVENTS:
        late = 6.5 if word == "procedure began" else 0.2
        found.append((at, {"kind": EntryKind.EVENT, "what": word, "typed": note, "late": late}))
    for at, name, *said in DRUGS:
        details = {key: text for key, text in zip(DETAILS, said, strict=True) if text}
        more = {"what": name, "typed": "", "details": details, "author": ORR}
        found.append((at, {"kind": EntryKind.DRUG, **more}))
    for at, name, details in FLUIDS:
        found.append((at, {"kind": EntryKind.FLUID, "what": name, "typed": "", "details": details}))
    note = {
        "kind": EntryKind.TEXT,
        "what": "",
        "typed": "350 mL drained by stomach tube; 20 × foam",
    }
    found.append((6, note))
    found += [(at, {"key": key, "typed": typed}) for at, key, typed in SETTINGS]
    found.append((-40, {"key": "weight", "typed": "58 kg"}))
    return found


def _typed(dice: random.Random, key: str) -> dict:
    middle, spread, places, unit = next(one[1:] for one in READINGS if one[0] == key)
    value = max(0.0, dice.gauss(middle, spread))
    return {"key": key, "typed": f"{value:.{places}f} {unit}"}


def _readings(dice: random.Random) -> list[tuple[float, dict]]:
    """A set each 5 minutes, never quite on the line of a box."""
    found: list[tuple[float, dict]] = []
    for number in range(48):
        at = 5.0 * number + dice.uniform(0.0, 1.5)
        for key, *_ in READINGS:
            late = {"late": 9.0} if number == 11 and key in {"heart_rate", "inspired_co2"} else {}
            found.append((at, {**_typed(dice, key), **late}))
        if number % 3 == 0:
            found += [(at, {"key": key, "typed": dice.choice(words)}) for key, words in SIGNS]
    return found


def _corrected(case: Case) -> None:
    """Digits swapped, a site named, a wrong case, and the weight of the case read again."""
    by_key: dict[str, list[EntryText]] = {}
    for one in case.lines:
        if isinstance(one, EntryText):
            by_key.setdefault(one.what, []).append(one)
    rates = by_key["heart_rate"]
    swapped = rates[len(rates) // 3]
    case.amend(150, swapped.id, "digits swapped", "heart_rate", "88 /min")
    case.amend(151, by_key["fentanyl"][0].id, "lot read again", details={"lot": "F7"}, author=ORR)
    case.amend(152, by_key["jaw"][-1].id, "written in the wrong case", withdrawn=True)
    tube = by_key["tube in"][0]
    case.amend(
        153, tube.id, "clock read again", observed=tube.times.observed - timedelta(minutes=1)
    )
    case.add(CaseOpened, 160, facts={"age": "4 years"}, reason="flock book read again")


def mice_case(animals: int = 6, record: str = "2026-0151") -> list[AnyLine]:
    """Mice treated alike on one bench: a line for each, settings for all."""
    case = Case(record)
    facts = {"animal": "cage 12", "species": "mouse", "strain": "C57BL/6J", "sex": "male"}
    facts |= {"protocol": "M-3", "procedure": "imaging", "place": "Room 4", "group": "yes"}
    case.add(CaseOpened, -10, facts=facts)
    for at, key, typed in [
        (0, "agent", "isoflurane"),
        (0, "dial", "2 %"),
        (0, "flow_oxygen", "0.8 L/min"),
    ]:
        case.read(at, key, typed)
    for number in range(animals):
        name = f"M{number + 1}"
        case.read(-8 + number / 4, "weight", f"{24 + number * 0.4:.1f} g", animal=name)
        for at in (10, 25, 40):
            case.read(at + number / 3, "respiratory_rate", f"{88 - 3 * number} /min", animal=name)
            case.read(at + number / 3, "heart_rate", f"{430 + 9 * number} /min", animal=name)
        event = {"kind": EntryKind.EVENT, "typed": "", "animal": name}
        case.add(EntryText, 50 + number, what="awake", **event)
        case.add(EntryText, 51 + number, what="on its chest", **event)
    case.sign(70, "Tamsin Kerr", Meaning.AUTHOR)
    return case.lines


def chain_of(lines: list[AnyLine]) -> tuple[Chained, ...]:
    return chained(content_of(one) for one in lines)


def file_of(lines: list[AnyLine]) -> bytes:
    """The machine-readable record with one signature of its head."""
    chain = chain_of(lines)
    of = lines[0].record
    at = utc_text(lines[-1].times.received)
    return export_chain(chain, of, "record", [sign_head(head_of(chain, of), PRIVATE, at)])
