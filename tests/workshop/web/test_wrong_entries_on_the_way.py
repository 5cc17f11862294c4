"""A whole diaphragm service on its pages, with wrong entries at every reading: each ends in a sentence that helps."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

from django.test import Client

from tests.conftest import _middle
from tickover.workshop.readings.measuring import inputs_giving
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Reading, Release
from tickover.workshop.visits.steps.step_line import StepLine


def good(line: StepLine) -> dict[str, str]:
    """What is typed for a reading in the middle of its limits."""
    if line.site is None:
        return {}
    return {name: f"{x:.9g}" for name, x in inputs_giving(line.site, _middle(line.site.limit)).items()}


def wrong(number: float) -> list[str]:
    """Slips that are no reading, whatever the gauge."""
    return [
        "",
        "abc",
        "1.234,5",
        "--1",
        "nan",
        f"{number:.9g} kg",
        f"-{number:.9g}" if number else "-x",
        "1" * 39,
    ]


def refusal(page: Any) -> str:
    found = re.findall(r'class="refused"[^>]*>(.*?)</p>', page.content.decode(), re.DOTALL)
    return html.unescape(found[0]).strip() if found else ""


def try_wrong_entries(client: Client, address: str, line: StepLine) -> None:
    """None of them is kept; each is refused with a sentence. Too much and too little are asked about, or outside."""
    entry = good(line)
    first = next(iter(entry))
    number, before = float(entry[first]), Reading.objects.count()
    for typed in wrong(number):
        answer = client.post(f"{address}reading/", {**entry, first: typed}, follow=True)
        assert answer.status_code == 422 and refusal(answer).endswith("."), (line.step.id, typed)
    assert Reading.objects.count() == before
    if line.limit and not line.limit.computed and line.limit.repeats == 1:
        for factor in (10.0, 100.0):
            answer = client.post(
                f"{address}reading/", {**entry, first: f"{factor * number:.6g}"}, follow=True
            )
            assert refusal(answer) or Reading.objects.latest("pk").decision != "inside", (
                line.step.id,
                factor,
            )
    left_out = (
        [name for name in entry if name.startswith("of-") and not line.limit.computed] if line.limit else []
    )
    for name in left_out:
        client.post(f"{address}reading/", {k: v for k, v in entry.items() if k != name}, follow=True)
        assert Reading.objects.latest("pk").decision == "not valid", line.step.id


def try_to_get_past(client: Client, job: Any, line: StepLine) -> None:
    """The one who did a step confirms it, reads it blind, or goes on to what would close it over."""
    address = f"/visits/{job.number}/steps/"
    answer = client.post(f"{address}{line.step.id}/second-check/", good(line), follow=True)
    assert queries.job_sheet(job).step(line.step.id).check is None
    assert answer.status_code in (200, 422)
    for held in line.step.hold_before:
        later = queries.job_sheet(job).step(held)
        finding = next((f.id for f in later.step.findings), "")
        client.post(f"{address}{held}/done/", {"finding_id": finding}, follow=True)
        client.post(f"{address}{held}/reading/", good(later), follow=True)
        stands = queries.job_sheet(job).step(held)
        assert not stands.done and not stands.taken, (line.step.id, held)


def test_a_whole_service_with_every_wrong_entry(
    outer: Any, crew: Any, hands: Any, signed_in: Callable[..., Client], verified: None
) -> None:
    job, client = hands.open(outer, "diaphragm-service"), signed_in(crew.technician)
    read, held = [], []
    for line in queries.job_sheet(job).steps:
        address = f"/visits/{job.number}/steps/{line.step.id}/"
        if line.step.runs_engine:
            client.post(f"{address}caution/")
        if line.limit:
            read.append(line.step.id)
            client.post(f"{address}done/", {}, follow=True)
            assert not queries.job_sheet(job).step(line.step.id).done, "done without its reading"
            try_wrong_entries(client, address, queries.job_sheet(job).step(line.step.id))
        hands.do(job, line.step.id, checked=False)
        if line.step.second_check:
            held.append(line.step.id)
            try_to_get_past(client, job, queries.job_sheet(job).step(line.step.id))
            refused = client.post(f"/visits/{job.number}/release/", {}, follow=True)
            assert not Release.objects.exists() and "second check" in refused.content.decode()
            confirm(hands, job, line)
    # A head of 100 times its temperature was refused; what was tried at the flange is still asked about.
    blockers = queries.job_sheet(job).blockers
    assert len(read) >= 9 and len(held) >= 5
    assert all("xceedance" in b for b in blockers), blockers


def confirm(hands: Any, job: Any, line: StepLine) -> None:
    typed = actions.TypedReading(good(line)) if line.limit else ""
    assert actions.second_check(job, line.step.id, who=hands.crew.inspector, at=hands.at, typed=typed)
