"""Names of this database and rules of its backups are added, never changed."""

from django.db import migrations

from ullage.web.shared.append_only import AppendOnly


class Migration(migrations.Migration):
    """Guards on the tables that only grow."""

    dependencies = (("upkeep", "0001_initial"),)
    operations = (AppendOnly("upkeep_epoch"), AppendOnly("upkeep_backuprule"))
