"""Where a workshop is open: noted in its data folder by the server, for commands that print links."""

from __future__ import annotations

import http.client
import json
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from urllib.parse import urlsplit

FILE = "open.json"
WAIT_S = 20.0
"""How long a server that listens may take to answer; where none listens, that is known at once. [s]"""


@contextmanager
def noted(data: Path, address: str) -> Iterator[None]:
    """The address stands in the folder while the server runs. A server that is killed leaves it there."""
    place = data / FILE
    place.write_text(json.dumps({"address": address}))
    try:
        yield
    finally:
        if _noted(data) == address:
            with suppress(OSError):
                place.unlink()


def open_address(data: Path, *, cookie: str) -> str | None:
    """Where the workshop of this folder is open, such as "http://127.0.0.1:8765/"; None where it is not.

    `cookie` is the name of one that its sign-in page sets: another program may have the port by now.
    """
    address = _noted(data)
    return address if address and _answers(address, cookie) else None


def _noted(data: Path) -> str | None:
    try:
        return str(json.loads((data / FILE).read_text())["address"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _answers(address: str, cookie: str) -> bool:
    try:
        with closing(http.client.HTTPConnection(urlsplit(address).netloc, timeout=WAIT_S)) as connection:
            connection.request("GET", "/sign-in/")
            answer = connection.getresponse()
            return answer.status == 200 and f"{cookie}=" in (answer.getheader("Set-Cookie") or "")
    except (OSError, http.client.HTTPException):
        return False
