"""Sessions: kept by a hash, ended by signing out, and those of before ended once."""

from __future__ import annotations

import importlib
from typing import Any

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session

from tickover.workshop.people.session_store import SessionStore, stored_key

pytestmark = pytest.mark.django_db


def test_a_session_is_found_by_its_key_and_not_by_what_is_stored() -> None:
    kept = SessionStore()
    kept["who"] = "ada"
    kept.create()
    kept.save()
    (row,) = Session.objects.all()
    assert row.session_key == stored_key(kept.session_key) != kept.session_key
    assert SessionStore(kept.session_key)["who"] == "ada"
    assert SessionStore(row.session_key).get("who") is None
    assert kept.exists(kept.session_key) and not kept.exists(row.session_key)


def test_a_session_that_was_deleted_or_made_anew_is_no_more() -> None:
    kept = SessionStore()
    kept.create()
    before = kept.session_key
    kept.cycle_key()
    assert kept.session_key != before and Session.objects.count() == 1
    kept.delete(Session.objects.get().session_key)
    assert Session.objects.count() == 1
    kept.delete()
    assert Session.objects.count() == 0


def test_a_session_ends_in_time(settings: Any) -> None:
    kept = SessionStore()
    kept.set_expiry(-1)
    kept.create()
    kept["who"] = "ada"
    kept.save()
    again = SessionStore(kept.session_key)
    assert again.get("who") is None and again.session_key is None
    SessionStore.clear_expired()
    assert Session.objects.count() == 0


def test_sessions_kept_by_their_key_are_ended_once() -> None:
    from django.utils import timezone

    Session.objects.create(session_key="k" * 32, session_data="", expire_date=timezone.now())
    importlib.import_module(
        "tickover.workshop.people.migrations.0002_sessions_are_kept_by_a_hash"
    ).end_sessions(apps, None)
    assert Session.objects.count() == 0
