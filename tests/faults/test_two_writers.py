"""Several processes send the same thing at one moment: one entry is made, the others get a sentence or its result.

Run on SQLite, and on PostgreSQL where DATABASE_URL names a server.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

WRITERS = [(name, str(n)) for n in range(2) for name in ("ada", "bo")]

COMPONENT = """
from tickover.workshop.components import actions as components
on_the_word()
new = components.NewComponent("carburettor", "Carburettor", "C-1")
done = components.ComponentChange(NOW, person(sys.argv[1]), NOW)
try:
    components.add_fitted(new, Engine.objects.get(), done)
    print("entered")
except register.RegisterError as error:
    print("refused", error)
"""
OWNER = """
from tickover.workshop.register.type_sheet_actions import register_engine
on_the_word()
new = register.NewEngine("Second", "1201", "velisk-185", "external-pulse", date(2025, 1, 1))
try:
    register_engine(new, "New owner", who=person(sys.argv[1]), at=NOW)
    print("entered")
except register.RegisterError as error:
    print("refused", error)
"""
JOBS = """
on_the_word()
task = ("plug-renewal", "diaphragm-service")[int(sys.argv[2])]
try:
    print("entered", visit_actions.open_job(Engine.objects.get(), task, who=person(sys.argv[1]), at=NOW).number)
except (visit_actions.VisitError, LookupError) as error:
    print("refused", error)
"""
FORM = """
from django.conf import settings
from django.test import Client
settings.STATIC_ROOT.mkdir(exist_ok=True)
client = Client(SERVER_NAME="127.0.0.1")
client.force_login(person(sys.argv[1]), backend="django.contrib.auth.backends.ModelBackend")
given = {"value_h": "12.3", "read_at": "2025-05-05T08:00", "meter": "engine meter", **EXTRA}
on_the_word()
answer = client.post("/engines/1200/meter/", given, headers={"Referer": "http://127.0.0.1/engines/1200/"})
print("entered" if answer.status_code == 302 else "asked", answer.status_code, answer.headers.get("Location"))
"""
SAME_FORM = FORM.replace("**EXTRA", '"form_key": "k" * 22')
OTHER_FORM = FORM.replace("**EXTRA", '"form_key": (sys.argv[1] + sys.argv[2]).ljust(22, "k")')
COUNTS = """
import json
from tickover.workshop.audit.verify import verify
from tickover.workshop.register.models import Component, MeterReading, Owner
counted = {"components": Component, "engines": Engine, "owners": Owner, "readings": MeterReading}
numbers = sorted(Job.objects.values_list("number", flat=True))
print(json.dumps({"faults": verify().faults, "numbers": numbers,
    **{name: model.objects.count() for name, model in counted.items()}}))
"""


def outcomes(said: list[str]) -> list[str]:
    """The line of each that says what came of it, among what a server logs."""
    lines = [line for text in said for line in text.splitlines()]
    return [line for line in lines if line.startswith(("entered", "asked", "refused"))]


def words(said: list[str]) -> Counter[str]:
    return Counter(line.split()[0] for line in outcomes(said))


@pytest.mark.parametrize(
    ("script", "counted", "sentence"),
    [(COMPONENT, "components", "is in the register already"), (OWNER, "engines", "in the register already")],
    ids=["one component", "one engine of a new owner"],
)
def test_one_is_entered_and_the_others_are_told_so(
    book: Any, script: str, counted: str, sentence: str
) -> None:
    before = book.ask(COUNTS)[counted]
    said = book.at_once(script, *WRITERS)
    assert words(said) == {"entered": 1, "refused": len(WRITERS) - 1}, said
    assert all(sentence in line for line in outcomes(said) if line.startswith("refused")), said
    counts = book.ask(COUNTS)
    assert (counts[counted], counts["faults"]) == (before + 1, [])


def test_jobs_opened_at_one_moment_are_numbered_without_a_gap(book: Any) -> None:
    said = book.at_once(JOBS, *WRITERS)
    opened = words(said)["entered"]
    counts = book.ask(COUNTS)
    assert opened == 2 and counts["faults"] == []
    assert counts["numbers"] == [f"2025-{n:04d}" for n in range(1, opened + 2)]


def test_a_form_sent_by_several_at_once_is_one_entry_and_shows_its_result_to_all(book: Any) -> None:
    said = book.at_once(SAME_FORM, *WRITERS)
    assert outcomes(said) == ["entered 302 /engines/1200/"] * len(WRITERS), said
    counts = book.ask(COUNTS)
    assert (counts["readings"], counts["faults"]) == (1, [])


def test_a_meter_read_by_several_at_once_is_taken_once_and_asked_about(book: Any) -> None:
    said = book.at_once(OTHER_FORM, *WRITERS)
    assert words(said) == {"entered": 1, "asked": len(WRITERS) - 1}, said
    counts = book.ask(COUNTS)
    assert (counts["readings"], counts["faults"]) == (1, [])
