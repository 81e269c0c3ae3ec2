"""A paper that was kept is never changed and never deleted."""

from django.db import migrations

from ullage.web.shared.append_only import AppendOnly


class Migration(migrations.Migration):
    """A guard on the table of papers."""

    dependencies = (("records", "0001_initial"),)
    operations = (AppendOnly("records_signedpaper"),)
