"""Processes of their own that begin with the libraries read: reading them is most of a process's start.

`Started` is `subprocess.Popen` for `python -c SCRIPT ...` and `python -m MODULE ...`. One process of each test
run has imported what needs no settings; every other is forked from it, with its own environment, arguments and
standard streams. It sets Django up, does its work and ends as if it had been started alone.
"""

from __future__ import annotations

import ctypes
import importlib
import json
import os
import runpy
import signal
import socket
import subprocess
import sys
from functools import cache
from typing import Any

READ_BEFORE = (
    *("django.contrib.auth.hashers", "django.contrib.sessions.backends.db", "django.core.management"),
    *("django.db.models", "django.forms", "django.template.backends.django", "django.test"),
    *("pint", "PIL.Image", "pydantic", "scipy.optimize", "scipy.signal", "waitress"),
    *("tickover.formats.audio.sound_file", "tickover.formats.flight_log", "tickover.science.planning.visits"),
    *("tickover.science.faults", "tickover.science.run_up", "tickover.sheets", "tickover.language.amounts"),
)
LARGEST = 1 << 17
SET_CHILD_SUBREAPER = 36
"""Of prctl(2): what is orphaned below this process becomes its own child, which it can wait for."""


class Started(subprocess.Popen[str]):
    """As `subprocess.Popen`; the command must begin with this Python and `-c` or `-m`."""

    def _execute_child(self, args: Any, *more: Any) -> None:
        environment, ends = more[5], more[9:15]
        theirs = (ends[0], ends[3], ends[5])
        assert args[0] == sys.executable and args[1] in ("-c", "-m"), args
        request = json.dumps({"arguments": args[1:], "environment": dict(environment)}).encode()
        assert len(request) < LARGEST
        streams = [own if end == -1 else end for own, end in enumerate(theirs)]
        socket.send_fds(_forker(), [request], streams)
        self.pid = int(_forker().recv(32))
        self._child_created = True
        self._close_pipe_fds(*ends)  # type: ignore[attr-defined]


def run(*command: str, env: dict[str, str], timeout: float = 60) -> subprocess.CompletedProcess[str]:
    """As `subprocess.run`, with what was said as text."""
    pipe = subprocess.PIPE
    with Started(command, env=env, stdin=subprocess.DEVNULL, stdout=pipe, stderr=pipe, text=True) as process:
        try:
            out, err = process.communicate(timeout=timeout)
        except BaseException:
            process.kill()
            raise
    return subprocess.CompletedProcess(command, process.returncode, out, err)


@cache
def _forker() -> socket.socket:
    """The end of a socket that takes requests; the process at the other ends with this one."""
    ctypes.CDLL(None).prctl(SET_CHILD_SUBREAPER, 1, 0, 0, 0)
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    subprocess.Popen([sys.executable, __file__, str(theirs.fileno())], pass_fds=[theirs.fileno()])
    theirs.close()
    return ours


def _next_child(requests: socket.socket) -> list[str]:
    """Answer requests until there are no more; returns only in a process forked for one, with its arguments."""
    while True:
        request, streams, _, _ = socket.recv_fds(requests, LARGEST, 3)
        if not request:
            sys.exit()
        read, write = os.pipe()
        if between := os.fork():
            os.close(write)
            os.waitpid(between, 0)  # from here on the new process belongs to the tests
            requests.send(os.read(read, 32))
            for end in (read, *streams):
                os.close(end)
            continue
        if own := os.fork():
            os.write(write, str(own).encode())
            os._exit(0)
        requests.close()
        for end in (read, write):
            os.close(end)
        for number, end in enumerate(streams):
            os.dup2(end, number)
        for end in set(streams) - {0, 1, 2}:
            os.close(end)
        asked = json.loads(request)
        os.environ.clear()
        os.environ.update(asked["environment"])
        return list(asked["arguments"])


def _as_python(kind: str, what: str, *arguments: str) -> None:
    """What Python does with `-c` and `-m`."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    sys.argv = [kind, *arguments]
    if kind == "-m":
        runpy.run_module(what, run_name="__main__", alter_sys=True)
    else:
        exec(compile(what, "<string>", "exec"), {"__name__": "__main__"})


if __name__ == "__main__":
    sys.path[0] = ""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever stops the tests stops this by closing the socket
    for name in READ_BEFORE:
        importlib.import_module(name)
    from tickover.sheets import shipped_texts

    shipped_texts()
    _as_python(*_next_child(socket.socket(fileno=int(sys.argv[1]))))
