"""The lot of a kit is noted to the card whose kit it is, and to no other."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Job, KitNote

pytestmark = pytest.mark.usefixtures("verified")

SERVICE = "diaphragm-service"


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def check(outer: Any, hands: Any) -> Job:
    job: Job = hands.open(outer, "flange-check")
    return job


def own_card(job: Job) -> str:
    return queries.job_sheet(job).cards[0].id


def refused(job: Job, card_id: str, by: dict[str, Any]) -> None:
    before = Entry.objects.count()
    with pytest.raises(LookupError, match=f"no card '{card_id}' was added to visit {job.number}"):
        actions.note_kit(job, "K-9", card_id=card_id, **by)
    assert (KitNote.objects.count(), Entry.objects.count()) == (0, before)


def test_a_kit_is_not_noted_to_a_card_that_was_never_added(check: Job, by: dict[str, Any]) -> None:
    refused(check, SERVICE, by)


def test_a_kit_is_not_noted_to_a_card_of_another_job(
    check: Job, inner: Any, hands: Any, by: dict[str, Any]
) -> None:
    other = hands.open(inner, "flange-check")
    actions.add_task(other, SERVICE, "the diaphragm was stiff", **by)
    refused(check, SERVICE, by)
    assert actions.note_kit(other, "K-9", card_id=SERVICE, **by).card_id == SERVICE


def test_a_kit_is_not_noted_to_a_card_that_was_taken_off_again(check: Job, by: dict[str, Any]) -> None:
    actions.add_task(check, SERVICE, "the diaphragm was stiff", **by)
    actions.drop_task(check, SERVICE, "it is still soft", **by)
    refused(check, SERVICE, by)


def test_the_first_cards_kit_is_noted_without_naming_it(check: Job, by: dict[str, Any]) -> None:
    refused(check, own_card(check), by)
    assert actions.note_kit(check, "K-9", **by).card_id == ""


def test_a_kit_note_keeps_its_lot_its_card_and_its_person(check: Job, by: dict[str, Any]) -> None:
    actions.add_task(check, SERVICE, "the diaphragm was stiff", **by)
    actions.note_kit(check, " K-9 ", card_id=SERVICE, **by)
    note, entry = KitNote.objects.get(), Entry.objects.order_by("sequence").last()
    assert (note.job, note.lot, note.card_id, note.by) == (check, "K-9", SERVICE, by["who"])
    assert entry is not None and note.entry_sequence == entry.sequence
    assert (entry.kind, entry.subject, entry.actor, entry.at) == (
        *("kit noted", f"job/{check.number}", "tilda"),
        "2025-05-05T09:00:00.000+00:00",
    )


@pytest.mark.parametrize(("typed", "kept"), [("K" * 80, 80), (" " + "K" * 81, 80), ("K", 1)])
def test_a_lot_is_kept_up_to_80_characters(check: Job, by: dict[str, Any], typed: str, kept: int) -> None:
    assert actions.note_kit(check, typed, **by).lot == "K" * kept


@pytest.mark.parametrize("typed", ["", "  ", "\n"])
def test_a_kit_without_a_lot_is_refused(check: Job, by: dict[str, Any], typed: str) -> None:
    with pytest.raises(actions.VisitError) as caught:
        actions.note_kit(check, typed, **by)
    assert str(caught.value) == ("Type the lot printed on the kit bag. Nothing was saved.")
    assert not KitNote.objects.exists()


def test_a_kit_is_noted_while_the_job_is_open_only(check: Job, by: dict[str, Any]) -> None:
    actions.close_without_release(check, "not fit", **by)
    with pytest.raises(actions.VisitError, match="was closed by"):
        actions.note_kit(check, "K-9", **by)
