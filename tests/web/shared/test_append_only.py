"""Tables that only grow: raw SQL is refused by the database itself, on both databases."""

import sqlite3

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction
from django.db.migrations.state import ProjectState
from django.db.migrations.writer import OperationWriter

from ullage.web.shared.append_only import AppendOnly, guard, missing_guards, unguard

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TABLE = "kept_line"
ADD = "INSERT INTO kept_line VALUES (%s, %s, %s)"
ROWS = [(1, "a", "first"), (2, "b", "second")]

CHANGES = [
    "UPDATE kept_line SET words = 'other'",
    "UPDATE kept_line SET words = words WHERE id = 1",
    "DELETE FROM kept_line",
    "DELETE FROM kept_line WHERE code = 'b'",
    "INSERT INTO kept_line VALUES (1, 'z', 'other') ON CONFLICT (id) DO UPDATE SET words = 'other'",
]
ONLY_SQLITE = [
    "REPLACE INTO kept_line VALUES (1, 'z', 'other')",
    "INSERT OR REPLACE INTO kept_line VALUES (9, 'a', 'other')",
    "UPDATE OR REPLACE kept_line SET id = 2 WHERE id = 1",
]
ONLY_POSTGRES = ["TRUNCATE kept_line", "TRUNCATE kept_line CASCADE"]
OWN = ONLY_POSTGRES if connection.vendor == "postgresql" else ONLY_SQLITE


def written() -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT id, code, words FROM kept_line ORDER BY id")
        return [tuple(row) for row in cursor.fetchall()]


def run(sql: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)


@pytest.fixture
def table():
    with connection.cursor() as cursor:
        cursor.execute(
            f"CREATE TABLE {TABLE} (id integer PRIMARY KEY, code text UNIQUE, words text)"
        )
        cursor.executemany(ADD, ROWS)
    guard(connection, TABLE)


@pytest.mark.parametrize("sql", CHANGES + OWN)
def test_the_database_refuses_to_change_or_take_away_a_row(table, sql):
    with pytest.raises(IntegrityError, match="kept_line"):
        run(sql)

    assert written() == ROWS


def test_rows_are_added(table):
    run("INSERT INTO kept_line VALUES (3, 'c', 'third')")

    assert written() == [*ROWS, (3, "c", "third")]


def test_without_its_guards_the_same_sql_would_change_it(table):
    """So the refusals above are the guards' doing."""
    unguard(connection, TABLE)
    run(CHANGES[0])

    assert {words for *_, words in written()} == {"other"}


def test_guarding_again_gives_the_same_guards(table):
    guard(connection, TABLE)

    with pytest.raises(IntegrityError, match="never changed and never deleted"):
        run(CHANGES[0])


@pytest.mark.parametrize("way", ["forwards", "backwards"])
def test_the_migration_sets_the_guards_and_takes_them_away_with_the_table(table, way):
    unguard(connection, TABLE)
    state, operation = ProjectState(), AppendOnly(TABLE)
    editor = connection.SchemaEditorClass(connection)
    operation.database_forwards("shared", editor, state, state)
    if way == "backwards":
        operation.database_backwards("shared", editor, state, state)

    if way == "forwards":
        with pytest.raises(IntegrityError, match="never changed and never deleted"):
            run(CHANGES[0])
    else:
        run(CHANGES[0])
        assert {words for *_, words in written()} == {"other"}


def test_the_migration_is_written_as_it_is_read():
    written_down, imports = OperationWriter(AppendOnly("audit_line"), indentation=0).serialize()

    assert "append_only.AppendOnly(" in written_down
    assert "'audit_line'" in written_down
    assert imports == {"import ullage.web.shared.append_only"}


def test_every_table_that_says_so_is_guarded_in_this_database():
    assert missing_guards() == []


def test_a_table_without_its_guards_is_named(table, monkeypatch):
    class Line(models.Model):
        append_only = True

        class Meta:
            app_label = "kept"
            db_table = TABLE
            managed = False

    monkeypatch.setattr("ullage.web.shared.append_only.guarded_models", lambda: [Line])
    assert missing_guards() == []
    unguard(connection, TABLE)
    assert missing_guards() == [TABLE]


@pytest.mark.skipif(connection.vendor != "postgresql", reason="a switch of PostgreSQL alone")
def test_a_guard_that_was_switched_off_is_named_missing(table, monkeypatch):
    class Line(models.Model):
        append_only = True

        class Meta:
            app_label = "kept_off"
            db_table = TABLE
            managed = False

    monkeypatch.setattr("ullage.web.shared.append_only.guarded_models", lambda: [Line])
    run(f"ALTER TABLE {TABLE} DISABLE TRIGGER {TABLE}_no_change")

    assert missing_guards() == [TABLE]


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the file is opened by another program")
def test_a_program_that_opens_the_file_itself_is_refused_too(tmp_path):
    """The guards live in the file, not in our connection."""
    from django.db import connections
    from django.db.backends.sqlite3.base import DatabaseWrapper

    name = tmp_path / "kept.sqlite3"
    ours = DatabaseWrapper({**connections["default"].settings_dict, "NAME": name}, "kept")
    with ours.cursor() as cursor:
        cursor.execute(f"CREATE TABLE {TABLE} (id integer PRIMARY KEY, code text UNIQUE, words)")
        cursor.executemany(ADD, ROWS)
    guard(ours, TABLE)
    ours.close()
    theirs = sqlite3.connect(name)

    for sql in (*CHANGES, *ONLY_SQLITE):
        with pytest.raises(sqlite3.IntegrityError, match="kept_line"):
            theirs.execute(sql)
    assert theirs.execute("SELECT * FROM kept_line").fetchall() == ROWS
    theirs.close()


@pytest.mark.django_db(transaction=True)
def test_a_database_of_tests_is_emptied_and_stays_guarded():
    call_command("flush", interactive=False, verbosity=0)

    assert missing_guards() == []
