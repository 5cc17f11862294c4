"""A sum as data: what was asked, what came out, and how, for programs and for `--json`."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tickover.workshop.calculations.working_out import WorkedOut


def as_data(done: WorkedOut) -> dict[str, Any]:
    """The whole answer as plain values; `refused` names the fields that stopped it."""
    answer = done.answer
    return {
        "sum": done.sum.id,
        "title": done.sum.title,
        "asked": {
            name: {"typed": one.text, "unit": one.unit, "give_or_take": one.take}
            for name, one in done.typed.items()
        },
        "refused": dict(done.refused),
        "answer": list(done.sentences),
        "results": [] if answer is None else [asdict(result) for result in answer.results],
        "table": [] if answer is None else [list(row) for row in answer.table],
        "workings": [] if answer is None else [asdict(working) for working in answer.workings],
        "cautions": list(done.cautions),
        "python": done.sum.python,
    }
