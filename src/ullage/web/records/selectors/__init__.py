"""Reads of the records app: papers, exports, verification, who read a record."""

from ullage.web.records.models import Run, RunKind, SignedPaper
from ullage.web.records.selectors.chains import chain_bytes, register_bytes, register_of
from ullage.web.records.selectors.exports import FORMS, Form, Made, export_of, file_name
from ullage.web.records.selectors.files import FileSaid, file_said
from ullage.web.records.selectors.page import RecordPage, record_page
from ullage.web.records.selectors.papers import (
    about_paper,
    life_at,
    paper_at,
    papers_due,
    papers_of,
    pdf_of,
)
from ullage.web.records.selectors.runs import run_for, runs_lately
from ullage.web.records.selectors.verified import (
    heads_of,
    keys_known,
    record_verified,
    register_verified,
)

__all__ = [
    "FORMS",
    "FileSaid",
    "Form",
    "Made",
    "RecordPage",
    "Run",
    "RunKind",
    "SignedPaper",
    "about_paper",
    "chain_bytes",
    "export_of",
    "file_name",
    "file_said",
    "heads_of",
    "keys_known",
    "life_at",
    "paper_at",
    "papers_due",
    "papers_of",
    "pdf_of",
    "record_page",
    "record_verified",
    "register_bytes",
    "register_of",
    "register_verified",
    "run_for",
    "runs_lately",
]
