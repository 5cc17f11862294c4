"""`moment` is called `before_or_after`; its column keeps the name that the entries of the journal give it."""

from django.db import migrations, models

CHOICES = [("", "None"), ("before", "Before"), ("after", "After")]


class Migration(migrations.Migration):
    dependencies = [("runs", "0001_first")]
    operations = [
        migrations.AlterField(
            "runup",
            "moment",
            models.CharField(blank=True, choices=CHOICES, db_column="moment", max_length=10),
        ),
        migrations.RenameField("runup", "moment", "before_or_after"),
    ]
