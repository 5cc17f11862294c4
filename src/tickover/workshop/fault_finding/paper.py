"""A session on paper: what the owner said, what was looked at, what it may be, how it ended. It computes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.utils import timezone

from tickover.language.amounts import day, hours, per_cent
from tickover.workshop import papers
from tickover.workshop.fault_finding import queries, reasoning, wording
from tickover.workshop.fault_finding.evidence import prior_adjustments
from tickover.workshop.fault_finding.models import Answer, Outcome
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.people import queries as people
from tickover.workshop.photos import queries as photos

WARNING = (
    "The probabilities come from a table of estimates ({authority}): an order of checks, not proof. A cause is "
    "what was proven at the part, not the first line of this paper."
)


def session_pdf(sheet: SessionSheet) -> bytes:
    """The session as it stands; the same session gives the same bytes."""
    session, engine = sheet.session, sheet.session.engine
    return papers.record_pdf(
        papers.RecordData(
            document_date=timezone.localdate(_last_moment(sheet)),
            workshop=people.the_workshop().name,
            kind="Fault finding",
            number=session.number,
            serial=engine.serial,
            title=f"Fault finding: {engine.name}",
            words=_answer(sheet),
            facts=tuple(_facts(sheet)),
            sections=_sections(sheet),
            notice=sheet.sheet.notice,
        )
    )


def _answer(sheet: SessionSheet) -> str:
    end, reasoned = sheet.outcome, reasoning.diagnose(sheet)
    if sheet.open:
        stops = " ".join(f"Stop: {danger}" for _, danger in reasoned.stops)
        first = next(iter(reasoned.suspects), None)
        likely = f" So far: {first.title}, {wording.share_in_words(first)}." if first else ""
        return f"{stops} Cause not found yet.{likely}".strip()
    assert end is not None
    cause = f": {sheet.titles.get(end.cause_id, end.cause_id)}" if end.cause_id else ""
    return f"{end.kind.capitalize()}{cause}."


def _facts(sheet: SessionSheet) -> Iterator[papers.Fact]:
    session = sheet.session
    yield papers.Fact("Engine", f"{session.engine.name}, {sheet.sheet.title}, serial {session.engine.serial}")
    yield papers.Fact("Engine time", f"{hours(session.engine_h)} h at the start")
    yield papers.Fact("Started", f"{_moment(session.started_at)} by {session.started_by}")
    yield papers.Fact("Owner", session.engine.owner.name)
    yield papers.Fact("Type sheet", f"{session.sheet.sheet_id}, version {session.sheet.version}")
    if after := session.follows or session.follows_job:
        yield papers.Fact("Came back after", f"{'fault' if session.follows else 'job'} {after.number}")


def _sections(sheet: SessionSheet) -> tuple[papers.Section, ...]:
    return (
        papers.Section("Complaint", words=sheet.session.complaint, none_said=""),
        _looked(sheet),
        papers.Section(
            "Not checked, or cannot be done here",
            points=tuple(f"{sheet.titles[a.item]}: {a.state}, {a.by}" for a in sheet.later),
            none_said="None.",
        ),
        _photos(sheet),
        _suspects(sheet),
        _weighed(sheet),
        papers.Section("Ruled out at the part", points=sheet.ruled_out, none_said="Nothing."),
        papers.Section("Result", points=tuple(_end(sheet)), none_said="Still open."),
    )


def _looked(sheet: SessionSheet) -> papers.Section:
    rows = tuple(
        (_what(sheet, answer), answer.state, _moment(answer.at), str(answer.by))
        for answer in reversed(sheet.known)
    )
    return papers.Section(
        "Checked",
        columns=("What", "Answer", "When", "By"),
        widths=(3.2, 0.9, 1.3, 1.2),
        rows=rows,
        none_said="Nothing yet.",
    )


def _what(sheet: SessionSheet, answer: Answer) -> str:
    return f"{sheet.titles.get(answer.item, answer.item)}.{f' {answer.words}' if answer.words else ''}"


def _photos(sheet: SessionSheet) -> papers.Section:
    kept = photos.photos_of(f"trouble/{sheet.session.number}")
    rows = [(f"Photo {p.number}: {p.words}", _moment(p.at), p.image.sha256[:12]) for p in kept]
    rows += [
        (f"{sheet.titles.get(a.item, a.item)}: {a.state}. {a.words} ({a.by})", _moment(a.at), "")
        for a in sheet.photographs
        if not a.rests_on
    ]
    return papers.Section(
        "Photographs", columns=("Name", "When", "SHA-256"), widths=(3.6, 1.4, 1.2), rows=tuple(rows)
    )


def _suspects(sheet: SessionSheet) -> papers.Section:
    reasoned = reasoning.diagnose(sheet)
    return papers.Section(
        "Probable causes" if sheet.open else "Probable causes then",
        words=WARNING.format(authority=sheet.faults.authority),
        columns=("Cause", "In words", "Probability"),
        widths=(4.0, 1.5, 0.8),
        rows=tuple(
            (line.title, wording.likelihood(line.suspect.share), per_cent(line.suspect.share))
            for line in reasoned.suspects
        ),
        none_said=wording.contradiction(sheet, reasoned) or "Nothing.",
    )


def _weighed(sheet: SessionSheet) -> papers.Section:
    return papers.Section(
        f"More likely from records ({prior_adjustments.AUTHORITY})",
        points=tuple(
            f"{row.words}. × {row.factor:g}.{_quoted(row.why)}" for row in sheet.weightings if row.factor != 1
        ),
        none_said="Nothing.",
    )


def _end(sheet: SessionSheet) -> Iterator[str]:
    end = sheet.outcome
    if end is None or end.kind == Outcome.Kind.TAKEN_UP:
        return
    how = ""
    if end.cause_id:
        seen = "proven at the part" if end.seen_at_the_part else "not proven, fixed anyway"
        how = f": {sheet.titles.get(end.cause_id, end.cause_id)}, {seen}"
    yield f"{end.kind.capitalize()}{how}. {end.by}, {_moment(end.at)}.{_quoted(end.words)}"
    if end.job:
        yield f"Visit {end.job.number}: {queries.job_state(end.job)}."
    if sheet.cure:
        said = "Fixed" if sheet.cure.cured else "Not fixed"
        yield f"{said}: {sheet.cure.by}, {_moment(sheet.cure.at)}.{_quoted(sheet.cure.words)}"


def _quoted(words: str) -> str:
    return f" “{words}”" if words else ""


def _last_moment(sheet: SessionSheet) -> datetime:
    rows = [*sheet.answers, *sheet.weightings, *[r for r in (sheet.outcome, sheet.cure) if r]]
    return max([sheet.session.started_at, *(row.at for row in rows)])


def _moment(at: datetime) -> str:
    local = timezone.localtime(at)
    return f"{day(local.date())}, {local:%H:%M}"
