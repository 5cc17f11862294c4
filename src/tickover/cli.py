"""The command line: open the workshop, read a track log, see what is due, verify, back up, restore."""

from __future__ import annotations

import argparse
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path

OLD_NAMES = {"sum": "calculate"}
"""Commands by the names they had in version 0.1, which still work."""


def build_parser() -> argparse.ArgumentParser:
    """Every command with its help; the documents are checked against it."""
    parser = argparse.ArgumentParser(
        prog="tickover", description="A bench book that computes, for small two-stroke aircraft engines."
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    opened = commands.add_parser(
        "open", help="open the workshop in a browser; a demo one where there is none"
    )
    opened.add_argument("--port", type=int, default=8765)
    opened.add_argument("--empty", action="store_true", help="start without the demo workshop")

    hours = commands.add_parser("hours", help="the engine time in track logs, without adding it")
    hours.add_argument("file", type=Path, nargs="+")
    hours.add_argument("--workers", type=int, help="processes to use for several files; all cores by default")
    hours.add_argument(
        "--cluster", metavar="ADDRESS", help="a dask scheduler to use instead of this machine's cores"
    )

    calculate = commands.add_parser(
        "calculate", help="one calculation of the bench; without a name, list them all"
    )
    calculate.add_argument("name", nargs="?", metavar="CALCULATION")
    calculate.add_argument("given", nargs="*", metavar="NAME=VALUE")
    calculate.add_argument("--json", action="store_true", help="print the answer as data")

    due = commands.add_parser("due", help="what is due, the most urgent first")
    due.add_argument("--all", action="store_true", help="also what is not due yet")

    verify = commands.add_parser("verify", help="recompute the journal's chain and the hashes of the files")
    verify.add_argument(
        "--paper",
        nargs=2,
        metavar=("ENTRY", "HASH"),
        help="compare the entry number and hash (or its beginning) printed on a release with the journal",
    )

    backup = commands.add_parser("backup", help="one archive with everything, consistent while work goes on")
    backup.add_argument("file", type=Path)

    restore = commands.add_parser("restore", help="bring a backup back; what is there now is set aside")
    restore.add_argument("file", type=Path)

    sign_in = commands.add_parser("sign-in", help="print a link that signs a person in once")
    sign_in.add_argument("username")
    sign_in.add_argument("--port", type=int, help="of a server of your own; else that of `tickover open`")

    person = commands.add_parser("add-person", help="add a person who works here; asks for a password")
    person.add_argument("username")
    person.add_argument("--first-name", required=True)
    person.add_argument("--last-name", required=True)
    person.add_argument("--role", choices=["manager", "technician", "inspector"], required=True)
    person.add_argument("--authority", default="", help="licence or approval to release engines, as printed")

    edit = commands.add_parser("edit-person", help="change a person's name, role or authority, with a reason")
    edit.add_argument("username")
    edit.add_argument("--first-name")
    edit.add_argument("--last-name")
    edit.add_argument("--role", choices=["manager", "technician", "inspector"])
    edit.add_argument("--authority", help="licence or approval to release engines, as printed")
    edit.add_argument("--works-here", choices=["yes", "no"], help="no: may not sign in")
    edit.add_argument("--why", required=True)

    shop = commands.add_parser(
        "edit-workshop", help="change the workshop's name, place or rules, with a reason"
    )
    shop.add_argument("--name")
    shop.add_argument("--place")
    shop.add_argument("--works-alone", choices=["yes", "no"], help="yes: a timed second look is enough")
    shop.add_argument("--second-look-minutes", type=int)
    shop.add_argument("--why", required=True)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0, or 1 where something was found or refused, 2 for wrong arguments."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    options = build_parser().parse_args([OLD_NAMES.get(given[0], given[0]), *given[1:]] if given else given)
    if options.command in ("due", "hours", "calculate", "verify") and hasattr(signal, "SIGPIPE"):
        # So that `tickover due | head` ends quietly; never for `open`, where a visitor may hang up.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    if options.command == "hours":
        from tickover.commands.hours import show_hours

        return show_hours(options.file, options.workers, options.cluster)
    if options.command == "calculate":
        from tickover.commands.calculate import show_calculation

        return show_calculation(options.name, options.given, as_json=options.json)
    return _work_on_the_book(options)


def _work_on_the_book(options: argparse.Namespace) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tickover.workshop.settings")
    import django

    from tickover.workshop.serving.outages import outage_of
    from tickover.workshop.serving.owner_only import write_for_owner_only

    write_for_owner_only()
    try:
        django.setup()
        from tickover.commands import workshop as commands

        try:
            return commands.run(options)
        except commands.CommandRefusedError as refusal:
            print(refusal, file=sys.stderr)
            return 1
    except Exception as error:
        if (outage := outage_of(error)) is None:
            raise
        print(outage, file=sys.stderr)
        return 1


if __name__ == "__main__":
    sys.exit(main())
