"""What tests of the interface start from: a running case, and a device beside it."""

import pytest
from django.core.cache import cache
from django.test import Client

from tests.web.api.device import Device
from tests.web.cases.conftest import entry, record

__all__ = ["entry", "record"]


@pytest.fixture(autouse=True)
def fresh_pace():
    """Requests of the test before do not count for this one."""
    cache.clear()


@pytest.fixture
def device(as_operator) -> Device:
    """A device at the table that is not enrolled, with a ticket of the operator."""
    return Device(client=as_operator).ask()


@pytest.fixture
def enrolled(as_operator) -> Device:
    """An enrolled tablet with a ticket of the operator."""
    return Device(client=as_operator).enrol().ask()


@pytest.fixture
def alone(enrolled) -> Device:
    """The same tablet when nobody is signed in any more."""
    enrolled.client = Client(enforce_csrf_checks=True)
    return enrolled
