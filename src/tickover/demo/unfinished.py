"""What waits in the demo: a visit handed over half way, one at a second check, one to hand back, a deferred defect."""

from __future__ import annotations

import io
from datetime import datetime, timedelta

from PIL import Image, ImageDraw

from tickover.demo.benchwork import DemoBench
from tickover.workshop.defects import actions as defects
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people.models import Person
from tickover.workshop.photos import actions as photos
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits.actions import ArrivalWords
from tickover.workshop.visits.models import Job

JOB_ON, DEFECT_ON, CHECK_ON, BACK_ON = "Ruff", "Curlew", "Tandem 1", "Snipe"
TASK, FOUND_AT = "reed-check", "petals-look"
LEFT_H, LEFT_DAYS = 2.4, 5
PAPER, INK, STEEL, SHADE = "#e9e4d8", "#2b2a27", "#b9bcc0", "#7d8288"


def hand_over(job: Job, who: Person, to: Person, at: datetime) -> None:
    """Keep a photo of the step in hand, leave the job to somebody else, and let it rest."""
    note = "Block on the bench, seen from the crankcase: the corner of petal 4 is gone (drawn, not taken)"
    photos.add_photo(f"job/{job.number}/step/{FOUND_AT}", reed_block_png(), note, who=who, at=at)
    visit_actions.remark(
        job, "Petal 4: looked for the corner in the case, not found yet.", step_id=FOUND_AT, who=who, at=at
    )
    still = "Find the corner of petal 4 before anything turns. Then new petals, and the card from here on."
    later = at + timedelta(minutes=10)
    visit_actions.hand_over(job, to, still, "The petals come by Thursday's van.", who=who, at=later)
    where = "Engine on stand 2, openings covered; reed block and screws in tray 5"
    visit_actions.pause(job, where, "Waits for a set of petals.", who=who, at=later)


def waits_for_a_check(bench: DemoBench, at: datetime) -> None:
    """A visit that goes on when a second person has confirmed a step."""
    words = ArrivalWords(owner_says="Flies tomorrow, with a passenger.", came_with="log book")
    bench.begin_to_a_second_check(bench.take_in(words, at), at)


def to_hand_back(bench: DemoBench, at: datetime) -> None:
    """A visit that is released, and whose owner has yet to come for the engine."""
    words = ArrivalWords(owner_says="Rattles at idle.", condition="Clean, dry.", came_with="log book, cover")
    job = bench.take_in(words, at)
    bench.release(job, bench.begin(job, at))


def defer_one(engine: Engine, who: Person, accepted_by: Person, at: datetime, now: datetime) -> None:
    """A defect that may wait a little longer."""
    new = defects.NewDefect(
        "One of four rivets of the silencer's heat guard is gone",
        "The other three hold and nothing moves by hand; looked at before each flight. "
        "By a rule of this workshop, not a maker's.",
        until_h=round(engine_time.total_time(engine).hours_h + LEFT_H, 1),
        until_on=(now + timedelta(days=LEFT_DAYS)).date(),
    )
    defects.defer(engine, new, accepted_by=accepted_by, who=who, at=at)


def reed_block_png() -> bytes:
    """A plain drawing of a reed block with six petals; the fourth lacks a corner."""
    image = Image.new("RGB", (900, 620), PAPER)
    draw = ImageDraw.Draw(image)
    draw.rounded_rectangle((90, 70, 810, 550), 24, fill=STEEL, outline=INK, width=5)
    for n in range(6):
        left, top = 150 + 215 * (n % 3), 110 + 220 * (n // 3)
        _petal(draw, left, top, chipped=n == 3)
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def _petal(draw: ImageDraw.ImageDraw, left: int, top: int, *, chipped: bool) -> None:
    right, bottom = left + 170, top + 180
    corner = [(right, bottom - 55), (right - 38, bottom - 30), (right - 60, bottom)]
    tip = corner if chipped else [(right, bottom)]
    draw.rectangle((left + 12, top + 40, right - 12, bottom - 10), fill=INK)
    draw.polygon([(left, top), (right, top), *tip, (left, bottom)], fill=SHADE, outline=INK, width=4)
    for x in (left + 40, right - 40):
        draw.ellipse((x - 11, top + 14, x + 11, top + 36), fill=STEEL, outline=INK, width=3)
        draw.line((x - 8, top + 25, x + 8, top + 25), fill=INK, width=3)
