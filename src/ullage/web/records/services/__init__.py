"""Writes of the records app."""

from ullage.web.records.services.papers import papers_keep
from ullage.web.records.services.reading import paper_look, said_of, said_read
from ullage.web.records.services.runs import MOST_RECORDS, run_ask, run_do

__all__ = [
    "MOST_RECORDS",
    "paper_look",
    "papers_keep",
    "run_ask",
    "run_do",
    "said_of",
    "said_read",
]
