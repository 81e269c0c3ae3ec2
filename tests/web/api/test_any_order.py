"""Whatever tablets and networks do, each acknowledged line stands once, with its own times.

A model of the queue is told what every tablet writes and sends; the server has to agree with it.
"""

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from tests.counts import counted
from tests.web.api.device import Device, worded
from ullage.answers.record.chained import START, link
from ullage.answers.record.written import line_of_text
from ullage.web.cases.models import NotTaken
from ullage.web.cases.selectors import CaseState, chain_of
from ullage.web.cases.services import Opening, record_open, state_write

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TABLETS = st.integers(0, 1)
SLACK = timedelta(minutes=5)


@dataclass
class Pad:
    """A tablet: what waits on it, what was acknowledged to it, how its clock runs."""

    device: Device
    ahead: timedelta = timedelta(0)
    waits: list[dict[str, str]] = field(default_factory=list)
    acknowledged: list[dict[str, str]] = field(default_factory=list)


class Queue(RuleBasedStateMachine):
    """Two tablets at one case; some replies are lost, and some requests overtake others."""

    world: Callable[[], tuple[object, list[Device]]]
    seen: Counter[bool]

    def __init__(self):
        super().__init__()
        cache.clear()
        self.record, devices = self.world()
        self.pads = [Pad(device=one) for one in devices]
        #: What reached the server first, by word: True where it has to stand in the record.
        self.reached: dict[str, bool] = {}
        self.said: dict[str, str] = {}

    @rule(at=TABLETS, typed=st.lists(st.integers(40, 240), min_size=1, max_size=4))
    def write(self, at, typed):
        """Entries are made while nobody needs to be there; every other time the clock is known."""
        for one in typed:
            self._write(self.pads[at], one, one % 2 == 0)

    @rule(at=TABLETS, by_hours=st.integers(-30, 30), typed=st.integers(40, 240))
    def the_clock_jumps_after_an_entry(self, at, by_hours, typed):
        self._write(self.pads[at], typed, False)
        self.pads[at].ahead += timedelta(hours=by_hours)

    def _write(self, pad, typed, is_measured):
        now = datetime.now(UTC)
        word = worded(
            self.record.code,
            typed=str(typed),
            observed=now.isoformat(),
            written=(now + pad.ahead).isoformat(),
            offset_s=f"{pad.ahead.total_seconds():.3f}" if is_measured else None,
        )
        pad.waits.append({**pad.device.line(word), "ahead_s": pad.ahead.total_seconds()})

    @rule(at=TABLETS, count=st.integers(1, 8))
    def send(self, at, count):
        """What waits longest goes out, and the tablet hears what became of it."""
        pad = self.pads[at]
        batch, pad.waits = pad.waits[:count], pad.waits[count:]
        self._sent(pad, batch)
        pad.acknowledged += batch

    @rule(at=TABLETS, count=st.integers(1, 8))
    def send_and_hear_nothing(self, at, count):
        pad = self.pads[at]
        self._sent(pad, pad.waits[:count])

    @rule(at=TABLETS)
    def a_request_is_overtaken(self, at):
        self.pads[at].waits.reverse()

    @rule(at=TABLETS)
    def all_that_was_acknowledged_is_offered_again(self, at):
        pad = self.pads[at]
        self._sent(pad, pad.acknowledged[-20:])

    @rule(at=TABLETS)
    def one_request_holds_a_line_twice(self, at):
        pad = self.pads[at]
        self._sent(pad, pad.waits[:1] * 2)

    @rule(at=TABLETS)
    def the_same_id_says_something_else(self, at):
        """Both are kept: the first in its place, the other aside."""
        pad = self.pads[at]
        for line in pad.waits[:1]:
            other = json.dumps({**json.loads(line["word"]), "typed": "39"})
            pad.waits.append({**pad.device.line(other), "ahead_s": line["ahead_s"]})

    def _sent(self, pad, batch):
        if not batch:
            return
        for line in batch:
            self._reach(pad, line)
        pad.device.ahead = pad.ahead
        lines = [{name: line[name] for name in ("word", "signature", "ticket")} for line in batch]
        reply = pad.device.post_lines(lines)
        assert reply.status_code == 200, reply.content
        for line, one in zip(batch, reply.json()["results"], strict=True):
            word = line["word"]
            stands = {"taken", "again"} if self.reached[word] else {"kept"}
            assert one["outcome"] in stands, (one, word)
            if word in self.said:
                assert one["outcome"] != "taken"
            self.said[word] = one["outcome"]

    def _reach(self, pad, line):
        """Whether a line has to stand: its author proved by its clock, its id not taken."""
        word = line["word"]
        if word in self.reached:
            return
        said = json.loads(word)
        error_s = 0.0
        if said["offset_s"] is None:
            error_s = line["ahead_s"] - pad.ahead.total_seconds()
        in_time = -SLACK.total_seconds() < error_s <= 12 * 3600
        ids = {json.loads(one)["id"] for one, stands in self.reached.items() if stands}
        self.reached[word] = in_time and said["id"] not in ids
        self.seen[self.reached[word]] += 1

    @invariant()
    def each_line_that_reached_the_server_is_there_once(self):
        links = chain_of(self.record)
        entries = [line_of_text(one.text) for one in links if '"line":"entry"' in one.text]
        expected = [json.loads(word) for word, stands in self.reached.items() if stands]
        assert [one.id for one in entries] == [one["id"] for one in expected]
        for one, said in zip(entries, expected, strict=True):
            assert one.typed == said["typed"]
            assert one.times.written == datetime.fromisoformat(said["written"])
            assert one.times.observed == datetime.fromisoformat(said["observed"])
        aside = {word for word, stands in self.reached.items() if not stands}
        kept = list(NotTaken.objects.filter(record=self.record).values_list("sent", flat=True))
        assert sorted(kept) == sorted(aside)

    @invariant()
    def the_chain_is_whole(self):
        before = START
        for order, one in enumerate(chain_of(self.record), start=1):
            assert (one.order, one.sum) == (order, link(before, one.text))
            before = one.sum


@pytest.fixture
def world(site, machine, operator, client_of):
    """For each run a new case, and the same two tablets with nobody signed in."""
    devices = []
    for name in ("Table 1", "Table 2"):
        device = Device(client=client_of(operator)).enrol(name).ask()
        device.client = Client()
        devices.append(device)

    def made():
        opening = Opening(machine=machine, name="Clover", species="cat")
        record = record_open(site=site, opening=opening, by=operator)
        return state_write(record=record, to=CaseState.RUNNING, by=operator), devices

    return made


@pytest.mark.soak
def test_tablets_and_networks_may_do_what_they_like(world):
    class Run(Queue):
        pass

    Run.world, Run.seen = staticmethod(world), Counter()
    run_state_machine_as_test(
        Run,
        settings=settings(
            max_examples=counted(300),
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert min(Run.seen[True], Run.seen[False]) >= counted(100)
