"""The figures of the queue over HTTP at a tenth of their counts: nothing is lost, none is timed."""

import pytest

from benchmarks import queue_http as measured

pytestmark = pytest.mark.web


def test_what_was_acknowledged_over_http_stands_in_the_record():
    found = list(measured.on_database("SQLite", "", operators=2, seconds=3))

    times = [one for one in found if one.unit == "ms"]
    assert [one.limit for one in times] == [measured.LIMIT_MS, measured.ROUND_TRIP_MS]
    assert all(one.value > 0.0 for one in times)
    lost = next(one for one in found if "not in the record" in one.name)
    assert (lost.value, lost.n) == (0, 2 * (1 + 3) + 40 + 50)
    assert lost.note == "2 of 2 chains whole, 0 kept aside"
    assert found[-1].met
