"""Django in a folder of its own, for benchmarks that need the site."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryDirectory

__all__ = ["temporary_site"]


@contextmanager
def temporary_site() -> Iterator[None]:
    """Set up Django with an empty database in a temporary folder; once in a process.

    Where Django is set up already, as under pytest, its own database is used.
    """
    from django.apps import apps

    if apps.ready:
        yield
        return
    with TemporaryDirectory(prefix="ullage-bench-") as home:
        os.environ["ULLAGE_HOME"] = home
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
        os.environ.pop("ULLAGE_DATABASE", None)
        import django
        from django.core.management import call_command
        from django.db import connections

        django.setup()
        call_command("migrate", verbosity=0, interactive=False)
        try:
            yield
        finally:
            connections.close_all()
