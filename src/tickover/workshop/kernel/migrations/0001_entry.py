from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

SQLITE = """
CREATE TRIGGER journal_entry_no_{name} BEFORE {event} ON journal_entry
BEGIN SELECT RAISE(ABORT, 'the journal is append-only: correct an entry by a new one'); END
"""
# A replacing insert would delete the old row without its delete trigger.
SQLITE_REPLACE = """
CREATE TRIGGER journal_entry_no_replace BEFORE INSERT ON journal_entry
WHEN EXISTS (SELECT 1 FROM journal_entry WHERE sequence = NEW.sequence OR hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'the journal is append-only: correct an entry by a new one'); END
"""
POSTGRESQL = """
CREATE FUNCTION journal_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'the journal is append-only: correct an entry by a new one'; END $$;
CREATE TRIGGER journal_entry_no_change BEFORE UPDATE OR DELETE ON journal_entry
FOR EACH ROW EXECUTE FUNCTION journal_refuse();
CREATE TRIGGER journal_entry_no_truncate BEFORE TRUNCATE ON journal_entry
FOR EACH STATEMENT EXECUTE FUNCTION journal_refuse();
"""


def add_triggers(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    vendor = schema_editor.connection.vendor
    if vendor == "sqlite":
        for event in ("UPDATE", "DELETE"):
            schema_editor.execute(SQLITE.format(name=event.lower(), event=event))
        schema_editor.execute(SQLITE_REPLACE)
    elif vendor == "postgresql":
        schema_editor.execute(POSTGRESQL)
    else:
        raise RuntimeError(f"no append-only triggers are known for {vendor}; use SQLite or PostgreSQL")


class Migration(migrations.Migration):
    initial = True
    dependencies = []
    operations = [
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("sequence", models.BigIntegerField(primary_key=True, serialize=False)),
                ("at", models.CharField(max_length=40)),
                ("actor", models.CharField(max_length=150)),
                ("kind", models.CharField(max_length=60)),
                ("subject", models.CharField(db_index=True, max_length=120)),
                ("body", models.TextField()),
                ("previous_hash", models.CharField(max_length=64)),
                ("hash", models.CharField(max_length=64, unique=True)),
            ],
            options={"ordering": ["sequence"]},
        ),
        migrations.RunPython(add_triggers, migrations.RunPython.noop),
    ]
