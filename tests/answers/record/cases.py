"""A short case in lines, as every test of the record takes it; invented, of no real animal."""

import random
from datetime import UTC, datetime, timedelta

from ullage.answers.record.chained import Chained, Head, chained, head_of, register_line
from ullage.answers.record.exported import export_chain
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.signed import private_pem, public_pem, sign_head
from ullage.answers.record.things import (
    Amendment,
    CaseOpened,
    EntryKind,
    EntryText,
    Meaning,
    SignatureText,
    Times,
)
from ullage.answers.record.written import content_of

BEGAN = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)
PRIVATE = private_pem(bytes(range(32)))
PUBLIC = public_pem(PRIVATE)
OTHER = public_pem(private_pem(bytes(32)))
AT = utc_text(BEGAN)

FACTS = {
    "animal": "R-041",
    "species": "rabbit",
    "strain": "New Zealand White",
    "sex": "female",
    "age": "14 weeks",
    "weight": "3.1 kg",
    "protocol": "P-12",
    "procedure": "imaging",
    "place": "Room 2",
    "people": "S. Vale, anaesthetist; M. Orr, surgeon",
}


def times(minute: float, late: float = 0.0) -> Times:
    seen = BEGAN + timedelta(minutes=minute)
    written = seen + timedelta(minutes=late)
    return Times(observed=seen, written=written, received=written + timedelta(seconds=1))


def opened(order: int = 1, record: str = "r1", **more) -> CaseOpened:
    given = {"facts": FACTS, "times": times(0.0), "author": "S. Vale", **more}
    return CaseOpened(id=f"{record}-{order}", record=record, order=order, **given)


def entry(order: int, what: str = "heart_rate", typed: str = "210", **more) -> EntryText:
    given = {
        "kind": EntryKind.VITAL,
        "author": "S. Vale",
        "times": times(5.0 * order),
        "record": "r1",
        **more,
    }
    return EntryText(id=f"{given['record']}-{order}", order=order, what=what, typed=typed, **given)


def case_lines(record: str = "r1"):
    """Opened, two readings, a drug, a correction of the first reading, signed."""
    return [
        opened(record=record),
        entry(2, number="210", unit="/min", record=record),
        entry(3, "temperature_rectal", "38.10 °C", number="38.10", unit="Cel", record=record),
        entry(
            4,
            "buprenorphine",
            "",
            kind=EntryKind.DRUG,
            details={"dose": "0.03 mg/kg", "route": "under the skin"},
            record=record,
        ),
        Amendment(
            id=f"{record}-5",
            record=record,
            order=5,
            author="M. Orr",
            times=times(26.0),
            of=f"{record}-2",
            reason="read the pulse of the other ear — wrong line",
            typed="201",
            number="201",
            unit="/min",
        ),
        SignatureText(
            id=f"{record}-6",
            record=record,
            order=6,
            author="S. Vale",
            times=times(60.0),
            printed_name="Sam Vale",
            meaning=Meaning.AUTHOR,
        ),
    ]


def case_chain(record: str = "r1") -> tuple[Chained, ...]:
    return chained(content_of(one) for one in case_lines(record))


def signed_file(chain: tuple[Chained, ...], of: str = "r1", kind: str = "record") -> bytes:
    return export_chain(chain, of, kind, [sign_head(head_of(chain, of, kind), PRIVATE, AT)])


def register(*heads: Head, site: str = "site-1") -> tuple[Chained, ...]:
    lines = [register_line(one, site, order, AT) for order, one in enumerate(heads, start=1)]
    return chained(lines, "register")


def long_chain(count: int, seed: int = 1, record: str = "r1") -> tuple[Chained, ...]:
    dice = random.Random(seed)
    lines = [opened(record=record)]
    for order in range(2, count + 1):
        said = str(dice.randint(150, 300))
        lines.append(entry(order, typed=said, number=said, unit="/min", record=record))
    return chained(content_of(one) for one in lines)
