"""The server of `tickover open`: it looks at the head of a request before it takes in the body.

waitress takes in whole bodies before the application sees them, so its parser asks `request_limits` in between, and
a refused body is never kept. Connections on which nothing comes give way to new ones, whatever their number.
"""

from __future__ import annotations

import io
import socket
import time
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db import DatabaseError, close_old_connections
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer

from tickover.workshop.serving.request_limits import (
    FORM_BYTES,
    Refusal,
    most_bytes,
    refusal_of,
    too_large_in_passing,
)

CONNECTIONS = 400
"""Below 512, which is as many as Windows can watch at once."""
HEAD_BYTES = 64 * 1024
IN_MEMORY_BYTES = 64 * 1024
QUIET_S = 60
"""A connection on which nothing moves is closed after this time. [s]"""
SLOWEST_FORM_S = 120.0
"""A form of 1 MB that trickles in for longer is given up. [s]"""
LINGER_S = 10.0
"""How long what is still sent after a refusal is thrown away, so that the sender reads why. [s]"""
BUSY = Refusal(
    503, "The book cannot be read just now.", "Wait a little, then send it again. Nothing was saved."
)
REASONS = {302: "Found", 403: "Forbidden", 413: "Content Too Large", 503: "Service Unavailable"}


@dataclass(frozen=True)
class _Answer:
    """A refusal in the form in which waitress sends its own errors."""

    refusal: Refusal

    def to_response(self, _ident: str | None = None) -> tuple[str, list[tuple[str, str]], bytes]:
        headers = [("Content-Type", "text/html; charset=utf-8"), ("Cache-Control", "no-store")]
        if self.refusal.location:
            headers.append(("Location", self.refusal.location))
        status = f"{self.refusal.status} {REASONS.get(self.refusal.status, 'Refused')}"
        return status, headers, self.refusal.page().encode()


class _Head(HTTPRequestParser):
    """A request as it comes in."""

    may_be_large = False
    most = FORM_BYTES
    # Of waitress, and left out of its types.
    path: str
    query: str

    def parse_header(self, header_plus: bytes) -> None:
        super().parse_header(header_plus)
        if self.body_rcv is None:
            return
        try:
            refused = refusal_of(self._environ())
        except DatabaseError:
            refused = BUSY
        finally:
            close_old_connections()
        if refused:
            self._refuse(refused)
        elif self.chunked or self.content_length > FORM_BYTES:
            self.most = most_bytes(self.path)
            self.may_be_large = self.most > FORM_BYTES

    def received(self, data: bytes) -> int:
        taken = super().received(data)
        if self.body_rcv is not None and not self.error and self.body_bytes_received > self.most:
            self._refuse(too_large_in_passing(self.most))
        # What follows a refused head is its body, and no other request.
        return len(data) if isinstance(self.error, _Answer) else int(taken)

    def _refuse(self, refusal: Refusal) -> None:
        self.error = _Answer(refusal)  # type: ignore[assignment]  # sent as waitress sends an Error
        self.completed, self.expect_continue = True, False

    def _environ(self) -> dict[str, Any]:
        named = {f"HTTP_{name}": value for name, value in self.headers.items()}
        if self.chunked:
            named["HTTP_TRANSFER_ENCODING"] = "chunked"
        return {
            **named,
            "REQUEST_METHOD": self.command,
            "PATH_INFO": self.path,
            "QUERY_STRING": self.query,
            "SERVER_NAME": "127.0.0.1",
            "SERVER_PORT": "80",
            "CONTENT_LENGTH": str(self.content_length),
            "CONTENT_TYPE": self.headers.get("CONTENT_TYPE", ""),
            "wsgi.url_scheme": self.adj.url_scheme,
            "wsgi.input": io.BytesIO(),
        }


class _Connection(HTTPChannel):
    """A connection, which after a refusal throws away what still comes before it closes."""

    parser_class = _Head
    refused = False
    refused_at = 0.0

    def __init__(self, *given: Any, **more: Any) -> None:
        self.waiting_since = time.monotonic()
        super().__init__(*given, **more)

    @property
    def is_idle(self) -> bool:
        """Whether nothing has been asked that is still to be answered, and no large file is on its way."""
        sends_file = isinstance(self.request, _Head) and self.request.may_be_large
        return not (self.requests or self.total_outbufs_len or sends_file)

    def received(self, data: bytes) -> bool:
        taken = bool(super().received(data))
        if self.requests:
            self.waiting_since = time.monotonic()
            self.refused = isinstance(self.requests[0].error, _Answer)
        return taken

    def readable(self) -> bool:
        return bool(self.refused_at) or bool(super().readable())

    def writable(self) -> bool:
        return bool(self.will_close if self.refused_at else super().writable())

    def handle_read(self) -> None:
        if not self.refused_at:
            super().handle_read()
            return
        try:
            over = not self.recv(HEAD_BYTES)
        except OSError:
            over = True
        if over or time.monotonic() > self.refused_at + LINGER_S:
            self.handle_close()

    def handle_close(self) -> None:
        if self.refused and self.connected and not self.refused_at:
            self.refused_at, self.will_close = time.monotonic(), False
            with suppress(OSError):
                assert self.socket is not None  # it is connected
                self.socket.shutdown(socket.SHUT_WR)
                return
        super().handle_close()


class WorkshopServer(TcpWSGIServer):
    """waitress with our limits."""

    channel_class = _Connection
    # Of waitress, and left out of its types or wrong in them.
    _map: dict[int, Any]
    active_channels: dict[int, _Connection]  # type: ignore[assignment]
    effective_port: int

    def __init__(self, application: Any, port: int) -> None:
        super().__init__(
            application,
            host="127.0.0.1",
            port=port,
            threads=settings.THREADS,
            connection_limit=CONNECTIONS,
            channel_timeout=QUIET_S,
            cleanup_interval=5,
            max_request_header_size=HEAD_BYTES,
            inbuf_overflow=IN_MEMORY_BYTES,
            # The limit of each address is ours.
            max_request_body_size=2**62,
        )

    def handle_accept(self) -> None:
        """The connection that has been idle longest makes room for a new one."""
        while len(self._map) >= CONNECTIONS - 1 and (idle := self._idle()):
            idle[0].handle_close()
        super().handle_accept()

    def maintenance(self, now: int) -> None:
        super().maintenance(now)
        for channel in self._idle():
            since = channel.refused_at or channel.waiting_since
            if time.monotonic() - since > (LINGER_S if channel.refused_at else SLOWEST_FORM_S):
                channel.will_close = True

    def _idle(self) -> list[_Connection]:
        """Those that wait, the longest first."""
        waiting = [channel for channel in self.active_channels.values() if channel.is_idle]
        return sorted(waiting, key=lambda channel: channel.waiting_since)
