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
    SignedRegister,
    Tablet,
    Why,
)
from ullage.web.cases.selectors.aside import (
    kept_aside_for,
    kept_aside_of,
    records_near,
    waiting_count,
)
from ullage.web.cases.selectors.find import Looked, records_found
from ullage.web.cases.selectors.life import KEPT_DAYS, AnimalLine, Life, life_of
from ullage.web.cases.selectors.lines import author_text, chain_of, facts_of, lines_of
from ullage.web.cases.selectors.now import case_now
from ullage.web.cases.selectors.planned import facts_planned, settings_planned
from ullage.web.cases.selectors.ready import Ready, ready_of
from ullage.web.cases.selectors.records import (
    file_for,
    record_for,
    record_of_plan,
    records_of,
    records_open,
)
from ullage.web.cases.selectors.rules import rules_of
from ullage.web.cases.selectors.said import records_said
from ullage.web.cases.selectors.tablets import (
    key_fingerprint,
    tablet_at,
    tablet_with,
    tablets_of,
)

__all__ = [
    "KEPT_DAYS",
    "AnimalLine",
    "CaseState",
    "Life",
    "Line",
    "Looked",
    "NotTaken",
    "Ready",
    "Record",
    "RecordFile",
    "RegisterLine",
    "Settled",
    "SignedHead",
    "SignedRegister",
    "Tablet",
    "Why",
    "author_text",
    "case_now",
    "chain_of",
    "facts_of",
    "facts_planned",
    "file_for",
    "kept_aside_for",
    "kept_aside_of",
    "key_fingerprint",
    "life_of",
    "lines_of",
    "ready_of",
    "record_for",
    "record_of_plan",
    "records_found",
    "records_near",
    "records_of",
    "records_open",
    "records_said",
    "rules_of",
    "settings_planned",
    "tablet_at",
    "tablet_with",
    "tablets_of",
    "waiting_count",
]
