"""A small demo workshop laid out: every room has something in it, and the record is sound."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from PIL import Image

from tickover.demo import runups, trouble, unfinished
from tickover.demo.cast import FLEET
from tickover.demo.workshop import build_demo
from tickover.workshop.defects import queries as defects
from tickover.workshop.fault_finding import queries as fault_finding
from tickover.workshop.instruments import queries as instruments
from tickover.workshop.photos.models import Photo
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import of_visit
from tickover.workshop.run_ups import queries as run_ups
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Reading

pytestmark = pytest.mark.usefixtures("verified")
NOW = datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
TODAY = NOW.date()
HEARD_IDLE_RPM, HEARD_FULL_RPM = 2040.0, 7560.0  # that the sound was made with
NAMES = (runups.ENGINE, trouble.ENDED_ON, trouble.OPEN_ON, unfinished.JOB_ON, unfinished.DEFECT_ON)


def test_every_room_has_something_in_it() -> None:
    build_demo(NOW, fleet=tuple(part for part in FLEET if part.name in NAMES))
    _the_cupboard()
    _the_trouble_room()
    _the_bench()
    _the_run_ups()
    _the_job_that_cured()
    _the_recording()


def _the_cupboard() -> None:
    state = [line.calibration_state(TODAY) for line in instruments.lines()]
    assert sum(text.startswith("out of calibration") for text in state) == 1
    assert sum(line.wants_a_hand(TODAY) for line in instruments.lines()) == 2
    newest = Reading.objects.order_by("-id")[:20]
    assert sum(reading.instrument is not None for reading in newest) > 10


def _the_trouble_room() -> None:
    (open_one,) = fault_finding.open_sessions()
    (ended,) = fault_finding.ended_sessions()
    assert open_one.engine.name == trouble.OPEN_ON
    outcome = fault_finding.session_sheet(ended).outcome
    assert outcome is not None and outcome.cause_id == "intake-leak"
    assert outcome.job is not None and visits.job_sheet(outcome.job).state == "released"


def _the_bench() -> None:
    (job,) = visits.open_jobs()
    assert job.state == "paused" and job.course.holder(job.job).username == "tamsin"
    assert job.current is not None and job.current.step.id == unfinished.FOUND_AT
    photo = Photo.objects.get()
    assert photo.subject == f"job/{job.job.number}/step/{unfinished.FOUND_AT}"
    (defect,) = defects.open_defects(TODAY)
    assert defect.state == "near its limit"


def _the_run_ups() -> None:
    newest, *before = run_ups.lines(Engine.objects.get(name=runups.ENGINE))
    assert [line.accepted for line in before] == [True] * 4 and newest.acceptance is None
    opened = run_ups.opened(newest.run)
    assert "Static rpm" in opened.answer and "below its usual mean" in opened.answer
    assert not opened.differs


def _the_job_that_cured() -> None:
    """Its two run-ups show the fault and that it is gone, and its release says so."""
    (ended,) = fault_finding.ended_sessions()
    sheet = fault_finding.session_sheet(ended)
    assert sheet.cure is not None and sheet.cure.cured
    before, after = of_visit.judged_run_ups(sheet.outcome.job)
    assert before.off and not after.off
    hung, gone = (run_ups.opened(told.run).read.run.figures["drop-back"] for told in (before, after))
    assert hung > 2 * gone
    assert [run["moment"] for run in sheet.outcome.job.release.run_ups["runs"]] == ["before", "after"]
    assert sheet.outcome.job.release.run_ups["warnings"] == []


def _the_recording() -> None:
    (job,) = visits.open_jobs()
    (recording,) = run_ups.all_of_job(job.job)
    assert recording.kind == "sound" and recording.before_or_after == "before"
    assert recording.figures["idle-rpm"] == pytest.approx(HEARD_IDLE_RPM, rel=0.01)
    assert recording.figures["static-rpm-20"] == pytest.approx(HEARD_FULL_RPM, rel=0.01)


def test_the_drawing_is_a_picture() -> None:
    assert Image.open(io.BytesIO(unfinished.reed_block_png())).size == (900, 620)
