"""The database itself refuses to change what was entered, asked in plain SQL."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError

from ullage.web.cases.models import Line, NotTaken, RegisterLine, SignedHead
from ullage.web.cases.services import lines_take
from ullage.web.shared.append_only import missing_guards

pytestmark = [pytest.mark.web, pytest.mark.django_db]

_FILLED = (Line, NotTaken, RegisterLine, SignedHead)


@pytest.fixture
def filled(record, operator, entry):
    """One row in each table."""
    one = entry(typed="120")
    lines_take(record=record, sent=[one, entry(typed="121", code=one.line.id)], by=operator)
    SignedHead.objects.create(
        record=record, count=record.count, sum=record.head, at="", key="00", signature="00"
    )


def test_every_table_that_only_grows_is_guarded(db):
    assert missing_guards() == []


@pytest.mark.parametrize("table", _FILLED, ids=lambda model: model.__name__)
@pytest.mark.parametrize("sql", ["UPDATE {table} SET id = id", "DELETE FROM {table}"])
def test_plain_sql_cannot_change_or_delete(filled, table, sql):
    name = table._meta.db_table
    before = list(table.objects.order_by("pk").values())
    assert before
    with (
        pytest.raises(IntegrityError, match="are never changed and never deleted"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql.format(table=name))
    assert list(table.objects.order_by("pk").values()) == before


def test_a_record_with_lines_cannot_be_deleted(filled, record):
    with pytest.raises(ProtectedError, match="protected foreign keys"):
        record.delete()
