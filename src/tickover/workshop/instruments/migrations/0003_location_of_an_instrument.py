"""The class has another name; its table, the rows and what the journal says of them stay as they are."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("instruments", "0002_class_of_a_torque_tool"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.RenameModel("Placing", "InstrumentLocation"),
                migrations.AlterModelTable("InstrumentLocation", "instruments_placing"),
                migrations.AlterField(
                    "InstrumentLocation",
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="locations",
                        to="instruments.instrument",
                    ),
                ),
            ],
        ),
    ]
