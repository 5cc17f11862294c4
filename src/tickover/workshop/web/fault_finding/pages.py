"""What the page of a session shows, and going back to it after a write."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from tickover.workshop.fault_finding import queries, reasoning, wording
from tickover.workshop.fault_finding.complaint import rows_meant
from tickover.workshop.fault_finding.evidence import notes, prior_adjustments, records
from tickover.workshop.fault_finding.evidence.offer import RecordOffer
from tickover.workshop.fault_finding.locking import FaultFindingError
from tickover.workshop.fault_finding.models import Session, Weighting
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.kernel import queries as journal
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.photos import queries as photos
from tickover.workshop.register.models import Engine
from tickover.workshop.web.rejection import show_rejection

OTHER_LOOKS = 5


def session_of(number: str) -> Session:
    """The session with this number, or page 404."""
    found = queries.session_by_number(number)
    if found is None:
        raise Http404("There is no trouble with this number.")
    return found


def do(request: HttpRequest, number: str, action: Callable[[Session], object]) -> HttpResponse:
    """Run an action, say what refused it, and go back to the session."""
    try:
        action(session_of(number))
    except LookupError as error:
        raise Http404(str(error)) from error
    except FaultFindingError as error:
        show_rejection(request, str(error))
    return redirect("fault_finding:session", number)


def record_address(rests_on: str, engine: Engine) -> str:
    """Where the record is found that an answer was taken from; "" where it rests on none."""
    kind, _, number = rests_on.partition("/")
    if not number.isdecimal():
        return ""
    if kind == "run-up":
        return reverse("run_ups:run", args=[engine.serial, number])
    if kind == "photo":
        return reverse("photos:photo", args=[number])
    return reverse("journal:entry", args=[number])


def shown(sheet: SessionSheet, wanted: str, person: Person, words: str = "") -> dict[str, Any]:
    """All that the page says; `wanted`: a look in place of the one proposed, `words`: to find others by."""
    at, reasoned = timezone.now(), reasoning.diagnose(sheet)
    look = _look(sheet, reasoned, wanted)
    subject, job = f"trouble/{sheet.session.number}", sheet.outcome.job if sheet.outcome else None
    weighed = _weighed(sheet)
    others = [reasoning.check_line(reasoned, item) for item in reasoned.looks[: OTHER_LOOKS + 1]]
    return {
        "sheet": sheet,
        "session": sheet.session,
        "subject": subject,
        "reasoned": reasoned,
        "stops": [(sheet.titles[name], danger) for name, danger in reasoned.stops],
        "look": look,
        "asked": bool(wanted),
        "how_long": wording.how_long(look) if look else "",
        "why": wording.why(look, sheet.titles) if look else "",
        "repair": wording.repair(reasoned) if reasoned.advice and reasoned.advice.step == "repair" else "",
        "others": [(one, wording.how_long(one)) for one in others if one and not _same(one, look)],
        "suspects": [(line, wording.share_in_words(line), _words(line, sheet)) for line in reasoned.suspects],
        "together": _together(sheet, reasoned),
        "turns": [turn.in_words(sheet.titles) for turn in reasoned.turns],
        "contradiction": wording.contradiction(sheet, reasoned),
        "offers": _by_record(records.offers(sheet, at)) if sheet.open else [],
        "weighed": [(row, touched) for row, touched in weighed if row.factor != 1],
        "uncounted": [(row, touched) for row, touched in weighed if row.factor == 1],
        "factors": prior_adjustments.FACTORS,
        "authority": prior_adjustments.AUTHORITY,
        "found": rows_meant((*sheet.faults.findings, *sheet.faults.tests), words) if words.strip() else None,
        "words": words,
        "notes": notes.notes(sheet, reasoned, at) if sheet.open else [],
        "kept_photos": photos.photos_of(subject) if look and look.photo_first else [],
        "comebacks": queries.comebacks_of(sheet.session),
        "job_before": queries.job_before(sheet.session),
        "job_state": queries.job_state(job) if job else "",
        "journal": journal.about(subject),
        "may_work": may(person, Right.WORK),
    }


def _by_record(found: list[RecordOffer]) -> list[list[RecordOffer]]:
    """Offers of one record together: a run-up says several things at once."""
    by_record: dict[str, list[RecordOffer]] = {}
    for offer in found:
        by_record.setdefault(offer.rests_on, []).append(offer)
    return list(by_record.values())


def _weighed(sheet: SessionSheet) -> list[tuple[Weighting, str]]:
    """What the records make likelier, each with the causes it touches."""
    titles = sheet.titles
    return [(row, "; ".join(titles.get(name, name) for name in row.causes)) for row in sheet.weightings]


def _look(sheet: SessionSheet, reasoned: reasoning.Diagnosis, wanted: str) -> reasoning.CheckLine | None:
    items = {row.id for row in sheet.faults.shown}
    first = reasoned.looks[0] if reasoned.looks else ""
    chosen = wanted if wanted in items else first
    return reasoning.check_line(reasoned, chosen) if chosen and sheet.open else None


def _same(one: reasoning.CheckLine, other: reasoning.CheckLine | None) -> bool:
    return other is not None and one.row.id == other.row.id


def _words(line: reasoning.SuspectLine, sheet: SessionSheet) -> list[str]:
    titles = sheet.titles | {line.suspect.name: "it"}
    return [effect.in_words(titles) for effect in line.effects[:3]]


def _together(sheet: SessionSheet, reasoned: reasoning.Diagnosis) -> list[tuple[str, float]]:
    if reasoned.now is None:
        return []
    pairs = reasoned.now.several(0.03)[:2]
    return [(" and ".join(sheet.titles[name] for name in pair.causes), pair.share) for pair in pairs]
