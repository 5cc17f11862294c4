"""The triggers that keep the journal append-only, as they are in the database and as they have to be."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import connection

REFUSAL = "the journal is append-only: correct an entry by a new one"
SQLITE = {
    "journal_entry_no_update": f"""CREATE TRIGGER journal_entry_no_update BEFORE UPDATE ON journal_entry
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
    "journal_entry_no_delete": f"""CREATE TRIGGER journal_entry_no_delete BEFORE DELETE ON journal_entry
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
    "journal_entry_no_replace": f"""CREATE TRIGGER journal_entry_no_replace BEFORE INSERT ON journal_entry
        WHEN EXISTS (SELECT 1 FROM journal_entry WHERE sequence = NEW.sequence OR hash = NEW.hash)
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
}
SQLITE_FOUND = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'journal_entry'"

_REFUSING = f"enabled; BEGIN RAISE EXCEPTION '{REFUSAL}'; END"
POSTGRESQL = {
    "journal_entry_no_change": "CREATE TRIGGER journal_entry_no_change BEFORE DELETE OR UPDATE ON journal_entry "
    f"FOR EACH ROW EXECUTE FUNCTION journal_refuse(); {_REFUSING}",
    "journal_entry_no_truncate": "CREATE TRIGGER journal_entry_no_truncate BEFORE TRUNCATE ON journal_entry "
    f"FOR EACH STATEMENT EXECUTE FUNCTION journal_refuse(); {_REFUSING}",
}
POSTGRESQL_FOUND = """
SELECT tgname, replace(pg_get_triggerdef(t.oid), quote_ident(n.nspname) || '.', '') || '; '
    || CASE tgenabled WHEN 'O' THEN 'enabled' WHEN 'A' THEN 'enabled' ELSE 'disabled' END || ';' || p.prosrc
FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid
JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace
WHERE c.oid = to_regclass('journal_entry') AND NOT tgisinternal
"""


def guard_faults() -> Iterator[str]:
    """A sentence for each trigger of the journal that is missing, changed or not ours."""
    wanted = SQLITE if connection.vendor == "sqlite" else POSTGRESQL
    with connection.cursor() as cursor:
        cursor.execute(SQLITE_FOUND if connection.vendor == "sqlite" else POSTGRESQL_FOUND)
        found = dict(cursor.fetchall())
    for name, text in wanted.items():
        if name not in found:
            yield f"Trigger {name} is missing: without it, entries of the journal can be changed. It was removed."
        elif _words(found[name]) != _words(text):
            yield f"Trigger {name} no longer keeps the journal's entries from change. It was changed or disabled."
    for name in found.keys() - wanted.keys():
        yield f"Trigger {name} on the journal is not tickover's. Someone added it."


def _words(sql: str) -> list[str]:
    return sql.replace(";", " ; ").split()
