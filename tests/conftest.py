"""Around every test: a database of tests is emptied although some of its tables only grow."""

import pytest


@pytest.fixture(scope="session", autouse=True)
def tables_that_only_grow():
    """After a test that really commits, Django empties each table; the guards stand aside."""
    from django.core.management.commands.flush import Command

    emptied = Command.handle

    def emptied_and_guarded(self, **options):
        from django.db import connections

        from ullage.web.shared.append_only import guard, guarded_models, unguard

        connection = connections[options["database"]]
        tables = [model._meta.db_table for model in guarded_models()]
        for table in tables:
            unguard(connection, table)
        try:
            return emptied(self, **options)
        finally:
            for table in tables:
                guard(connection, table)

    Command.handle = emptied_and_guarded
    yield
    Command.handle = emptied
