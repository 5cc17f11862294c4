"""Requests that cost the workshop much are refused by their head, and connections that ask nothing stop nobody."""

from __future__ import annotations

import http.client
import re
import socket
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import pytest

MB = 2**20
UPLOADS = {
    "/photos/add/": 25 * 2**20,
    "/engines/1200/track-log/": 64 * 2**20,
    "/hours-from-a-table/enter/": 4 * 2**20,
    "/type-sheets/import/": 2 * 2**20,
    "/engines/1200/runs/new/": 2 * 2**30,
    "/fault-finding/T-1/photographed/": 25 * 2**20,
}
OTHERS = ["/", "/sign-in/", "/change-person/", "/visits/2025-0001/close/", "/no/such/page/"]


@pytest.fixture(scope="module")
def open_shop(laid_out: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    import shutil

    folder = type(laid_out)(tmp_path_factory.mktemp("open") / "workshop")
    shutil.copytree(laid_out.data, folder.data)
    with folder.open_shop() as shop:
        yield shop


@pytest.fixture(scope="module")
def cookie(open_shop: Any) -> str:
    return str(open_shop.sign_in())


def ask(shop: Any, path: str, wait_s: float = 5.0, **headers: Any) -> tuple[int, str, str]:
    """The answer to a head alone: nothing of a body is sent."""
    with closing(http.client.HTTPConnection("127.0.0.1", shop.port, timeout=wait_s)) as connection:
        connection.putrequest("POST", path)
        for name, value in headers.items():
            connection.putheader(name.replace("_", "-"), str(value))
        connection.endheaders()
        answer = connection.getresponse()
        return answer.status, answer.getheader("Location", ""), answer.read().decode()


@pytest.mark.parametrize("path", OTHERS)
def test_no_address_takes_more_than_a_form_by_its_head(open_shop: Any, cookie: str, path: str) -> None:
    for headers in ({}, {"Cookie": cookie, "Origin": open_shop.address}):
        status, _, page = ask(open_shop, path, Content_Length=200 * MB, **headers)
        assert status == 413 and "Too much was sent: 200.0 MB" in page and "Nothing was saved" in page


@pytest.mark.parametrize("path", UPLOADS)
def test_a_stranger_is_asked_to_sign_in_before_a_file_is_read(open_shop: Any, path: str) -> None:
    for length in (MB + 1, 2 * MB):
        answer = ask(open_shop, path, Content_Length=length, Origin=open_shop.address)
        assert answer[:2] == (302, "/sign-in/?next=%2F")
    forged = ask(
        open_shop, path, Content_Length=2 * MB, Origin=open_shop.address, Cookie="tickover_session=x"
    )
    assert forged[0] == 302


@pytest.mark.parametrize(("path", "most"), UPLOADS.items())
def test_a_file_is_taken_up_to_what_its_form_takes(open_shop: Any, cookie: str, path: str, most: int) -> None:
    ours = {"Cookie": cookie, "Origin": open_shop.address}
    status, _, page = ask(open_shop, path, Content_Length=most + MB + 1, **ours)
    assert status == 413 and "This form takes" in page
    with pytest.raises(TimeoutError):  # it waits for the body
        ask(open_shop, path, 0.3, Content_Length=min(most, 60 * MB), **ours)


@pytest.mark.parametrize(
    ("headers", "comes_from_here"),
    [
        ({"Origin": "http://elsewhere.example"}, False),
        ({"Origin": "null"}, False),
        ({"Origin": "https://127.0.0.1"}, False),
        ({"Sec_Fetch_Site": "cross-site"}, False),
        ({"Sec_Fetch_Site": "same-site"}, False),
        ({"Referer": "http://elsewhere.example/"}, False),
        ({"Host": "elsewhere.example", "Origin": "http://elsewhere.example"}, False),
        ({}, False),
        ({"Sec_Fetch_Site": "same-origin"}, True),
        ({"Referer": "HERE/engines/1200/"}, True),
        ({"Origin": "HERE"}, True),
    ],
)
def test_a_file_from_another_site_is_refused_before_it_is_read(
    open_shop: Any, cookie: str, headers: dict[str, str], comes_from_here: bool
) -> None:
    said = {name: value.replace("HERE", open_shop.address) for name, value in headers.items()}
    if comes_from_here:
        with pytest.raises(TimeoutError):  # it waits for the body
            ask(open_shop, "/photos/add/", 0.3, Content_Length=2 * MB, Cookie=cookie, **said)
    else:
        status, _, page = ask(open_shop, "/photos/add/", Content_Length=2 * MB, Cookie=cookie, **said)
        assert status == 403 and "not sent from a page of this workshop" in page


def test_the_token_of_the_form_is_asked_for_once_the_file_is_there(open_shop: Any, cookie: str) -> None:
    body = (
        b"--b\r\nContent-Disposition: form-data; name=photo; filename=a\r\n\r\n"
        + bytes(2 * MB)
        + b"\r\n--b--"
    )
    headers = {
        "Cookie": cookie,
        "Origin": open_shop.address,
        "Content-Type": "multipart/form-data; boundary=b",
    }
    with closing(http.client.HTTPConnection("127.0.0.1", open_shop.port, timeout=10)) as connection:
        connection.request("POST", "/photos/add/", body, headers)
        answer = connection.getresponse()
        assert answer.status == 403 and "form" in answer.read().decode()


def test_who_sends_it_all_without_asking_still_reads_why_not(open_shop: Any) -> None:
    """As a browser does: the whole file goes out before it looks for an answer."""
    with closing(http.client.HTTPConnection("127.0.0.1", open_shop.port, timeout=10)) as connection:
        connection.request("POST", "/photos/add/", bytes(20 * MB), {"Origin": open_shop.address})
        assert connection.getresponse().getheader("Location") == "/sign-in/?next=%2F"


def test_who_asks_first_is_not_told_to_go_on(open_shop: Any) -> None:
    status, _, _ = ask(open_shop, "/", Content_Length=2 * MB, Expect="100-continue")
    assert status == 413


def chunks(shop: Any, path: str, megabytes: int, **headers: str) -> bytes:
    """The answer to a body whose length is not said, sent as it may be taken."""
    head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
    with socket.create_connection(("127.0.0.1", shop.port), timeout=5) as plain:
        plain.sendall(
            f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{shop.port}\r\n{head}"
            "Transfer-Encoding: chunked\r\n\r\n".encode()
        )
        try:
            for _ in range(10 * megabytes):
                plain.sendall(b"186a0\r\n" + bytes(100_000) + b"\r\n")
        except OSError:
            pass
        return plain.recv(4096)


def test_a_body_of_unknown_length_is_counted_as_it_comes(open_shop: Any, cookie: str) -> None:
    assert b" 413 " in chunks(open_shop, "/sign-in/", 3)
    assert b" 302 " in chunks(open_shop, "/photos/add/", 3, Origin=open_shop.address)
    ours = {"Cookie": cookie, "Origin": open_shop.address}
    assert b" 413 " in chunks(open_shop, "/visits/2025-0001/close/", 3, **ours)
    assert b" 413 " in chunks(open_shop, "/type-sheets/import/", 5, **ours)


def held_bytes(shop: Any) -> int:
    """What the server holds in files without a name, where bodies lie while they come."""
    sizes = 0
    for link in Path(f"/proc/{shop.process.pid}/fd").iterdir():
        try:
            if "(deleted)" in str(link.readlink()):
                sizes += link.stat().st_size
        except OSError:
            continue
    return sizes


@pytest.mark.skipif(sys.platform != "linux", reason="open files are listed in /proc on Linux only")
def test_nothing_of_a_refused_body_is_stored(open_shop: Any) -> None:
    before = held_bytes(open_shop)
    with socket.create_connection(("127.0.0.1", open_shop.port), timeout=5) as plain:
        plain.sendall(f"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: {200 * MB}\r\n\r\n".encode())
        most = 0
        for _ in range(100):
            try:
                plain.sendall(bytes(200_000))
            except OSError:
                break
            most = max(most, held_bytes(open_shop) - before)
    assert most < 200_000


def test_a_form_without_script_still_signs_in_and_out(open_shop: Any) -> None:
    cookie = open_shop.sign_in()
    page = open_shop.get("/", cookie)
    token = re.search(r'csrfmiddlewaretoken" value="(\w+)"', page.text).group(1)
    csrf = re.search(r"tickover_csrf=\w+", page.cookies).group(0)
    body = f"csrfmiddlewaretoken={token}"
    with closing(http.client.HTTPConnection("127.0.0.1", open_shop.port, timeout=10)) as connection:
        headers = {"Cookie": f"{cookie}; {csrf}", "Content-Type": "application/x-www-form-urlencoded"}
        connection.request("POST", "/sign-out/", body, headers)
        assert connection.getresponse().status == 302
    assert open_shop.get("/", cookie).status == 302


@pytest.mark.parametrize(
    "sends", [b"", b"GET / HTTP/1.1\r\nHost:", b"POST /sign-in/ HTTP/1.1\r\nContent-Length: 9\r\n\r\n"]
)
def test_connections_that_ask_nothing_stop_nobody(open_shop: Any, sends: bytes) -> None:
    with ExitStack() as half_open:
        for _ in range(450):
            plain = half_open.enter_context(
                socket.create_connection(("127.0.0.1", open_shop.port), timeout=5)
            )
            if sends:
                plain.sendall(sends)
        begun = time.monotonic()
        assert open_shop.get("/sign-in/").status == 200
        assert time.monotonic() - begun < 3


def test_a_file_on_its_way_does_not_give_way_to_idle_connections(open_shop: Any, cookie: str) -> None:
    head = (
        f"POST /photos/add/ HTTP/1.1\r\nHost: 127.0.0.1:{open_shop.port}\r\nCookie: {cookie}\r\n"
        f"Origin: {open_shop.address}\r\nContent-Length: {2 * MB}\r\n\r\n"
    )
    with (
        ExitStack() as half_open,
        socket.create_connection(("127.0.0.1", open_shop.port), timeout=5) as sending,
    ):
        sending.sendall(head.encode() + bytes(MB))
        time.sleep(0.2)
        for _ in range(450):
            half_open.enter_context(socket.create_connection(("127.0.0.1", open_shop.port), timeout=5))
        sending.sendall(bytes(MB))
        assert b"HTTP/1.1 403" in sending.recv(4096)
