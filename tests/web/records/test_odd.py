"""Records of odd lines: whatever was taken is printed, and the attached file is the same."""

import io
import random
from datetime import UTC, datetime, timedelta

import pikepdf
import pytest

from tests.web.records.world import BEGAN, KERR, ORR, file_of
from ullage.answers.record.things import (
    Amendment,
    CaseOpened,
    EntryKind,
    EntryText,
    Meaning,
    SignatureText,
    Times,
)
from ullage.reference.record import variable_rows
from ullage.web.records.paper import RecordPaper, record_pdf

pytestmark = pytest.mark.web

NUMBERS = ["", "0", "-5", "9" * 40, f"0.{'0' * 39}1", "1.50", "+3", "100000"]
UNITS = ["/min", "mm[Hg]", "kPa", "Cel", "[degF]", "%", "", "zz", "L/min", "mL"]
WORDS = ["", "x", "羊", " ", "\n", "\x07", "a" * 500, "<b>", "#{", "\u202e", "‗", "🇬🇧", "e\u0301"]
NAMES = [*variable_rows(), *WORDS, "saline"]
ENDS = [datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)]
ZONES = ["Europe/London", "Asia/Kathmandu", "America/St_Johns", "Pacific/Apia"]


def entry(dice):
    return EntryText, {
        "kind": dice.choice(list(EntryKind)),
        "what": dice.choice(NAMES),
        "typed": dice.choice(WORDS),
        "number": dice.choice(NUMBERS),
        "unit": dice.choice(UNITS),
        "details": {
            dice.choice(["dose", "volume", "rate", "site", "zz"]): dice.choice(
                [*WORDS, "5 mL", "-5 mL", "3 mL/kg/h"]
            )
        },
        "animal": dice.choice(["", "", "A", "B"]),
        "author_confirmed": dice.random() < 0.9,
    }


def amendment(dice):
    return Amendment, {
        "of": f"i{dice.randint(1, 30)}",
        "reason": dice.choice(WORDS),
        "typed": dice.choice(WORDS),
        "number": dice.choice(NUMBERS),
        "unit": dice.choice(UNITS),
        "observed": dice.choice([None, BEGAN, *ENDS]),
        "withdrawn": dice.random() < 0.3,
    }


def reopened(dice):
    facts = {dice.choice(["animal", "weight", "x"]): dice.choice([*WORDS, "3 kg"])}
    return CaseOpened, {"facts": facts, "reason": dice.choice(WORDS)}


def signature(dice):
    return SignatureText, {"printed_name": dice.choice(WORDS), "meaning": Meaning.AUTHOR}


def odd_lines(dice):
    """A case opened, and up to 40 lines that a form would mostly have asked about."""
    lines = []
    for order in range(1, dice.randint(2, 42)):
        makes = [entry] * 7 + [amendment] * 2 + [reopened, signature]
        kind, more = reopened(dice) if order == 1 else dice.choice(makes)(dice)
        seen = BEGAN + timedelta(minutes=dice.uniform(-5.0, 300.0))
        seen = dice.choice(ENDS) if dice.random() < 0.05 else seen
        at = dice.choice([seen, BEGAN + timedelta(minutes=20)])
        lines.append(
            kind(
                id=f"i{dice.choice([order, max(1, order - 2)])}",
                record="r",
                order=order,
                author=dice.choice([KERR, ORR, "", "(x)", "Plato", " "]),
                times=Times(observed=seen, written=at, received=at),
                **more,
            )
        )
    return lines


@pytest.mark.parametrize("seed", range(24))
def test_odd_lines_are_printed_and_attached_as_they_are(seed):
    dice = random.Random(seed)
    lines = odd_lines(dice)
    chain = file_of(lines)
    about = RecordPaper(
        number=dice.choice([*WORDS, "1"]), site=dice.choice(WORDS), time_zone=dice.choice(ZONES)
    )
    with pikepdf.open(io.BytesIO(record_pdf(lines, chain, about))) as pdf:
        assert pdf.attachments["record.json"].get_file().read_bytes() == chain
