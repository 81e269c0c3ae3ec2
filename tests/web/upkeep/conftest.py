"""What tests of the upkeep start from: a home of their own, and a record with entries."""

import pytest
from django.db import connection

from tests.web.cases.conftest import entry, record  # noqa: F401  # fixtures
from ullage.web.cases.selectors import CaseState
from ullage.web.cases.services import lines_take, state_write
from ullage.web.shared.append_only import guard, guarded_models, unguard


def _guarded(do) -> None:
    for model in guarded_models():
        do(connection, model._meta.db_table)


@pytest.fixture
def _guards(django_db_setup, django_db_blocker):
    """Set up before and ended after the emptying of the tables: guards stand again for others."""
    yield
    with django_db_blocker.unblock():
        _guarded(guard)


@pytest.fixture
def committed(_guards, transactional_db):
    """What is written is committed, as copies of a database see nothing else."""
    yield
    _guarded(unguard)


@pytest.fixture(autouse=True)
def home(tmp_path, settings, monkeypatch):
    """A folder for key and backups."""
    monkeypatch.delenv("ULLAGE_SIGNING_KEY", raising=False)
    monkeypatch.delenv("ULLAGE_BACKUPS", raising=False)
    settings.STATE = tmp_path / "home"
    settings.STATE.mkdir()
    return settings.STATE


@pytest.fixture
def filled(committed, record, entry, operator):  # noqa: F811  # fixtures
    """A record with thirty entries that is closed."""
    for number in range(3):
        sent = [entry(typed=str(100 + number * 10 + one)) for one in range(10)]
        assert {one.outcome for one in lines_take(record=record, sent=sent, by=operator)} == {
            "taken"
        }
    return state_write(record=record, to=CaseState.CLOSED, by=operator)
