"""Reads of fault-finding: sessions, and how each stands."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Subquery

from tickover.language.amounts import day, hours
from tickover.workshop.fault_finding.models import Cure, Outcome, Session, Weighting
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.photos import queries as photos
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

__all__ = ["SessionSheet"]

LAST_WORK = "last-work"
""" "last-work/<job>": the ground of a weighting, by which a job finds what came after it."""


def session_by_number(number: str) -> Session | None:
    return _sessions().filter(number=number).first()


def session_sheet(session: Session) -> SessionSheet:
    """The session as it stands now, by the version of the sheet that it was started with."""
    ends = session.outcomes.select_related("by", "job", "job__release", "job__closure")
    outcome = ends.order_by("-id").first()
    return SessionSheet(
        session=session,
        sheet=register.sheet_of(session.sheet, session.engine.build_id),
        answers=tuple(session.answers.select_related("by").order_by("id")),
        outcome=outcome,
        cure=outcome.cures.select_related("by").order_by("-id").first() if outcome else None,
        weightings=_weightings(session),
        photos=frozenset(photo.number for photo in photos.photos_of(f"trouble/{session.number}")),
    )


def open_sessions(engine: Engine | None = None) -> list[Session]:
    """Sessions that nobody ended yet, or that were taken up again, of an engine or of all; newest first."""
    rows = _sessions().filter(Q(last_kind=None) | Q(last_kind=Outcome.Kind.TAKEN_UP))
    return list((rows if engine is None else rows.filter(engine=engine)).order_by("-id"))


def ended_sessions(limit: int = 200) -> list[Session]:
    rows = _sessions().exclude(Q(last_kind=None) | Q(last_kind=Outcome.Kind.TAKEN_UP))
    return list(rows.order_by("-id")[:limit])


def awaiting_word_of_cure() -> list[Session]:
    """Sessions whose cause was put right and of which nobody said yet what came of it; newest first."""
    newest = Outcome.objects.filter(session=OuterRef("session")).order_by("-id").values("pk")[:1]
    done = Q(job=None) | Q(job__release__isnull=False) | Q(job__closure__isnull=False)
    ends = Outcome.objects.filter(done, pk=Subquery(newest), kind=Outcome.Kind.CAUSE, cures=None)
    return list(_sessions().filter(pk__in=ends.values("session")).order_by("-id"))


def sessions_of(engine: Engine) -> list[Session]:
    """Sessions of an engine, newest first."""
    return list(_sessions().filter(engine=engine).order_by("-id"))


def comebacks_of(session: Session) -> list[Session]:
    """Sessions that came back after this one, or after the job that it opened."""
    jobs = session.outcomes.exclude(job=None).values("job")
    return list(_sessions().filter(Q(follows=session) | Q(follows_job__in=jobs)).order_by("id"))


@dataclass(frozen=True)
class AroundJob:
    """Sessions whose cause a job puts right, that came back after it, or only began soon after it."""

    cures: tuple[Session, ...]
    back: tuple[Session, ...]
    near: tuple[Session, ...]


def around_job(job: Job) -> AroundJob:
    """What trouble led to a job, and what came after it; whether it came back is what somebody said."""
    own = Outcome.objects.filter(session=OuterRef("pk"), job=job)
    followed = Outcome.objects.filter(session=OuterRef("follows"), job=job)
    after = Weighting.objects.filter(session=OuterRef("pk"), ground=f"{LAST_WORK}/{job.number}")
    rows = _sessions().filter(engine=job.engine_id).order_by("id")
    rows = rows.annotate(cured=Exists(own), back=Exists(followed) | Q(follows_job=job), near=Exists(after))
    found = list(rows.filter(Q(cured=True) | Q(back=True) | Q(near=True)))
    return AroundJob(
        tuple(s for s in found if s.cured),
        tuple(s for s in found if s.back),
        tuple(s for s in found if s.near and not s.back),
    )


def job_before(session: Session) -> Job | None:
    """The last work done before the session, where it was not long before."""
    row = session.weightings.filter(ground__startswith=f"{LAST_WORK}/").first()
    return visits.job_by_number(row.ground.partition("/")[2]) if row else None


def job_state(job: Job) -> str:
    """How a job stands, in words."""
    if hasattr(job, "release"):
        return f"released on {day(job.release.at)}, at {hours(job.release.engine_h)} h"
    if hasattr(job, "closure"):
        return f"closed without a release on {day(job.closure.at)}: {job.closure.reason}"
    sheet = visits.job_sheet(job)
    return f"{sheet.state}, {sheet.done_count} of {sheet.needed_count} steps done"


def ends() -> list[Outcome]:
    """Ends that tell what it was: the newest of each session, and earlier ones after which the fault stayed.

    A session that was taken up again for another reason tells nothing until it ends once more.
    """
    rows = Outcome.objects.exclude(kind=Outcome.Kind.TAKEN_UP).select_related("session__sheet")
    newest = Outcome.objects.filter(session=OuterRef("session")).order_by("-id").values("pk")[:1]
    counts = Q(pk=Subquery(newest)) | Q(cures__cured=False)
    cures = Prefetch("cures", Cure.objects.order_by("id"))
    return list(
        rows.filter(counts).defer("session__sheet__text").distinct().order_by("id").prefetch_related(cures)
    )


def _weightings(session: Session) -> tuple[Weighting, ...]:
    """The newest of each ground, in the order the grounds came."""
    rows = session.weightings.select_related("by").order_by("id")
    return tuple({row.ground: row for row in rows}.values())


def _sessions() -> QuerySet[Session]:
    """Sessions with how each ended last."""
    newest = Outcome.objects.filter(session=OuterRef("pk")).order_by("-id")
    rows = Session.objects.select_related(
        "engine", "engine__owner", "sheet", "started_by", "follows", "follows_job"
    )
    return rows.defer("sheet__text").annotate(
        last_kind=Subquery(newest.values("kind")[:1]),
        last_cause=Subquery(newest.values("cause_id")[:1]),
        is_cured=Subquery(newest.order_by("-id", "-cures__id").values("cures__cured")[:1]),
    )
