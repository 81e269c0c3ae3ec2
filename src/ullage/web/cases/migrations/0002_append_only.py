"""The tables of a record only grow: the database refuses every change and deletion."""

from django.db import migrations

from ullage.web.shared.append_only import AppendOnly

_TABLES = (
    *("line", "nottaken", "settled", "recordfile"),
    *("signedhead", "registerline", "signedregister"),
)


class Migration(migrations.Migration):
    """Guards on every table of the app that holds what was entered."""

    dependencies = (("cases", "0001_initial"),)
    operations = tuple(AppendOnly(f"cases_{table}") for table in _TABLES)
