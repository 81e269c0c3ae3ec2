"""A case in which everything is recorded, and ways to leave something out; invented."""

from tests.answers.record.cases import FACTS, opened, times
from ullage.answers.record.things import Amendment, EntryKind, EntryText
from ullage.answers.record.words import read_reading
from ullage.reference.record import variable_rows

#: Minute, variable, as typed.
READINGS = [
    (0, "phase", "induction"),
    (0, "agent", "isoflurane"),
    (0, "carrier", "oxygen"),
    (0, "induction", "by inhalation"),
    (0, "dial", "4 %"),
    (0, "flow_oxygen", "2 L/min"),
    (6, "phase", "imaging"),
    (6, "airway", "face mask"),
    (6, "system", "non-rebreathing"),
    (6, "ventilation", "breathing by itself"),
    (6, "heating", "warm water blanket"),
    (6, "dial", "2 %"),
    (10, "heart_rate", "210 /min"),
    (10, "respiratory_rate", "40 /min"),
    (10, "cuff_mean", "68 mmHg"),
    (10, "temperature_rectal", "38.1 °C"),
    (10, "end_tidal_isoflurane", "1.6 %"),
    (10, "inspired_oxygen", "97 %"),
    (10, "jaw", "slack"),
    (15, "heart_rate", "204 /min"),
    (15, "temperature_rectal", "37.9 °C"),
    (15, "end_tidal_isoflurane", "1.8 %"),
    (20, "dial", "1.5 %"),
    (20, "flow_oxygen", "1 L/min"),
    (20, "heart_rate", "200 /min"),
    (20, "temperature_rectal", "37.7 °C"),
    (30, "heart_rate", "200 /min"),
]
EVENTS = [
    (1, "anaesthesia began"),
    (8, "procedure began"),
    (31, "procedure ended"),
    (33, "anaesthesia ended"),
    (36, "awake"),
    (38, "on its chest"),
    (60, "nothing to report"),
]
MORE = {
    "severity": "mild",
    "source": "bred here",
    "committee": "AWB 7, licence 12-3",
    "vaporizer": "variable bypass",
    "reason": "short imaging, quick waking",
    "endpoints": "breathing below 10 a minute",
    "pain relief": "buprenorphine before",
}
DRUG = {
    "dose": "0.03 mg/kg",
    "route": "under the skin",
    "concentration": "0.3 mg/mL",
    "expiry": "2027-03",
}


def lines(without=(), facts=None, animal="", record="r1", readings=READINGS, events=EVENTS):
    """The lines of a case, without some variables, events or kinds."""
    found = [opened(facts={**FACTS, **MORE} if facts is None else facts, record=record)]

    def add(**given):
        order = len(found) + 1
        given = {"author": "S. Vale", "animal": animal, **given}
        found.append(EntryText(id=f"{record}-{order}", record=record, order=order, **given))

    for minute, key, typed in readings:
        if key not in without:
            read = read_reading(key, typed)
            add(
                times=times(minute),
                kind=EntryKind(variable_rows()[key].kind),
                what=key,
                typed=typed,
                number=read.number,
                unit=read.unit,
                details={"device": "monitor A"} if key == "heart_rate" else {},
            )
    for minute, word in events:
        if word not in without:
            add(times=times(minute), kind=EntryKind.EVENT, what=word, typed="")
    if "drug" not in without:
        add(times=times(-20), kind=EntryKind.DRUG, what="buprenorphine", typed="", details=DRUG)
    return found


def amended(found, key, typed):
    """The lines with the first entry of a variable corrected."""
    first = next(one for one in found if getattr(one, "what", "") == key)
    read = read_reading(key, typed)
    order = len(found) + 1
    return [
        *found,
        Amendment(
            id=f"r1-{order}",
            record="r1",
            order=order,
            author="M. Orr",
            times=times(61),
            of=first.id,
            reason="misread",
            typed=typed,
            number=read.number,
            unit=read.unit,
        ),
    ]
