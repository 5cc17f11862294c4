"""The trace of a run as a table and as JSON."""

from __future__ import annotations

import csv
import io
from typing import Any

import numpy as np

from tickover.workshop.run_ups.queries import Opened


def as_csv(opened: Opened) -> str:
    """Time [s], rpm, temperatures [°C] and the phase of every sample."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names, columns = _columns(opened)
    writer.writerow([*names, "phase"])
    writer.writerows(zip(*columns, _phases(opened), strict=True))
    return out.getvalue()


def as_json(opened: Opened) -> dict[str, Any]:
    """Channels, phases, figures and findings."""
    names, columns = _columns(opened)
    run = opened.line.run
    return {
        "engine": run.engine.serial,
        "day": run.on_day.isoformat(),
        "file": run.evidence.sha256,
        "answer": opened.answer,
        "phases": [{"name": p.name, "start_s": p.start_s, "end_s": p.end_s} for p in opened.read.run.phases],
        "figures": [
            {"id": m.id, "value": m.value, "unit": m.unit, "standard_uncertainty": m.standard_uncertainty,
             "not_measured": m.why_not}
            for m in opened.read.run.measures
        ],
        "findings": [
            {"id": f.id, "weight": f.weight.name.lower().replace("_", " "), "danger": f.danger, "seen": f.seen,
             "against": f.against, "sure": f.sure, "do": f.do}
            for f in opened.findings
        ],
        "channels": dict(zip(names, columns, strict=True)),
    }  # fmt: skip


def _columns(opened: Opened) -> tuple[list[str], list[list[float | None]]]:
    trace = opened.read.run.trace
    channels = {"t_s": trace.t_s, "rpm": trace.rpm, "cht_c": trace.cht_c, "egt_c": trace.egt_c}
    held = {name: values for name, values in channels.items() if values is not None}
    return list(held), [
        [round(v, 3) if np.isfinite(v) else None for v in values.tolist()] for values in held.values()
    ]


def _phases(opened: Opened) -> list[str]:
    phases = opened.read.run.phases
    at = np.searchsorted([p.end_s for p in phases], opened.read.run.trace.t_s, side="left")
    return [phases[min(int(n), len(phases) - 1)].name for n in at]
