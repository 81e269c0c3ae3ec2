"""Lines that are kept in memory are those of the database, whatever happens to it."""

import asyncio
import json

import pytest
from asgiref.sync import SyncToAsync, ThreadSensitiveContext, sync_to_async

from ullage.web.cases.models import Line, Record
from ullage.web.cases.selectors import lines_of
from ullage.web.cases.selectors.levels import levels_of
from ullage.web.cases.selectors.memory import case_lines, count_of
from ullage.web.cases.selectors.running import running_page
from ullage.web.cases.services import lines_take
from ullage.web.cases.views import stream

pytestmark = pytest.mark.web


def test_what_is_kept_grows_with_the_record(record, entry, operator):
    first = case_lines(record)
    lines_take(record=record, sent=[entry("heart_rate", "101")], by=operator)
    then = case_lines(record)

    assert then.lines == lines_of(record)
    assert then.lines[: first.count] == first.lines
    assert then.count == first.count + 1


def test_only_what_came_since_is_read_again(record, entry, operator, django_assert_num_queries):
    case_lines(record)
    lines_take(record=record, sent=[entry("heart_rate", "101")], by=operator)

    with django_assert_num_queries(1) as asked:
        case_lines(record)
    assert '"order" >=' in asked.captured_queries[0]["sql"]


def test_a_database_that_was_restored_is_read_anew(record, entry, operator, monkeypatch):
    """After a restore a record of the same number may hold another chain."""
    lines_take(record=record, sent=[entry("heart_rate", "101")], by=operator)
    kept = case_lines(record)
    other = [(one.order, one.text, f"{one.order:064d}") for one in record.lines.order_by("order")]
    from ullage.web.cases.selectors import memory

    monkeypatch.setattr(memory, "_rows", lambda row, first: other[first - 1 :])
    found = case_lines(record)

    assert found.head == other[-1][2]
    assert found.lines == kept.lines


def test_levels_are_worked_out_once_for_the_same_lines_and_minute(record, entry, operator):
    from django.utils import timezone

    now = timezone.now().replace(second=1, microsecond=0)
    first = levels_of(running_page(record, now))

    assert levels_of(running_page(record, now)) is first
    lines_take(record=record, sent=[entry("heart_rate", "101")], by=operator)
    record.refresh_from_db()
    assert levels_of(running_page(record, now)) is not first


def test_the_count_of_a_record_is_one_small_query(record, django_assert_num_queries):
    there = Line.objects.filter(record=record).count()

    with django_assert_num_queries(1):
        assert count_of(record.pk) == there


def test_the_head_says_how_far_the_record_goes(record, as_viewer):
    reply = as_viewer.get(f"/cases/{record.code}/head/")

    assert json.loads(reply.content) == {"count": record.count}


def test_a_stream_is_not_kept_and_is_plain_text_of_events(record, as_viewer):
    reply = as_viewer.get(f"/cases/{record.code}/stream/")

    assert reply.status_code == 200
    assert reply["Content-Type"].startswith("text/event-stream")
    assert reply["Cache-Control"] == "no-store"
    assert reply.streaming


class Clock:
    """Seconds that pass only where somebody sleeps."""

    def __init__(self):
        self.now = 1000.0

    def __call__(self):
        return self.now

    async def sleep(self, seconds):
        self.now += seconds


def told(monkeypatch, counts, pk=1):
    """What a stream says while a record has these counts, one a second."""
    clock, looks = Clock(), []

    def read(_):
        looks.append(clock.now)
        return counts[min(len(looks), len(counts)) - 1]

    monkeypatch.setattr(stream, "monotonic", clock)
    monkeypatch.setattr(stream.asyncio, "sleep", clock.sleep)
    monkeypatch.setattr(stream, "_read", read)
    monkeypatch.setattr(stream, "_give_back", lambda: None)
    monkeypatch.setattr(stream, "_leave_thread", lambda: None)
    monkeypatch.setattr(stream, "_looked", {})

    async def collected():
        return [one async for one in stream._told(pk)]

    return asyncio.run(collected()), looks


def test_a_stream_tells_of_each_growth_beats_in_between_and_ends(monkeypatch):
    said, looks = told(monkeypatch, [3, 3, 4])
    grown = [one for one in said if one.startswith("event: grown")]

    assert said[0] == "retry: 1000\n\n"
    assert [json.loads(one.partition("data: ")[2])["count"] for one in grown] == [3, 4]
    assert any(one.startswith(":") for one in said)
    assert len(looks) == pytest.approx(300, abs=2)


def test_many_streams_of_one_record_look_together_once_a_second(monkeypatch):
    clock, looks = Clock(), []
    monkeypatch.setattr(stream, "monotonic", clock)
    monkeypatch.setattr(stream, "_looked", {})
    monkeypatch.setattr(stream, "_read", lambda pk: looks.append(pk) or 7)

    async def several():
        return [await stream._count(1) for _ in range(20)]

    assert asyncio.run(several()) == [7] * 20
    assert looks == [1]
    clock.now += 1.0
    asyncio.run(several())
    assert looks == [1, 1]


def test_a_stream_that_waits_holds_no_thread_of_its_own():
    async def held():
        async with ThreadSensitiveContext() as context:
            await sync_to_async(lambda: None)()
            before = context in SyncToAsync.context_to_thread_executor
            stream._leave_thread()
            return before, context in SyncToAsync.context_to_thread_executor

    assert asyncio.run(held()) == (True, False)


def test_a_stranger_and_who_is_not_signed_in_get_no_stream(record, as_stranger, client):
    address = f"/cases/{record.code}/stream/"

    assert as_stranger.get(address).status_code == 404
    assert client.get(address).status_code == 302
    assert Record.objects.count() == 1
