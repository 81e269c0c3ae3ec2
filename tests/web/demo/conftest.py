"""One world, built once for all tests that only look at it."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from django.db import transaction

from ullage.web.demo import World, build_world

NOW = datetime(2026, 6, 9, 13, 31, tzinfo=UTC)  # a Tuesday


@pytest.fixture(scope="module")
def world(django_db_setup, django_db_blocker) -> Iterator[World]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_world(1, NOW, "amber-basin-cobble")
        transaction.set_rollback(True)
