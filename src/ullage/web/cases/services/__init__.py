"""Writes of the cases app."""

from ullage.web.cases.services.begin import AnimalSaid, BeginSaid, case_ready, case_run
from ullage.web.cases.services.chain import head_register, line_write, record_locked
from ullage.web.cases.services.close import case_close
from ullage.web.cases.services.entries import write_amendment
from ullage.web.cases.services.epochs import epoch_now, epoch_renew
from ullage.web.cases.services.facts import facts_change, file_keep
from ullage.web.cases.services.group import animal_join
from ullage.web.cases.services.heads import (
    head_keep,
    head_sign,
    head_sign_if_can,
    paper_from,
    register_sign,
)
from ullage.web.cases.services.history import ToldLine, record_write
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
from ullage.web.cases.services.recover import (
    FATES,
    StepSaid,
    Worse,
    fate_say,
    gas_off,
    person_say,
    recovery_reopen,
    recovery_start,
    step_say,
)
from ullage.web.cases.services.settle import Decision, line_sent, settle
from ullage.web.cases.services.signing import (
    Shown,
    sign_purpose,
    sign_record,
)
from ullage.web.cases.services.tablets import tablet_enrol, tablet_rename, tablet_revoke
from ullage.web.cases.services.tickets import ticket_new

__all__ = [
    "FATES",
    "MOST_AT_ONCE",
    "AnimalSaid",
    "BeginSaid",
    "Decision",
    "Opening",
    "Sender",
    "Sent",
    "Shown",
    "StepSaid",
    "Taken",
    "ToldLine",
    "Word",
    "Worse",
    "animal_join",
    "case_close",
    "case_ready",
    "case_run",
    "epoch_now",
    "epoch_renew",
    "facts_change",
    "facts_write",
    "fate_say",
    "file_keep",
    "gas_off",
    "head_keep",
    "head_register",
    "head_sign",
    "head_sign_if_can",
    "keep_aside",
    "line_sent",
    "line_write",
    "lines_take",
    "paper_from",
    "person_say",
    "queue_take",
    "record_locked",
    "record_open",
    "record_sign",
    "record_write",
    "recovery_reopen",
    "recovery_start",
    "register_sign",
    "settle",
    "sign_purpose",
    "sign_record",
    "state_write",
    "step_say",
    "tablet_enrol",
    "tablet_rename",
    "tablet_revoke",
    "ticket_new",
    "typed_reading",
    "write_amendment",
]
