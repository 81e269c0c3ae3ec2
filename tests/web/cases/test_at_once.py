"""Two who send at once: one waits for the other, and then sees what the other left."""

import threading
from time import sleep

import pytest
from django.db import connection, transaction

from ullage.web.cases.models import Line
from ullage.web.cases.selectors import chain_of
from ullage.web.cases.services import lines_take
from ullage.web.cases.services.chain import record_locked
from ullage.web.sites.models import Membership, Role

pytestmark = [
    pytest.mark.web,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="its own lock of a row"),
    pytest.mark.django_db(transaction=True),
]


def one_who_waits(record, sent, by):
    """A thread that takes a line, which the holder of the record has to let go first."""
    found = []

    def take():
        found.extend(lines_take(record=record, sent=[sent], by=by))
        connection.close()

    thread = threading.Thread(target=take)
    thread.start()
    until_somebody_waits()
    return thread, found


def until_somebody_waits():
    asked = "SELECT count(*) FROM pg_locks WHERE NOT granted"
    for _ in range(500):
        with connection.cursor() as cursor:
            cursor.execute(asked)
            if cursor.fetchone()[0]:
                return
        sleep(0.01)
    raise AssertionError("nobody waits for the record")


def test_who_waited_for_the_record_sees_that_the_entry_stands_already(record, operator, entry):
    one = entry()
    with transaction.atomic():
        record_locked(record)
        thread, found = one_who_waits(record, one, operator)
        (first,) = lines_take(record=record, sent=[one], by=operator)
    thread.join()
    assert [(each.outcome, each.order) for each in found] == [("again", first.order)]
    assert Line.objects.filter(code=one.line.id).count() == 1


def test_who_waited_for_the_record_adds_after_what_was_added(record, operator, entry):
    with transaction.atomic():
        record_locked(record)
        thread, found = one_who_waits(record, entry(typed="121"), operator)
        (first,) = lines_take(record=record, sent=[entry()], by=operator)
    thread.join()
    assert [(each.outcome, each.order) for each in found] == [("taken", first.order + 1)]
    orders = [one.order for one in chain_of(record)]
    assert orders == list(range(1, first.order + 2))


def test_who_waited_for_the_record_and_lost_the_role_adds_nothing(record, operator, entry):
    with transaction.atomic():
        record_locked(record)
        thread, found = one_who_waits(record, entry(), operator)
        Membership.objects.filter(user=operator).update(role=Role.VIEWER)
    thread.join()
    assert [each.outcome for each in found] == ["kept"]
