"""What breaks on the server leaves a trace beside the data."""

import logging

import pytest
from django.conf import settings

pytestmark = pytest.mark.web


def test_what_breaks_is_written_beside_the_data():
    logging.getLogger("django.request").error("Broken on purpose: %s", "a test")

    written = (settings.STATE / "ullage.log").read_text()

    assert "ERROR django.request: Broken on purpose: a test" in written
