"""Pages of deferred defects: for whom each opens, by which method, and what they write."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.utils import timezone

from tickover.workshop.defects import actions
from tickover.workshop.defects.actions import NewDefect
from tickover.workshop.defects.models import DefectRectified, DeferredDefect
from tickover.workshop.kernel.models import Entry
from tickover.workshop.web.defects import urls

PASSWORD = "a-long-enough-password"

pytestmark = pytest.mark.usefixtures("verified")

NUMBER = f"D-{timezone.now():%Y}-0001"
LOOKS = {
    "defects": "/defects/",
    "defect": f"/defects/{NUMBER}/",
    "defer": "/engines/1200/defects/new/",
    "extend": f"/defects/{NUMBER}/extend/",
    "withdraw": f"/defects/{NUMBER}/withdraw/",
}
WRITES = {"rectify": f"/defects/{NUMBER}/rectify/"}


@pytest.fixture
def waiting(outer: Any, crew: Any) -> DeferredDefect:
    """A defect that is near its limit today."""
    soon = timezone.localdate() + timedelta(days=3)
    new = NewDefect("Scratch in the spinner", "cosmetic", until_on=soon)
    return actions.defer(outer, new, accepted_by=crew.inspector, who=crew.technician, at=timezone.now())


@pytest.fixture
def technician(signed_in: Any, crew: Any) -> Client:
    return signed_in(crew.technician)


def typed(**change: str) -> dict[str, str]:
    return {
        "what": "Scratch",
        "why_it_may_wait": "cosmetic",
        "until_h": "12,5",
        "until_on": "",
        "accepted_by": "ingo",
        "password": PASSWORD,
        **change,
    }


def test_these_tests_know_every_address() -> None:
    assert {p.name for p in urls.urlpatterns} == LOOKS.keys() | WRITES.keys()


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician_and_leads_a_stranger_to_sign_in(
    waiting: DeferredDefect, technician: Client, client: Client, name: str
) -> None:
    page = technician.get(LOOKS[name]).content.decode()
    assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page
    assert client.get(LOOKS[name])["Location"].startswith("/sign-in/")


def test_forms_write_nothing_for_a_stranger_and_are_no_pages(
    waiting: DeferredDefect, technician: Client, client: Client
) -> None:
    before = Entry.objects.count()
    for address in (LOOKS["defer"], LOOKS["extend"], LOOKS["withdraw"], WRITES["rectify"]):
        assert client.post(address, typed())["Location"].startswith("/sign-in/")
    assert technician.get(WRITES["rectify"]).status_code == 405
    assert technician.post(LOOKS["defects"]).status_code == 405
    assert Entry.objects.count() == before


@pytest.mark.parametrize(
    "address",
    [
        "/defects/none/",
        "/defects/none/extend/",
        "/defects/none/withdraw/",
        "/engines/none/defects/new/",
        "/engines/1200/defects/new/?job=none",
    ],
)
def test_what_is_not_there_is_404(outer: Any, technician: Client, address: str) -> None:
    assert technician.get(address).status_code == 404


def test_a_defect_is_deferred_and_accepted_on_the_same_tablet(
    outer: Any, technician: Client, crew: Any
) -> None:
    answer = technician.post(LOOKS["defer"], typed())
    row = DeferredDefect.objects.get()
    assert answer["Location"] == f"/defects/{row.number}/"
    assert (row.until_h, row.by, row.accepted_by) == (12.5, crew.technician, crew.inspector)
    assert "Scratch" in technician.get("/engines/1200/").content.decode()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"password": "wrong"}, "do not belong together"),
        ({"accepted_by": "tilda"}, "Select a valid choice"),
        ({"until_h": "soon"}, "Type a number in h"),
        ({"until_h": ""}, "Give a limit"),
        ({"until_on": "2020-01-01"}, "is not ahead"),
        ({"what": ""}, "required"),
    ],
)
def test_a_refused_form_says_why_and_keeps_what_was_typed(
    outer: Any, technician: Client, change: dict[str, str], says: str
) -> None:
    answer = technician.post(LOOKS["defer"], typed(**change))
    page = answer.content.decode()
    assert answer.status_code == 422 and says in page and "cosmetic" in page and PASSWORD not in page
    assert not DeferredDefect.objects.exists()


def test_today_and_the_job_show_what_is_near_its_limit(
    waiting: DeferredDefect, technician: Client, hands: Any, outer: Any
) -> None:
    job = hands.open(outer)
    for address in ("/", "/engines/1200/", f"/visits/{job.number}/", f"/visits/{job.number}/release/"):
        assert "Scratch in the spinner" in technician.get(address).content.decode()


def test_it_is_put_right_on_its_page(
    waiting: DeferredDefect, technician: Client, hands: Any, outer: Any
) -> None:
    refused = technician.post(WRITES["rectify"], {"job": "none", "how": "new"})
    assert "Choose the visit" in " ".join(str(m) for m in get_messages(refused.wsgi_request))
    job = hands.open(outer)
    technician.post(WRITES["rectify"], {"job": job.number, "how": "new spinner"})
    assert DefectRectified.objects.get().job == job
    assert "counts when that visit is released" in technician.get(LOOKS["defect"]).content.decode()


def test_another_limit_is_accepted_on_the_same_tablet(waiting: DeferredDefect, technician: Client) -> None:
    asked = {"until_h": "12,5", "until_on": "", "reason": "looked at again", "accepted_by": "ingo"}
    refused = technician.post(LOOKS["extend"], {**asked, "password": "wrong"})
    page = refused.content.decode()
    assert refused.status_code == 422 and "do not belong together" in page and "looked at again" in page
    technician.post(LOOKS["extend"], {**asked, "password": PASSWORD})
    page = technician.get(LOOKS["defect"]).content.decode()
    assert "may wait until 12.5 h" in page and "looked at again" in page and "accepted by Ingo Halm" in page


def test_a_deferral_is_withdrawn_on_its_page(waiting: DeferredDefect, technician: Client) -> None:
    asked = {"reason": "no scratch, dirt", "accepted_by": "ingo"}
    refused = technician.post(LOOKS["withdraw"], {**asked, "password": ""})
    assert refused.status_code == 422 and "no scratch, dirt" in refused.content.decode()
    technician.post(LOOKS["withdraw"], {**asked, "password": PASSWORD})
    page = technician.get(LOOKS["defect"]).content.decode()
    assert "Withdrawn by Tilda Reeve" in page and "Change limit" not in page
    assert "withdrawn: no scratch, dirt" in technician.get(LOOKS["defects"]).content.decode()
    assert "Scratch in the spinner" not in technician.get("/").content.decode()
