"""Sessions in the database, each under a hash of its key: who reads the database signs in as nobody.

The key itself is in the cookie of the browser alone.
"""

from __future__ import annotations

import hashlib
from typing import Any

from django.contrib.sessions.backends import db
from django.contrib.sessions.base_session import AbstractBaseSession
from django.utils import timezone

DIGITS = 40
"""As many as the table has room for: 160 bits of SHA-256, about as many as a key has."""


def stored_key(session_key: str) -> str:
    """Under which a session is kept."""
    return hashlib.sha256(session_key.encode()).hexdigest()[:DIGITS]


class SessionStore(db.SessionStore):
    """Django's store, but for the key of each row. Its asynchronous half is not used here, and refuses."""

    def _get_session_from_db(self) -> AbstractBaseSession | None:
        rows = self._rows(self.session_key or "").filter(expire_date__gt=timezone.now())
        row: AbstractBaseSession | None = rows.first()
        if row is None:
            self._session_key = None
        return row

    def exists(self, session_key: str) -> bool:
        return bool(self._rows(session_key).exists())

    def create_model_instance(self, data: dict[str, Any]) -> AbstractBaseSession:
        row = super().create_model_instance(data)
        row.session_key = stored_key(row.session_key)
        return row

    def delete(self, session_key: str | None = None) -> None:
        if key := session_key or self.session_key:
            self._rows(key).delete()

    def _rows(self, session_key: str) -> Any:
        return self.model.objects.filter(session_key=stored_key(session_key))

    async def _aget_session_from_db(self) -> AbstractBaseSession | None:
        raise NotImplementedError

    async def aexists(self, session_key: str) -> bool:
        raise NotImplementedError

    async def acreate_model_instance(self, data: dict[str, Any]) -> AbstractBaseSession:
        raise NotImplementedError

    async def adelete(self, session_key: str | None = None) -> None:
        raise NotImplementedError
