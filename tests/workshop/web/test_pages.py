"""Every page: for whom it opens, what it says when it refuses, and that it stays usable."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from tests.kept import once
from tickover.workshop.components.actions import NewComponent, add_component
from tickover.workshop.engine_time.actions import add_track_log
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.models import Entry
from tickover.workshop.people.actions import NewPerson, add_person
from tickover.workshop.register.models import Component, EngineTimeEntry
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Closure, Job, KitNote, Reading, Release, SecondCheck, StepMark

PASSWORD = "a-long-enough-password"

pytestmark = pytest.mark.usefixtures("verified")


@dataclass
class Place:
    """A workshop with one job in hand, one released, and one track log."""

    engine: Any
    entry: EngineTimeEntry
    component: Component
    job: Job
    released: Job

    @property
    def looks(self) -> dict[str, str]:
        sha256 = self.entry.evidence.sha256
        number, done = self.job.number, self.released.number
        return {
            "programme:today": "/",
            "programme:engines": "/engines/",
            "programme:task": "/engines/1200/tasks/diaphragm-service/",
            "engines:engine": "/engines/1200/",
            "engines:entry": f"/engines/1200/time/{self.entry.entry_sequence}/",
            "engines:component": f"/components/{self.component.entry_sequence}/",
            "engines:evidence": f"/evidence/{sha256}/",
            "engines:track-log-to-try": "/track-log-to-try/",
            "engines:hours-table": "/hours-from-a-table/",
            "engines:component-card": f"/components/{self.component.entry_sequence}/card.pdf",
            "engines:logbook": "/engines/1200/logbook.pdf",
            "engines:label": "/engines/1200/label.pdf",
            "engines:bundle": "/engines/1200/bundle.zip",
            "visits:blank-card": "/engines/1200/tasks/diaphragm-service/blank-card.pdf",
            "visits:hand-back": f"/visits/{done}/hand-back.pdf",
            "visits:jobs": "/visits/",
            "visits:job": f"/visits/{number}/",
            "visits:step": f"/visits/{number}/steps/make-safe/",
            "visits:drawing": f"/visits/{number}/steps/make-safe/drawings/work/",
            "visits:release": f"/visits/{number}/release/",
            "visits:exceedances": f"/visits/{number}/exceedances/",
            "visits:work-card": f"/visits/{number}/work-card.pdf",
            "visits:release-paper": f"/visits/{done}/release.pdf",
            "journal:journal": "/journal/",
            "journal:entry": "/journal/1/",
        }

    @property
    def writes(self) -> dict[str, str]:
        job = f"/visits/{self.job.number}"
        step = f"{job}/steps/flange-torque"
        return {
            "engines:add-track-log": "/engines/1200/track-log/",
            "engines:withdraw": f"/engines/1200/time/{self.entry.entry_sequence}/withdraw/",
            "engines:move-edges": f"/engines/1200/time/{self.entry.entry_sequence}/runs/",
            "engines:enter-hours": "/engines/1200/hours/",
            "engines:enter-fuel": "/engines/1200/fuel/",
            "engines:read-meter": "/engines/1200/meter/",
            "engines:replace-meter": "/engines/1200/meter/replace/",
            "engines:import-hours": "/hours-from-a-table/enter/",
            "engines:add-component": "/engines/1200/components/new/",
            "engines:fit": "/engines/1200/components/fit/",
            "engines:swap": "/engines/1200/components/swap/",
            "engines:remove": f"/components/{self.component.entry_sequence}/remove/",
            "engines:take-back": f"/components/{self.component.entry_sequence}/take-back/",
            "engines:overhaul": "/engines/1200/overhaul/",
            "engines:take-back-overhaul": "/engines/1200/overhaul/take-back/",
            "visits:open-job": "/engines/1200/tasks/diaphragm-service/open-job/",
            "visits:note-kit": f"{job}/kit/",
            "visits:close": f"{job}/close/",
            "visits:renew-part": f"{job}/exceedances/renewed/",
            "visits:decide-exceedance": f"{job}/exceedances/decision/",
            "visits:reading": f"{step}/reading/",
            "visits:unmeasured": f"{step}/unmeasured/",
            "visits:done": f"{step}/done/",
            "visits:caution": f"{step}/caution/",
            "visits:reopen": f"{step}/reopen/",
            "visits:second-check": f"{step}/second-check/",
        }


OF_PEOPLE = {"people:sign-in", "people:sign-in-by-link", "people:sign-out", "people:change-person"}
OF_A_COURSE = {
    *{"visits:more-work", "visits:remark", "visits:pause", "visits:resume", "visits:hand-over"},
    *{
        "visits:add-task",
        "visits:drop-task",
        "visits:drop-not-begun",
        "visits:start-visit",
        "visits:estimate",
        "visits:changes",
        "visits:hand-engine-back",
        "visits:clock",
        "programme:agree",
    },
}
"""Tried in `test_course.py`, `test_starting_a_visit.py` and `test_two_on_one_visit.py`."""
LOOKS = [
    *["programme:today", "programme:engines", "programme:task", "journal:journal", "journal:entry"],
    *["engines:engine", "engines:entry", "engines:evidence", "engines:track-log-to-try"],
    *["engines:component", "engines:hours-table", "engines:component-card", "engines:logbook"],
    *["engines:label", "engines:bundle", "visits:blank-card", "visits:hand-back"],
    *[
        "visits:jobs",
        "visits:job",
        "visits:step",
        "visits:drawing",
        "visits:release",
        "visits:work-card",
        "visits:release-paper",
    ],
    "visits:exceedances",
]
WRITES = [
    *["engines:add-track-log", "engines:withdraw", "visits:open-job", "visits:note-kit", "visits:close"],
    *["visits:reading", "visits:unmeasured", "visits:done", "visits:caution"],
    *["visits:reopen", "visits:second-check"],
    *["visits:renew-part", "visits:decide-exceedance"],
    *["engines:move-edges", "engines:enter-hours", "engines:enter-fuel", "engines:read-meter"],
    *["engines:replace-meter", "engines:add-component", "engines:fit", "engines:swap"],
    "engines:import-hours",
    *["engines:remove", "engines:take-back", "engines:overhaul", "engines:take-back-overhaul"],
]


@pytest.fixture
def place(
    outer: Any, crew: Any, hands: Any, igc: Callable[..., bytes], now: Any, settings: Any, data_folder: Path
) -> Place:
    return once("place", lambda: _place(outer, crew, hands, igc, now, settings), data_folder)


def _place(outer: Any, crew: Any, hands: Any, igc: Callable[..., bytes], now: Any, settings: Any) -> Place:
    (settings.DATA / settings.TRACK_LOG_TO_TRY).write_bytes(igc())
    entry = add_track_log(outer, igc(), "Tuesday.igc", who=crew.technician, at=now)
    released = hands.open(outer, "plug-renewal")
    hands.do_all(released)
    hands.release(released)
    component = add_component(NewComponent("clutch", "Clutch", "K-7"), who=crew.technician, at=now)
    return Place(outer, entry, component, hands.open(outer), released)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


@pytest.fixture
def manager(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.manager)


def said(answer: Any) -> str:
    return " ".join(str(m) for m in get_messages(answer.wsgi_request))


def upload(client: Client, data: bytes, name: str = "flight.igc", serial: str = "1200") -> Any:
    return client.post(f"/engines/{serial}/track-log/", {"track_log": SimpleUploadedFile(name, data)})


def every_address() -> set[str]:
    resolver = get_resolver()
    return {
        f"{ns}:{name}"
        for ns, (_, r) in resolver.namespace_dict.items()
        for name in r.reverse_dict
        if isinstance(name, str)
    }


HAVE_THEIR_OWN_TESTS = (
    "programme",
    "instruments",
    "photos",
    "defects",
    "type_sheets",
    "calculations",
    "run_ups",
    "fault_finding",
    "takeover",
)
"""Places whose addresses are all tried in `test_<place>_pages.py`."""


def test_these_tests_know_every_address() -> None:
    named = {n for n in every_address() if n.partition(":")[0] not in HAVE_THEIR_OWN_TESTS}
    known = OF_PEOPLE | OF_A_COURSE | set(LOOKS) | set(WRITES)
    assert named == {n for n in known if n.partition(":")[0] not in HAVE_THEIR_OWN_TESTS}


WRITES_SQL = re.compile(r"INSERT|UPDATE|DELETE|BEGIN|REPLACE", re.I)


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician(place: Place, technician: Client, name: str) -> None:
    with CaptureQueriesContext(connection) as asked:
        answer = technician.get(place.looks[name])
    # Whoever only looks waits for nobody who writes.
    assert [q["sql"] for q in asked if WRITES_SQL.match(q["sql"])] == []
    assert answer.status_code == 200
    assert "default-src 'self'" in answer["Content-Security-Policy"]
    assert answer["X-Frame-Options"] == "DENY"
    kind = answer["Content-Type"]
    if place.looks[name].endswith(".pdf"):
        assert kind == "application/pdf" and answer.content.startswith(b"%PDF-")
    elif name == "engines:bundle":
        assert kind == "application/zip" and b"".join(answer.streaming_content).startswith(b"PK")
    elif name in ("engines:evidence", "engines:track-log-to-try"):
        assert evidence_files.sha256_of(b"".join(answer)) == place.entry.evidence.sha256
        assert "attachment" in answer["Content-Disposition"]
    else:
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_leads_a_stranger_to_sign_in_and_back(place: Place, client: Client, name: str) -> None:
    answer = client.get(place.looks[name])
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/?next=%2F")
    assert "default-src 'self'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize("name", WRITES)
def test_a_form_from_a_stranger_writes_nothing(place: Place, client: Client, name: str) -> None:
    before = Entry.objects.count()
    answer = client.post(place.writes[name], {"reason": "x", "typed": "10", "lot": "K"})
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/?next=%2F")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_the_wrong_method_is_refused(place: Place, technician: Client, name: str) -> None:
    if name == "visits:release":
        assert technician.put(place.looks[name]).status_code == 405
    elif name in LOOKS:
        assert technician.post(place.looks[name]).status_code == 405
    else:
        assert technician.get(place.writes[name]).status_code == 405


@pytest.mark.parametrize("method", ["get", "post"])
def test_who_may_not_release_is_told_so(place: Place, manager: Client, method: str) -> None:
    answer = getattr(manager, method)(f"/visits/{place.job.number}/release/")
    assert answer.status_code == 403
    assert "Maud Ferrer, manager, may not release an engine to service." in answer.content.decode()
    assert Release.objects.count() == 1


def test_a_technician_without_authority_is_told_so(
    place: Place, signed_in: Callable[..., Client], now: Any
) -> None:
    apprentice = add_person(NewPerson("pip", "Pip", "Arden", "technician"), at=now)
    answer = signed_in(apprentice).get(f"/visits/{place.job.number}/release/")
    assert answer.status_code == 403 and "Pip Arden" in answer.content.decode()


@pytest.mark.parametrize(
    "address",
    [
        "/engines/9999/",
        "/engines/9999/tasks/diaphragm-service/",
        "/engines/1200/tasks/varnish/",
        "/engines/1200/time/999/",
        "/engines/1200/time/99999999999999999999999/",
        f"/evidence/{'0' * 64}/",
        "/visits/2025-9999/",
        "/visits/2025-9999/release/",
        "/visits/2025-9999/release.pdf",
        "/visits/2025-9999/work-card.pdf",
        "/visits/2025-0002/release.pdf",
        "/visits/2025-0002/steps/no-such-step/",
        "/journal/9999/",
        "/journal/99999999999999999999999/",
        "/nowhere/",
    ],
)
def test_what_is_not_there_is_404(place: Place, technician: Client, address: str) -> None:
    answer = technician.get(address)
    assert answer.status_code == 404
    assert "default-src 'self'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize(
    "address",
    [
        "/engines/9999/track-log/",
        "/engines/1200/time/999/withdraw/",
        "/engines/9999/tasks/flange-check/open-job/",
        "/engines/1200/tasks/varnish/open-job/",
        "/visits/2025-9999/kit/",
        "/visits/2025-9999/close/",
        "/visits/2025-9999/release/",
        *[
            f"/visits/2025-0002/steps/no-such-step/{verb}/"
            for verb in ("reading", "done", "reopen", "second-check")
        ],
        *[
            f"/visits/2025-9999/steps/make-safe/{verb}/"
            for verb in ("reading", "done", "reopen", "second-check")
        ],
    ],
)
def test_a_form_for_what_is_not_there_is_404_and_writes_nothing(
    place: Place, technician: Client, address: str
) -> None:
    before = Entry.objects.count()
    assert technician.post(address, {"typed": "1", "reason": "x"}).status_code == 404
    assert Entry.objects.count() == before


def test_steps_of_the_other_build_are_404(place: Place, technician: Client, hands: Any) -> None:
    job = hands.open(place.engine, "diaphragm-service")
    assert technician.get(f"/visits/{job.number}/steps/pulse-hose-on/").status_code == 200
    assert technician.get(f"/visits/{job.number}/steps/look-through/").status_code == 404


def test_every_step_of_both_builds_can_be_looked_at(
    place: Place, technician: Client, inner: Any, hands: Any
) -> None:
    for job in (hands.open(place.engine, "diaphragm-service"), hands.open(inner, "diaphragm-service")):
        for line in visits.job_sheet(job).steps:
            answer = technician.get(f"/visits/{job.number}/steps/{line.step.id}/")
            assert answer.status_code == 200, line.step.id


def test_a_track_log_is_dropped_and_its_time_shown(
    place: Place, technician: Client, igc: Callable[..., bytes], now: Any
) -> None:
    answer = upload(technician, igc(now, seed=5))
    assert answer.status_code == 302
    added = EngineTimeEntry.objects.order_by("pk").last()
    assert answer["Location"] == f"/engines/1200/time/{added.entry_sequence}/"
    assert "Engine ran" in technician.get(answer["Location"]).content.decode()


REFUSED_UPLOADS = {
    "empty": (b"", "track log|empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(300), "PNG picture"),
    "cut short": (b"AXXX001\r\nHFDTE040525\r\nB101200523", "B records can be read"),
    "markup": (b"<script>alert(1)</script>", "no flight|IGC"),
}


@pytest.mark.parametrize(("data", "says"), REFUSED_UPLOADS.values(), ids=list(REFUSED_UPLOADS))
def test_a_refused_track_log_says_why_on_a_page_that_still_works(
    place: Place, technician: Client, data: bytes, says: str
) -> None:
    before = Entry.objects.count()
    answer = upload(technician, data, "<b>odd</b>.igc")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert any(word in page for word in says.split("|"))
    assert "<b>odd</b>" not in page and "<script>alert" not in page
    assert 'action="/engines/1200/track-log/"' in page and "Outer" in page
    assert Entry.objects.count() == before


def test_the_same_track_log_is_refused_with_where_it_went(
    place: Place, technician: Client, igc: Callable[..., bytes]
) -> None:
    answer = upload(technician, igc())
    assert answer.status_code == 422
    assert f"journal entry {place.entry.entry_sequence}" in answer.content.decode()


def test_a_form_without_a_file_asks_for_one(place: Place, technician: Client) -> None:
    answer = technician.post("/engines/1200/track-log/")
    assert answer.status_code == 422 and "Choose a track log first" in answer.content.decode()


def test_a_track_log_too_large_is_not_read(
    place: Place, technician: Client, settings: Any, igc: Callable[..., bytes]
) -> None:
    settings.TRACK_LOG_MAX_BYTES = 2**10
    answer = upload(technician, igc())
    assert answer.status_code == 422 and "at most" in answer.content.decode()


def test_an_entry_is_withdrawn_with_a_reason(place: Place, technician: Client) -> None:
    address = f"/engines/1200/time/{place.entry.entry_sequence}/"
    refused = technician.post(f"{address}withdraw/", {"reason": " "})
    assert refused["Location"] == address and "Type why" in said(refused)
    done = technician.post(f"{address}withdraw/", {"reason": "wrong engine"})
    assert done["Location"] == "/engines/1200/"
    assert "Replaced by" in technician.get(address).content.decode()
    withdrawal = EngineTimeEntry.objects.get(method="withdrawn").entry_sequence
    assert "wrong engine" in technician.get(f"/engines/1200/time/{withdrawal}/").content.decode()


@pytest.mark.parametrize("damage", ["gone", "changed"])
def test_an_entry_can_be_looked_at_though_its_evidence_is_damaged(
    signed_in: Callable[..., Client], crew: Any, place: Place, damage: str
) -> None:
    kept = evidence_files.place_of(place.entry.evidence.sha256)
    whole, client = kept.read_bytes(), signed_in(crew.technician)
    kept.unlink()
    if damage == "changed":
        kept.write_bytes(b"nothing of a flight")
    answer = client.get(f"/engines/1200/time/{place.entry.entry_sequence}/")
    assert answer.status_code == 200
    assert "missing or damaged" in answer.content.decode()
    if damage == "gone":
        assert client.get(f"/evidence/{place.entry.evidence.sha256}/").status_code == 404
    kept.write_bytes(whole)


def test_a_job_is_opened_and_the_second_try_leads_to_it(place: Place, technician: Client) -> None:
    address = "/engines/1200/tasks/diaphragm-service/open-job/"
    first = technician.post(address)
    opened = Job.objects.order_by("pk").last()
    assert first["Location"] == f"/visits/{opened.number}/" and said(first) == ""
    again = technician.post(address)
    assert again["Location"] == f"/visits/{opened.number}/" and "open for this already" in said(again)
    assert Job.objects.count() == 3


@pytest.mark.parametrize("lot", ["K-1", "K" * 500])
def test_the_lot_is_noted(place: Place, technician: Client, lot: str) -> None:
    technician.post(f"/visits/{place.job.number}/kit/", {"lot": lot})
    assert KitNote.objects.get().lot == lot[:80]


def test_an_empty_lot_is_asked_for(place: Place, technician: Client) -> None:
    assert "Type the lot" in said(technician.post(f"/visits/{place.job.number}/kit/"))


def at(place: Place, step: str, verb: str) -> str:
    return f"/visits/{place.job.number}/steps/{step}/{verb}"


def test_a_step_is_done_and_leads_to_the_next(place: Place, technician: Client) -> None:
    answer = technician.post(at(place, "make-safe", "done/"), {"remark": "cap tied back"})
    assert answer["Location"] == at(place, "look-flange", "")
    assert StepMark.objects.filter(job=place.job).get().remark == "cap tied back"


def test_a_step_that_wants_a_finding_says_so(place: Place, technician: Client) -> None:
    answer = technician.post(at(place, "look-flange", "done/"))
    assert answer["Location"] == at(place, "look-flange", "") and "asks what you found" in said(answer)


def test_a_remark_as_long_as_a_book_is_refused(place: Place, technician: Client) -> None:
    answer = technician.post(at(place, "make-safe", "done/"), {"remark": "x" * 2001})
    assert "too long" in said(answer)
    assert not StepMark.objects.filter(job=place.job).exists()


def test_a_reading_is_taken_and_judged_on_the_page(place: Place, technician: Client) -> None:
    answer = technician.post(at(place, "flange-torque", "reading/"), {"typed": "9,6"})
    assert answer["Location"] == at(place, "flange-torque", "")
    assert "9.6 N" in technician.get(answer["Location"]).content.decode()


def test_a_slip_is_asked_about_and_taken_when_insisted_on(place: Place, technician: Client) -> None:
    address = at(place, "flange-torque", "reading/")
    asked = technician.post(address, {"typed": "96"})
    page = asked.content.decode()
    assert asked.status_code == 422
    assert ", or 9.6 N" in page and 'name="confirmed"' in page and 'value="96"' in page
    assert not Reading.objects.filter(job=place.job).exists()
    technician.post(address, {"typed": "96", "confirmed": "on"})
    assert Reading.objects.get(job=place.job).decision == "outside"


@pytest.mark.parametrize("typed", ["abc", "", "<script>", "9" * 5000])
def test_a_reading_that_is_no_number_leaves_the_step_as_it_was(
    place: Place, technician: Client, typed: str
) -> None:
    answer = technician.post(at(place, "flange-torque", "reading/"), {"typed": typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'name="typed"' in page and "<script>" not in page.replace("<script src", "")
    assert not Reading.objects.filter(job=place.job).exists()


def torque_done(place: Place, hands: Any) -> None:
    hands.do(place.job, "flange-torque", checked=False)


def test_a_second_person_confirms_on_the_same_tablet(place: Place, technician: Client, hands: Any) -> None:
    torque_done(place, hands)
    address = at(place, "flange-torque", "second-check/")
    given = {"username": "ingo", "password": PASSWORD, "typed": "10"}
    wrong = technician.post(address, {**given, "password": "wrong"})
    assert "do not belong together" in said(wrong) and not SecondCheck.objects.exists()
    technician.post(address, given)
    assert SecondCheck.objects.get().by.username == "ingo"


def test_the_doer_is_told_to_ask_a_second_person(place: Place, technician: Client, hands: Any) -> None:
    torque_done(place, hands)
    answer = technician.post(at(place, "flange-torque", "second-check/"), {"typed": "10"})
    assert answer.status_code == 422 and "Ask a second person" in answer.content.decode()


def test_a_manager_who_confirms_is_told_so(place: Place, manager: Client, hands: Any) -> None:
    torque_done(place, hands)
    answer = manager.post(at(place, "flange-torque", "second-check/"), {"typed": "10"})
    assert answer.status_code == 422 and "may not confirm" in answer.content.decode()


def test_a_second_reading_outside_is_told_and_the_step_is_open(
    place: Place, signed_in: Callable[..., Client], crew: Any, hands: Any
) -> None:
    torque_done(place, hands)
    client = signed_in(crew.inspector)
    answer = client.post(at(place, "flange-torque", "second-check/"), {"typed": "12"})
    assert "the step is open again" in said(answer)
    assert not visits.job_sheet(place.job).step("flange-torque").done


def test_a_step_is_opened_again_with_a_reason(place: Place, technician: Client, hands: Any) -> None:
    hands.do(place.job, "make-safe")
    address = at(place, "make-safe", "reopen/")
    assert "Type why" in said(technician.post(address))
    technician.post(address, {"reason": "cap came off"})
    assert not visits.job_sheet(place.job).step("make-safe").done


def test_a_release_is_refused_with_the_open_steps(place: Place, technician: Client) -> None:
    answer = technician.post(f"/visits/{place.job.number}/release/", {"limitations": "first flight alone"})
    page = answer.content.decode()
    assert answer.status_code == 422 and "Not released. Step 1" in page and Release.objects.count() == 1
    assert "first flight alone</textarea>" in page


def test_a_release_is_signed_and_printed(place: Place, technician: Client, hands: Any) -> None:
    hands.do_all(place.job)
    technician.post(f"/visits/{place.job.number}/release/", {"limitations": "first flight alone"})
    assert Release.objects.get(job=place.job).limitations == "first flight alone"
    page = technician.get(f"/visits/{place.job.number}/").content.decode()
    assert "first flight alone" in page
    assert technician.get(f"/visits/{place.job.number}/release.pdf").content.startswith(b"%PDF-")


def test_a_release_with_a_book_in_it_is_refused(place: Place, technician: Client, hands: Any) -> None:
    hands.do_all(place.job)
    answer = technician.post(f"/visits/{place.job.number}/release/", {"not_done": "x" * 2001})
    assert answer.status_code == 422 and "longer than 2,000" in answer.content.decode()
    assert Release.objects.count() == 1


def test_a_job_is_closed_with_a_reason(place: Place, technician: Client, hands: Any) -> None:
    address = f"/visits/{place.job.number}/close/"
    assert "Type why" in said(technician.post(address))
    technician.post(address, {"reason": "owner took it home"})
    assert Closure.objects.get().reason == "owner took it home"
    assert "closed by Tilda Reeve" in said(technician.post(address, {"reason": "again"}))


def test_today_shows_what_is_due_and_what_is_in_hand(place: Place, technician: Client) -> None:
    page = technician.get("/").content.decode()
    assert "Outer" in page and place.job.number in page


@pytest.mark.parametrize(
    ("q", "found"), [("out", True), ("1200", True), ("owner of outer", True), ("zzz", False)]
)
def test_engines_are_found_by_name_serial_or_owner(
    place: Place, technician: Client, q: str, found: bool
) -> None:
    assert ("/engines/1200/" in technician.get("/engines/", {"q": q}).content.decode()) is found


@pytest.mark.parametrize("before", ["3", "x", "-1", "9" * 30, "9" * 5000, "٣"])
def test_the_journal_turns_its_pages_whatever_is_asked(place: Place, technician: Client, before: str) -> None:
    assert technician.get("/journal/", {"before": before}).status_code == 200


def test_the_journal_shows_one_subject(place: Place, technician: Client) -> None:
    page = technician.get("/journal/", {"subject": "engine/1200"}).content.decode()
    assert "Engine time added" in page and "Type sheet kept" not in page


@pytest.mark.parametrize("text", ["\u202e", "‼️ " * 10, "'; DROP TABLE journal_entry; --"])
def test_odd_text_in_a_remark_breaks_nothing(place: Place, technician: Client, hands: Any, text: str) -> None:
    hands.do(place.job, "make-safe")
    answers = [
        technician.post(at(place, "make-safe", "reopen/"), {"reason": text}),
        technician.post(at(place, "make-safe", "done/"), {"remark": text}),
        technician.post(f"/visits/{place.job.number}/kit/", {"lot": text}),
        technician.post(f"/engines/1200/time/{place.entry.entry_sequence}/withdraw/", {"reason": text}),
        technician.get("/engines/", {"q": text}),
        technician.get("/journal/", {"subject": text}),
        technician.post(f"/visits/{place.job.number}/close/", {"reason": text}),
    ]
    assert all(answer.status_code in (200, 302) for answer in answers)


def test_a_nul_is_refused_wherever_it_is_sent(place: Place, technician: Client) -> None:
    before = Entry.objects.count()
    answers = [
        technician.post(at(place, "make-safe", "done/"), {"remark": "a\0b"}),
        technician.post(at(place, "flange-torque", "reading/"), {"typed": "9\0"}),
        technician.get("/journal/", {"subject": "\0"}),
        technician.get("/engines/12%0000/"),
    ]
    assert {answer.status_code for answer in answers} == {400}
    assert Entry.objects.count() == before


def test_a_form_from_another_site_is_refused(place: Place, crew: Any) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(crew.technician, backend="django.contrib.auth.backends.ModelBackend")
    before = Entry.objects.count()
    assert client.post(at(place, "make-safe", "done/")).status_code == 403
    assert Entry.objects.count() == before


def test_a_page_of_a_job_costs_few_questions_to_the_database(
    place: Place, technician: Client, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    with django_assert_max_num_queries(29):
        technician.get(f"/visits/{place.job.number}/")


def test_a_workshop_that_is_no_demo_has_no_log_to_try(
    place: Place, technician: Client, settings: Any
) -> None:
    (settings.DATA / settings.TRACK_LOG_TO_TRY).unlink()
    assert technician.get("/track-log-to-try/").status_code == 404
    assert "track-log-to-try" not in technician.get("/engines/1200/").content.decode()


def test_a_job_that_is_over_shows_no_forms_that_write(place: Place, technician: Client) -> None:
    page = technician.get(f"/visits/{place.released.number}/").content.decode()
    assert f"/visits/{place.released.number}/close/" not in page
    with pytest.raises(visit_actions.VisitError):
        visit_actions.close_without_release(
            place.released, "x", who=place.released.opened_by, at=place.released.opened_at
        )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("/sums/", "/calculations/"),
        ("/jobs/", "/visits/"),
        ("/sums/leak.json?start=0.35", "/calculations/leak.json?start=0.35"),
        ("/trouble/2025-0001/trouble.pdf", "/fault-finding/2025-0001/fault-finding.pdf"),
    ],
)
def test_an_address_of_the_first_version_leads_on(technician: Client, old: str, new: str) -> None:
    for answer in (technician.get(old), technician.post(old)):
        assert answer.status_code == 308 and answer["Location"] == new
