"""Records for the tests of what goes out: a long case, a group, and records at random; invented."""

import random

from hypothesis import strategies as st

from tests.answers.record.cases import entry, opened, times
from tests.answers.record.full import lines as full_lines
from ullage.answers.record.things import Amendment, EntryKind, EntryText, Meaning, SignatureText
from ullage.answers.record.words import read_reading
from ullage.reference.record import term_lists, variable_rows

#: Read every few minutes of a long case: variable, lowest, highest, unit as typed.
WATCHED = [
    ("heart_rate", 180, 240, "/min"),
    ("respiratory_rate", 30, 60, "/min"),
    ("oxygen_saturation", 94, 99, "%"),
    ("cuff_systolic", 90, 110, "mmHg"),
    ("cuff_diastolic", 50, 60, "mmHg"),
    ("cuff_mean", 62, 74, "mmHg"),
    ("temperature", 37, 39, "°C"),
    ("end_tidal_isoflurane", 1, 2, "%"),
    ("inspired_isoflurane", 1, 3, "%"),
    ("end_tidal_co2", 34, 44, "mmHg"),
    ("dial", 1, 3, "%"),
    ("flow_oxygen", 1, 2, "L/min"),
]


def long_case(count=1200, minutes=240.0, seed=1):
    """A case of so many entries: readings in turn, drugs and corrections among them."""
    dice = random.Random(seed)
    found = [opened()]
    moments = (count + len(WATCHED) - 1) // len(WATCHED)
    for place in range(count):
        key, low, high, unit = WATCHED[place % len(WATCHED)]
        at = times(minutes * (place // len(WATCHED)) / moments)
        typed = f"{dice.randint(low, high)} {unit}"
        read = read_reading(key, typed)
        kind = EntryKind(variable_rows()[key].kind)
        given = {"typed": typed, "number": read.number, "unit": read.unit}
        if place % 100 == 99:
            key, kind, given = "ketamine", EntryKind.DRUG, {"typed": "", "details": dict(DRUG)}
        found.append(entry(len(found) + 1, key, kind=kind, times=at, **given))
        if place % 50 == 12:
            found.append(amendment(len(found) + 1, found[-1], typed="7 /min"))
    return found


DRUG = {"dose": "10 mg/kg", "volume": "0.31 mL", "concentration": "100 mg/mL", "route": "i.m."}


def amendment(order, of, **more):
    given = {"reason": "misread", "author": "Mo Orr (mo)", "times": times(300.0), **more}
    return Amendment(id=f"r1-{order}", record="r1", order=order, of=of.id, **given)


def group_case():
    """Two mice on one bench, and a reading of the bench itself."""
    found = [opened(facts={"animal": "cage 7", "species": "mouse", "protocol": "P-3"})]
    for animal, weight, rate in (("m1", "25 g", "480"), ("m2", "27 g", "510")):
        for key, typed in (("weight", weight), ("heart_rate", rate)):
            read = read_reading(key, typed)
            found.append(
                entry(
                    len(found) + 1,
                    key,
                    typed,
                    number=read.number,
                    unit=read.unit,
                    animal=animal,
                )
            )
    found.append(
        entry(len(found) + 1, "dial", "1.5 %", kind=EntryKind.SETTING, number="1.5", unit="%{vol}")
    )
    found.append(
        entry(
            len(found) + 1,
            "ketamine",
            "",
            kind=EntryKind.DRUG,
            animal="m1",
            details={"dose": "100 mg/kg", "lot": "A7"},
        )
    )
    return found


_WORDS = sorted({one.word for terms in term_lists().values() for one in terms})
_TEXT = st.text(max_size=30)
_DIGITS = st.from_regex(r"\A[+-]?[0-9]{1,40}(\.[0-9]{1,40})?\Z").filter(str.isascii) | st.just("")
_UNITS = st.sampled_from(["", "/min", "mm[Hg]", "kPa", "Cel", "%{vol}", "{beats}/min", "parsec"])


@st.composite
def records(draw, most=8):
    """Any record that the types allow: known and odd variables, corrections, signatures, groups."""
    found = [opened(facts=draw(st.dictionaries(_TEXT, _TEXT, max_size=4)))]
    for _ in range(draw(st.integers(0, most))):
        found.append(draw(_line(len(found) + 1, [one for one in found if hasattr(one, "kind")])))
    return found


@st.composite
def _line(draw, order, entries):
    common = {
        "id": f"r1-{order}",
        "record": "r1",
        "order": order,
        "author": draw(st.sampled_from(["S. Vale", "Zoë Ångström (zoe)", "=cmd", ""])),
        "times": times(draw(st.integers(0, 9999)), draw(st.integers(0, 99))),
    }
    said = {"typed": draw(_TEXT), "number": draw(_DIGITS), "unit": draw(_UNITS)}
    details = draw(
        st.dictionaries(st.sampled_from(["dose", "lot", "x"]) | _TEXT, _TEXT, max_size=3)
    )
    which = draw(st.sampled_from(["entry", "entry", "amendment", "signature"]))
    if which == "amendment" and entries:
        of = draw(st.sampled_from(entries)).id
        gone = draw(st.booleans())
        return Amendment(
            **common, **said, of=of, reason=draw(_TEXT), details=details, withdrawn=gone
        )
    if which == "signature":
        meaning = draw(st.sampled_from(Meaning))
        return SignatureText(**common, printed_name=draw(_TEXT), meaning=meaning)
    return EntryText(
        **common,
        **{**said, "typed": draw(_TEXT | st.sampled_from(_WORDS))},
        kind=draw(st.sampled_from(EntryKind)),
        what=draw(_TEXT | st.sampled_from([*variable_rows(), *_WORDS])),
        details=details,
        animal=draw(st.sampled_from(["", "", "m1", "m2"])),
        author_confirmed=draw(st.booleans()),
    )


def example_case():
    """The case of `examples/record_rabbit.json`: two more drugs, one asked about."""
    found = full_lines(record="rabbit-7")
    whole = {**DRUG, "route": "into a muscle", "lot": "A7", "bottle": "14", "expiry": "2027-03"}
    for name, minute, details in (
        ("ketamine", -12, {**whole, "wasted": "0.19 mL"}),
        (
            "butorphanol",
            25,
            {"dose": "0.2 mg/kg", "volume": "0.62 mL", "concentration": "10 mg/mL"},
        ),
    ):
        order = len(found) + 1
        found.append(
            entry(
                order,
                name,
                "",
                kind=EntryKind.DRUG,
                times=times(minute),
                details=details,
                record="rabbit-7",
            )
        )
    return found
