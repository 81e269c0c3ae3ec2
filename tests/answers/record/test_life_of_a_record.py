"""Random edits, corrections, signatures and exports against a model that is a plain list."""

import json
from datetime import timedelta

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from tests.answers.record.cases import AT, BEGAN, PRIVATE, PUBLIC, opened
from ullage.answers import Verdict
from ullage.answers.record.chained import head_of, next_link, register_line
from ullage.answers.record.exported import export_chain, read_export
from ullage.answers.record.signed import sign_head
from ullage.answers.record.things import (
    Amendment,
    EntryKind,
    EntryText,
    Meaning,
    SignatureText,
    Times,
    entries_now,
)
from ullage.answers.record.verified import verify_record, verify_register
from ullage.answers.record.written import content_of, line_of_text

TYPED = st.text(min_size=1, max_size=12)
MINUTES = st.integers(0, 300)


def at(minute):
    seen = BEGAN + timedelta(minutes=minute)
    return Times(observed=seen, written=seen, received=seen)


class LifeOfARecord(RuleBasedStateMachine):
    """The model: what each entry was, what it says now, and how long the record was when signed."""

    @initialize()
    def open(self):
        self.chain = ()
        self.register = ()
        self.said, self.now, self.gone = {}, {}, set()
        self.signatures = []
        self.add(opened())

    def add(self, line):
        last = self.chain[-1] if self.chain else None
        self.chain = (*self.chain, next_link(last, content_of(line)))

    @property
    def following(self):
        return {
            "id": f"r1-{len(self.chain) + 1}",
            "record": "r1",
            "order": len(self.chain) + 1,
            "author": "S. Vale",
        }

    @rule(typed=TYPED, minute=MINUTES, kind=st.sampled_from(EntryKind))
    def write(self, typed, minute, kind):
        line = EntryText(**self.following, times=at(minute), kind=kind, what="x", typed=typed)
        self.add(line)
        self.said[line.id] = self.now[line.id] = typed

    @precondition(lambda self: self.now)
    @rule(data=st.data(), typed=TYPED, withdrawn=st.booleans())
    def correct(self, data, typed, withdrawn):
        of = data.draw(st.sampled_from(sorted(self.now)))
        line = Amendment(
            **self.following,
            times=at(301),
            of=of,
            reason="misread",
            typed=typed,
            withdrawn=withdrawn,
        )
        self.add(line)
        if withdrawn:
            del self.now[of]
        else:
            self.now[of] = typed

    @rule(meaning=st.sampled_from(Meaning))
    def sign(self, meaning):
        self.add(
            SignatureText(**self.following, times=at(302), printed_name="Sam Vale", meaning=meaning)
        )
        self.signatures.append(sign_head(head_of(self.chain, "r1"), PRIVATE, AT))

    @rule()
    def enter_in_register(self):
        last = self.register[-1] if self.register else None
        line = register_line(head_of(self.chain, "r1"), "s", len(self.register) + 1, AT)
        self.register = (*self.register, next_link(last, line, "register"))

    @rule()
    def export_signed(self):
        here = sign_head(head_of(self.chain, "r1"), PRIVATE, AT)
        data = export_chain(self.chain, "r1", signatures=[*self.signatures, here])

        assert verify_record(data, [PUBLIC]).verdict is Verdict.FINE

    @precondition(lambda self: len(self.chain) > 1)
    @rule(data=st.data())
    def tamper_with_an_export(self, data):
        content = json.loads(export_chain(self.chain, "r1", signatures=self.signatures))
        place = data.draw(st.integers(0, len(self.chain) - 1))
        way = data.draw(st.sampled_from(["drop", "twice", "change", "swap"]))
        lines = content["lines"]
        other = (place + 1) % len(lines)
        if way == "drop":
            del lines[place]
        elif way == "twice":
            lines.insert(other, lines[place])
        elif way == "change":
            lines[place]["text"] = lines[place]["text"].replace("S. Vale", "S. Dale", 1)
        else:
            lines[place], lines[other] = lines[other], lines[place]
        text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

        assert verify_record(f"{text}\n".encode()).verdict is Verdict.STOP

    @invariant()
    def what_was_said_first_is_still_there(self):
        lines = [line_of_text(one.text) for one in self.chain]
        first = {one.id: one.typed for one in lines if isinstance(one, EntryText)}

        assert first == self.said

    @invariant()
    def what_stands_now_is_what_the_model_says(self):
        lines = [line_of_text(one.text) for one in self.chain]

        assert {one.id: one.typed for one in entries_now(lines)} == self.now

    @invariant()
    def the_chain_holds_and_comes_back_from_its_file(self):
        data = export_chain(self.chain, "r1", signatures=self.signatures)

        assert verify_record(data).verdict is Verdict.LOOK_AGAIN
        assert read_export(data).sums == tuple(one.sum for one in self.chain)

    @invariant()
    def the_register_agrees_with_the_record(self):
        if self.register:
            data = export_chain(self.register, "s", "register")
            record = export_chain(self.chain, "r1")

            assert verify_register(data, [], [record]).verdict is Verdict.LOOK_AGAIN
            assert verify_register(data, [], []).verdict is Verdict.STOP


TestLifeOfARecord = LifeOfARecord.TestCase
TestLifeOfARecord.settings = settings(max_examples=30, stateful_step_count=20, deadline=None)
