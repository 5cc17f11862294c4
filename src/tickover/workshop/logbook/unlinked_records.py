"""Records that belong to an engine though no reference of theirs leads to it.

A photo names its subject in words, an instrument is named by the readings taken with it, and an evidence file
by whatever was read from it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import Q, QuerySet

from tickover.workshop.defects.models import DeferredDefect
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.instruments.models import Calibration, Instrument, InstrumentLocation
from tickover.workshop.kernel.models import Recorded
from tickover.workshop.photos import queries as photos_of
from tickover.workshop.photos.models import Photo, PhotoWithdrawn
from tickover.workshop.register.models import Engine, EngineTimeEntry, EvidenceFile
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.visits.models import Job, Reading


def photos(engine: Engine) -> QuerySet[Photo]:
    """Photos of an engine, its jobs and their steps, its defects and its fault-finding sessions."""
    subjects = {f"engine/{engine.serial}"}
    for kind, model in (("job", Job), ("defect", DeferredDefect), ("trouble", Session)):
        numbers = model._default_manager.filter(engine=engine).values_list("number", flat=True)
        subjects |= {f"{kind}/{number}" for number in numbers}
    return photos_of.photos_of_all(subjects)


def logs(engine: Engine) -> Q:
    """Evidence files that engine time and run-ups were read from."""
    timed = EngineTimeEntry.objects.filter(engine=engine).values("evidence")
    return Q(pk__in=timed) | Q(pk__in=RunUp.objects.filter(engine=engine).values("evidence"))


def _pictures(engine: Engine) -> Q:
    rows = photos(engine).order_by()
    return Q(pk__in=rows.values("image")) | Q(pk__in=rows.values("thumbnail"))


def _instruments(engine: Engine) -> QuerySet[Any]:
    return Reading.objects.filter(job__engine=engine).exclude(instrument=None).values("instrument")


TOOLS: tuple[type[Recorded], ...] = (Instrument, Calibration, InstrumentLocation)
"""What goes on with an instrument after an engine was measured with it."""

BELONGS: dict[type[Recorded], Callable[[Engine], Q]] = {
    EvidenceFile: lambda engine: logs(engine) | _pictures(engine),
    Photo: lambda engine: Q(pk__in=photos(engine).order_by().values("pk")),
    PhotoWithdrawn: lambda engine: Q(photo__in=photos(engine).order_by().values("pk")),
    Instrument: lambda engine: Q(pk__in=_instruments(engine)),
    Calibration: lambda engine: Q(instrument__in=_instruments(engine)),
    InstrumentLocation: lambda engine: Q(instrument__in=_instruments(engine)),
}
"""How a row of each of these tables is found."""
