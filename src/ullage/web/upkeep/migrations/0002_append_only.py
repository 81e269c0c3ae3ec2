"""Rules of backups are added, never changed."""

from django.db import migrations

from ullage.web.shared.append_only import AppendOnly


class Migration(migrations.Migration):
    """Guards on the table that only grows."""

    dependencies = (("upkeep", "0001_initial"),)
    operations = (AppendOnly("upkeep_backuprule"),)
