"""What an owner is told: what is due when, on which engine, and what to do next; a letter to copy or mail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.conf import settings

from tickover.language.amounts import day, hours
from tickover.workshop.people.models import Workshop
from tickover.workshop.programme import bulletins, queries
from tickover.workshop.programme.bulletins import BulletinLine
from tickover.workshop.programme.models import ReminderSent
from tickover.workshop.programme.queries import DueLine
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine, Owner

AHEAD = timedelta(days=60)
"""How far ahead an owner is told: time enough to agree a day."""


@dataclass(frozen=True)
class OwnerLine:
    """One owner: his engines, what is due on them within the time ahead, and when he was last told."""

    owner: Owner
    engines: tuple[Engine, ...]
    tasks: tuple[DueLine, ...]
    bulletins: tuple[BulletinLine, ...]
    last: ReminderSent | None

    @property
    def anything(self) -> bool:
        return bool(self.tasks or self.bulletins)


def owner_lines(today: date) -> list[OwnerLine]:
    """Every owner with what is due on his engines, those with the most urgent first."""
    fleet = list(register.engines())
    lines = queries.engine_lines(fleet, today)
    asked = [b for b in bulletins.lines(fleet, today) if _is_announced(b, today)]
    last = {r.owner_id: r for r in ReminderSent.objects.order_by("id")}
    tasks = sorted((d for e in lines for d in e.lines if _soon(d, today)), key=_place)
    owners = dict.fromkeys(e.engine.owner for e in lines)
    found = [
        OwnerLine(
            owner,
            tuple(e for e in fleet if e.owner_id == owner.pk),
            tuple(d for d in tasks if d.engine.owner_id == owner.pk),
            tuple(b for b in asked if b.engine.owner_id == owner.pk),
            last.get(owner.pk),
        )
        for owner in owners
    ]
    return sorted(found, key=lambda o: _place(o.tasks[0]) if o.tasks else (9, today))


def owner_line(owner_id: int, today: date) -> OwnerLine | None:
    return next((o for o in owner_lines(today) if o.owner.pk == owner_id), None)


def title(line: OwnerLine, shop: Workshop) -> str:
    names = ", ".join(e.name for e in line.engines if _has_any(line, e))
    return f"{shop.name}: due on {names}" if names else f"{shop.name}: nothing due"


def letter(line: OwnerLine, shop: Workshop, today: date) -> str:
    """The letter: what is due, engine by engine; what happens next; who writes."""
    parts = [f"Dear {line.owner.name},"]
    if line.anything:
        parts += [f"this work is due by {day(today + AHEAD)}, by our records of {day(today)}."]
        parts += [_engine_part(line, engine) for engine in line.engines if _has_any(line, engine)]
        parts += [_next_steps(line)]
    else:
        parts += [f"nothing is due on your engines before {day(today + AHEAD)}, by our records."]
    parts += [
        "The dates come from the hours we have. If you have flown since, let us know, or send the track "
        "log. The maker’s manual for the exact engine and your local rules come first."
    ]
    return "\n\n".join([*parts, "\n".join(w for w in (shop.name, shop.place) if w)]) + "\n"


def _engine_part(line: OwnerLine, engine: Engine) -> str:
    tasks = [t for t in line.tasks if t.engine.pk == engine.pk]
    asked = [b for b in line.bulletins if b.engine.pk == engine.pk]
    now = f", {hours(tasks[0].now_h)} h" if tasks else ""
    rows = [
        f"- {t.task.title}. {t.sentence[0].upper()}{t.sentence[1:]}. {t.why}"
        for t in tasks
        if not t.not_known
    ]
    if not_known := [t.task.title for t in tasks if t.not_known]:
        rows += [
            f"- Not known: baseline inspection. {'; '.join(not_known)}. "
            "If you have the old logbook, please send us its pages."
        ]
    rows += [
        f"- {b.bulletin.identifier} ({b.bulletin.issued_by}), {b.bulletin.title}: {b.sentence}."
        for b in asked
    ]
    return "\n".join([f"{engine.name} (serial {engine.serial}{now})", *rows])


def _next_steps(line: OwnerLine) -> str:
    steps = []
    if any(t.state == "over tolerance" for t in line.tasks):
        steps.append(
            "Overdue work should be done before the engine runs again. Please ring us before you fly."
        )
    minutes = sum(t.task.minutes for t in line.tasks)
    together = " In one visit, each part is opened only once." if len(line.tasks) > 1 else ""
    steps.append(
        f"Please name two or three days when the engine could come in. The work itself takes about "
        f"{_bench_time(minutes)}, plus opening and closing.{together}"
        if minutes
        else "Please name two or three days when the engine could come in."
    )
    return "What to do next\n" + "\n".join(f"{n}. {text}" for n, text in enumerate(steps, 1))


def _bench_time(minutes: float) -> str:
    return f"{minutes:.0f} minutes" if minutes < 90 else f"{minutes / 60:.1f} hours"


def _has_any(line: OwnerLine, engine: Engine) -> bool:
    due_on = [t.engine.pk for t in line.tasks] + [b.engine.pk for b in line.bulletins]
    return engine.pk in due_on


def _soon(line: DueLine, today: date) -> bool:
    return line.state != "not yet" or line.heading.day_50 <= today + AHEAD


def _is_announced(line: BulletinLine, today: date) -> bool:
    if line.due is None:
        return False
    due_day, due_h = line.due.due_day, line.due.due_h
    if due_day is None:
        return line.needs_a_hand or due_h is None
    return line.needs_a_hand or date.fromordinal(due_day) <= today + AHEAD


def _place(line: DueLine) -> tuple[int, date]:
    return queries.URGENCY[line.state], line.heading.day_50


def sent_to(owner: Owner) -> Sequence[ReminderSent]:
    return list(ReminderSent.objects.filter(owner=owner).select_related("by").order_by("-id"))


def mails_for_real() -> bool:
    """Whether a mail server is set; without one a mail is only printed where tickover runs."""
    return bool(settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"))
