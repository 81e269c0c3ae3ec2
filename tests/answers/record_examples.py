"""One call per answer about records, for the test of every answer."""

from datetime import timedelta

from tests.answers.record.cases import BEGAN, PUBLIC, case_chain, register, signed_file
from tests.answers.record.full import lines
from tests.answers.record.test_drug_lines import drug
from tests.answers.record.test_retention import PIG
from ullage.answers import (
    drug_given,
    group_allowed,
    interval_rule,
    may_case_begin,
    may_case_close,
    next_due,
    reading_doubted,
    record_complete,
    recovery_left,
    retention_until,
    verify_record,
    verify_register,
)
from ullage.answers.record.chained import head_of
from ullage.answers.record.intervals import Phase
from ullage.answers.record.recovery import recovery_steps

CHAIN = case_chain()

RECORD_EXAMPLES = {
    "group_allowed": lambda: group_allowed("mouse", by_site=True),
    "may_case_begin": lambda: may_case_begin(None, []),
    "may_case_close": lambda: may_case_close(lines(), recovery_steps("rabbit"), waiting=1),
    "drug_given": lambda: drug_given(drug(), 3.1),
    "interval_rule": lambda: interval_rule("cat", Phase.ANAESTHESIA),
    "next_due": lambda: next_due(
        interval_rule("cat", Phase.ANAESTHESIA), BEGAN, BEGAN, BEGAN + timedelta(minutes=2)
    ),
    "reading_doubted": lambda: reading_doubted("heart_rate", 20.0, "/min", "cat"),
    "record_complete": lambda: record_complete(lines(["awake"])),
    "recovery_left": lambda: recovery_left(recovery_steps("sheep"), []),
    "retention_until": lambda: retention_until(PIG, ["eu", "aspa"]),
    "verify_record": lambda: verify_record(signed_file(CHAIN), [PUBLIC]),
    "verify_register": lambda: verify_register(
        signed_file(register(head_of(CHAIN, "r1")), "site-1", "register"), [PUBLIC], []
    ),
}
