"""What a database says of itself is believed, and what was asked of it is not."""

import os
import subprocess
import sys

import pytest
from django.db import connection, connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from tools.postgres import throw_away
from ullage.core.errors import RuleBroken
from ullage.web.shared.durable import (
    insist_durable,
    insist_on_opening,
    settings_read_back,
    what_is_not_durable,
)

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def opened(path, pragmas: str = "") -> DatabaseWrapper:
    """A connection of our own to a file."""
    usual = connections.configure_settings({"default": {}})["default"]
    options = {"init_command": pragmas} if pragmas else {}
    return DatabaseWrapper({**usual, "NAME": str(path), "OPTIONS": options})


OURS = "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;"


def test_the_settings_we_ask_for_are_read_back(tmp_path):
    made = opened(tmp_path / "a.sqlite3", OURS)
    made.connect()

    assert settings_read_back(made) == {"journal_mode": "wal", "synchronous": "FULL"}
    assert what_is_not_durable(made) == ""
    made.close()


@pytest.mark.parametrize(
    ("pragmas", "said"),
    [
        ("PRAGMA journal_mode=WAL;PRAGMA synchronous=NORMAL;", "synchronous is NORMAL"),
        ("PRAGMA journal_mode=WAL;PRAGMA synchronous=OFF;", "synchronous is OFF"),
        ("PRAGMA journal_mode=DELETE;PRAGMA synchronous=FULL;", "journal_mode is delete"),
        ("PRAGMA journal_mode=MEMORY;PRAGMA synchronous=FULL;", "journal_mode is memory"),
    ],
)
def test_every_opening_of_a_file_refuses_what_would_lose_entries(tmp_path, pragmas, said):
    made = opened(tmp_path / "a.sqlite3", pragmas)

    for _ in range(2):
        with pytest.raises(RuleBroken, match=said):
            made.ensure_connection()


def test_a_database_in_memory_keeps_nothing_and_is_let_through():
    made = opened(":memory:")
    made.connect()

    assert "journal_mode is memory" in what_is_not_durable(made)
    made.connection.close()  # Django leaves one in memory open


def test_the_hook_stands_on_every_connection(db):
    from django.db.backends.signals import connection_created

    assert any(one[1]() is insist_on_opening for one in connection_created.receivers)


SCRIPT = "from ullage.cli.site import open_site, prepare_site; open_site(); prepare_site()"


def asked(database: str, home) -> subprocess.CompletedProcess[str]:
    clean = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    clean |= {"ULLAGE_HOME": str(home), "ULLAGE_DATABASE": database}
    command = [sys.executable, "-c", SCRIPT]
    return subprocess.run(command, env=clean, capture_output=True, text=True, check=False)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="it starts servers of its own")
def test_a_server_that_does_not_sync_is_refused_and_one_that_does_is_not(tmp_path):
    with throw_away() as quick:
        refused = asked(quick, tmp_path)
    with throw_away(durable=True) as safe:
        taken = asked(safe, tmp_path)

    assert refused.returncode == 1
    assert "fsync is off, full_page_writes is off" in refused.stderr
    assert taken.returncode == 0, taken.stderr


@pytest.mark.skipif(connection.vendor != "postgresql", reason="PostgreSQL alone")
def test_what_a_server_says_is_read_back(db):
    read = settings_read_back(connection)

    # The throw-away server of the tests is quick and unsafe on purpose.
    assert read == {"fsync": "off", "full_page_writes": "off", "synchronous_commit": "on"}
    with pytest.raises(RuleBroken, match="fsync is off"):
        insist_durable(connection)
