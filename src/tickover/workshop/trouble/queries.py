"""Reads of fault-finding: sessions, and how each stands."""

from __future__ import annotations

from django.db.models import OuterRef, Q, QuerySet, Subquery

from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.trouble.models import Outcome, Session
from tickover.workshop.trouble.standing import SessionSheet

__all__ = ["SessionSheet"]


def session_by_number(number: str) -> Session | None:
    return _sessions().filter(number=number).first()


def session_sheet(session: Session) -> SessionSheet:
    """The session as it stands now, by the version of the sheet that it was started with."""
    return SessionSheet(
        session=session,
        sheet=register.sheet_of(session.sheet, session.engine.build_id),
        answers=tuple(session.answers.select_related("by").order_by("id")),
        outcome=session.outcomes.select_related("by", "job").order_by("-id").first(),
    )


def open_sessions() -> list[Session]:
    """Sessions that nobody ended yet, or that were taken up again; newest first."""
    rows = _sessions().filter(Q(last_kind=None) | Q(last_kind=Outcome.Kind.TAKEN_UP))
    return list(rows.order_by("-id"))


def ended_sessions(limit: int = 200) -> list[Session]:
    rows = _sessions().exclude(Q(last_kind=None) | Q(last_kind=Outcome.Kind.TAKEN_UP))
    return list(rows.order_by("-id")[:limit])


def sessions_of(engine: Engine) -> list[Session]:
    """Sessions of an engine, newest first."""
    return list(_sessions().filter(engine=engine).order_by("-id"))


def comebacks_of(session: Session) -> list[Session]:
    """Sessions that came back after this one, or after the job that it opened."""
    jobs = session.outcomes.exclude(job=None).values("job")
    return list(_sessions().filter(Q(follows=session) | Q(follows_job__in=jobs)).order_by("id"))


def _sessions() -> QuerySet[Session]:
    """Sessions with how each ended last."""
    newest = Outcome.objects.filter(session=OuterRef("pk")).order_by("-id")
    rows = Session.objects.select_related(
        "engine", "engine__owner", "sheet", "started_by", "follows", "follows_job"
    )
    return rows.defer("sheet__text").annotate(
        last_kind=Subquery(newest.values("kind")[:1]), last_cause=Subquery(newest.values("cause_id")[:1])
    )
