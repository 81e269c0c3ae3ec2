"""Writes of the cases app."""

from ullage.web.cases.services.chain import head_register, line_write, record_locked
from ullage.web.cases.services.life import (
    Opening,
    facts_write,
    record_open,
    record_sign,
    state_write,
)
from ullage.web.cases.services.lines import (
    MOST_AT_ONCE,
    Sent,
    Taken,
    keep_aside,
    lines_take,
    typed_reading,
)

__all__ = [
    "MOST_AT_ONCE",
    "Opening",
    "Sent",
    "Taken",
    "facts_write",
    "head_register",
    "keep_aside",
    "line_write",
    "lines_take",
    "record_locked",
    "record_open",
    "record_sign",
    "state_write",
    "typed_reading",
]
