"""Reads of the cases app: records, their lines and chains."""

from ullage.web.cases.models import (
    CaseState,
    Line,
    NotTaken,
    Record,
    RecordFile,
    RegisterLine,
    Settled,
    SignedHead,
    Tablet,
    Why,
)
from ullage.web.cases.selectors.lines import author_text, chain_of, facts_of, lines_of
from ullage.web.cases.selectors.records import record_for, records_of, records_open
from ullage.web.cases.selectors.tablets import tablet_at, tablet_with, tablets_of

__all__ = [
    "CaseState",
    "Line",
    "NotTaken",
    "Record",
    "RecordFile",
    "RegisterLine",
    "Settled",
    "SignedHead",
    "Tablet",
    "Why",
    "author_text",
    "chain_of",
    "facts_of",
    "lines_of",
    "record_for",
    "records_of",
    "records_open",
    "tablet_at",
    "tablet_with",
    "tablets_of",
]
