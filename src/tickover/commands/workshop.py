"""Commands that work on the workshop's records."""

from __future__ import annotations

import argparse
import getpass
import sqlite3
from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils import timezone

from tickover.commands.people import edit_person, edit_workshop
from tickover.commands.updating import bring_up_to_date, note_version
from tickover.sheets import shipped_texts
from tickover.workshop.audit import backup, verify
from tickover.workshop.audit.database_state import UnusableDatabaseError, refuse_unusable
from tickover.workshop.kernel import setting_up
from tickover.workshop.kernel.folder_lock import FolderLockedError, in_use
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people import actions as people
from tickover.workshop.people.models import Person, Workshop
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import actions as register
from tickover.workshop.register import queries as engines
from tickover.workshop.serving.open_address import noted, open_address
from tickover.workshop.serving.owner_only import put_right


class CommandRefusedError(RefusedError):
    """A command cannot be carried out; the text says why and what to do."""


def run(options: argparse.Namespace) -> int:
    """Carry out one parsed command."""
    commands = {
        "open": _open,
        "due": _due,
        "verify": _verify,
        "backup": _backup,
        "sign-in": _sign_in,
        "add-person": _add_person,
        "edit-person": _edit,
        "edit-workshop": _edit,
    }
    put_right(settings.DATA)
    if options.command == "restore":
        return _restore(options)
    try:
        with in_use(settings.DATA):
            refuse_unusable()
            if options.command not in ("open", "add-person"):
                _want_a_workshop()
            return commands[options.command](options)
    except (FolderLockedError, UnusableDatabaseError) as error:
        raise CommandRefusedError(str(error)) from error


def _want_a_workshop() -> None:
    if Workshop._meta.db_table not in connection.introspection.table_names():
        raise CommandRefusedError(
            f"There is no workshop in {settings.DATA} yet. Start one with `tickover open`, "
            "or bring a backup back with `tickover restore`."
        )


def _open(options: argparse.Namespace) -> int:
    settings.STATIC_ROOT.mkdir(parents=True, exist_ok=True)
    from tickover.workshop.serving.server import WorkshopServer
    from tickover.workshop.wsgi import application

    _lay_out(empty=options.empty)
    try:
        server = WorkshopServer(application, options.port)
    except OSError as error:
        raise CommandRefusedError(
            f"Port {options.port} is taken. Try: tickover open --port {options.port + 1}"
        ) from error
    address = f"http://127.0.0.1:{server.effective_port}/"
    with noted(settings.DATA, address):
        _say_where(address)
        server.run()
    return 0


def _say_where(address: str) -> None:
    first = Person.objects.filter(is_active=True, role="technician").first() or Person.objects.first()
    print(f"\n  tickover is open. Stop it with Ctrl+C. Records: {settings.DATA}\n")
    if first is None:
        print(f"  {address}\n  No people yet: add them with `tickover add-person`.\n", flush=True)
        return
    token = people.make_sign_in_link(first, at=timezone.now())
    print(f"  {address}sign-in/{token}/\n\n  signs you in once as {first}, {first.role}.\n", flush=True)


def _lay_out(*, empty: bool) -> None:
    """Bring the database up to date, and fill a new one; one process at a time."""
    with setting_up.alone(settings.DATA, lambda words: print(f"  {words}", flush=True)):
        now = timezone.now()
        updated = bring_up_to_date(at=now)
        if not Workshop.objects.exists():
            _fill(now, empty=empty)
        if updated:
            note_version(at=now)


def _fill(now: datetime, *, empty: bool) -> None:
    if empty:
        people.set_up_workshop("My workshop", "", is_demo=False, works_alone=False, at=now)
        for name, text in shipped_texts().items():
            register.keep_sheet(text, name, actor="tickover", at=now)
        return
    from tickover.demo.workshop import build_demo  # many modules, which no other command needs

    print("  Laying out the demo workshop: 24 engines, two years …", flush=True)
    build_demo(now)


def _due(options: argparse.Namespace) -> int:
    today = timezone.localdate()
    for line in programme.engine_lines(engines.engines(), today):
        for task in line.lines:
            if options.all or task.state != "not yet":
                print(f"{line.engine.name}, {task.task.title}: {task.sentence}. {task.why}")
    return 0


def _verify(options: argparse.Namespace) -> int:
    outcome = verify.verify()
    print(
        f"{outcome.entries} journal entries, {outcome.rows} records, {outcome.files} evidence files checked."
    )
    faults = list(outcome.faults)
    if options.paper:
        faults += _paper_faults(*options.paper)
    for fault in faults:
        print(f"FAULT {fault}")
    if faults:
        return 1
    print(f"Everything is unchanged. Journal head: entry {outcome.head_sequence}, {outcome.head_hash}")
    return 0


def _paper_faults(sequence: str, printed: str) -> list[str]:
    held = verify.hash_at(int(sequence)) if sequence.isdecimal() else None
    if held is None:
        return [f"Journal entry {sequence}, which the paper names, is not in this journal."]
    text = printed.lower().replace(" ", "")
    if len(text) < 8 or not held.startswith(text):
        return [f"Journal entry {sequence}: the paper's hash {printed} is not the journal's {held}."]
    return []


def _backup(options: argparse.Namespace) -> int:
    try:
        count = backup.backup(options.file)
    except backup.BackupError as error:
        raise CommandRefusedError(str(error)) from error
    except OSError as error:
        raise CommandRefusedError(
            f"{options.file} cannot be written: {error.strerror}. Choose another place."
        ) from error
    except sqlite3.Error as error:
        raise CommandRefusedError(
            f"The copy for {options.file} cannot be made: {error}. See that {settings.DATA} and the place of "
            "the copy can be written and have room."
        ) from error
    print(
        f"{count} files are in {options.file}. Try it out with `tickover restore` in another folder now and then."
    )
    return 0


def _restore(options: argparse.Namespace) -> int:
    try:
        restored = backup.restore(options.file, at=timezone.now())
    except backup.BackupError as error:
        raise CommandRefusedError(str(error)) from error
    if restored.set_aside:
        print(f"What was here before lies in {restored.set_aside}.")
    print(f"{restored.files} files are back in {settings.DATA}.")
    with in_use(settings.DATA), setting_up.alone(settings.DATA, print):
        if bring_up_to_date(at=timezone.now()):
            note_version(at=timezone.now())
    return _verify(argparse.Namespace(paper=None))


def _sign_in(options: argparse.Namespace) -> int:
    person = Person.objects.filter(username=options.username, is_active=True).first()
    if person is None:
        known = ", ".join(Person.objects.values_list("username", flat=True)) or "nobody"
        raise CommandRefusedError(f"No person called {options.username}. Known: {known}.")
    address = f"http://127.0.0.1:{options.port}/" if options.port else _open_address()
    token = people.make_sign_in_link(person, at=timezone.now())
    print(f"{address}sign-in/{token}/")
    return 0


def _open_address() -> str:
    address = open_address(settings.DATA, cookie=settings.CSRF_COOKIE_NAME)
    if address is None:
        raise CommandRefusedError(
            f"The workshop in {settings.DATA} is not open. Open it with `tickover open`, then ask again; "
            "a server of your own is named by --port."
        )
    return address


def _edit(options: argparse.Namespace) -> int:
    try:
        print(edit_person(options) if options.command == "edit-person" else edit_workshop(options))
    except people.PeopleError as error:
        raise CommandRefusedError(str(error)) from error
    return 0


def _add_person(options: argparse.Namespace) -> int:
    from django.contrib.auth.password_validation import validate_password

    _lay_out(empty=True)
    if Person.objects.filter(username=options.username).exists():
        raise CommandRefusedError(f"{options.username} is taken. Choose another name.")
    password = getpass.getpass("Password: ")
    try:
        validate_password(password)
    except ValidationError as error:
        raise CommandRefusedError(" ".join(error.messages)) from error
    new = people.NewPerson(
        options.username, options.first_name, options.last_name, options.role, options.authority, password
    )
    people.add_person(new, at=timezone.now())
    print(f"{options.first_name} {options.last_name} may sign in as {options.username}.")
    return 0
