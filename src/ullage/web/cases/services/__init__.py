"""Writes of the cases app."""

from ullage.web.cases.services.chain import head_register, line_write, record_locked
from ullage.web.cases.services.epochs import epoch_now, epoch_renew
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
from ullage.web.cases.services.queue import Sender, Word, queue_take
from ullage.web.cases.services.tablets import (
    key_fingerprint,
    tablet_enrol,
    tablet_rename,
    tablet_revoke,
)
from ullage.web.cases.services.tickets import ticket_new

__all__ = [
    "MOST_AT_ONCE",
    "Opening",
    "Sender",
    "Sent",
    "Taken",
    "Word",
    "epoch_now",
    "epoch_renew",
    "facts_write",
    "head_register",
    "keep_aside",
    "key_fingerprint",
    "line_write",
    "lines_take",
    "queue_take",
    "record_locked",
    "record_open",
    "record_sign",
    "state_write",
    "tablet_enrol",
    "tablet_rename",
    "tablet_revoke",
    "ticket_new",
    "typed_reading",
]
