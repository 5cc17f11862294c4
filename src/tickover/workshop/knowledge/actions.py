"""Writes: begin, change, compare, discard and keep a draft. Only keeping one decides anything."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from tickover.sheets import Problem, SheetError, TypeSheet, fingerprint, load_sheet, sheet_data
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.knowledge import queries
from tickover.workshop.knowledge.differences import differences, merged
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.knowledge.tables import ID_MAX, Place, Table, long_ids, text_of
from tickover.workshop.people.models import Person
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import type_sheet_actions
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.models import SheetVersion

RESERVED = ("new", "import")
TEXT_MAX = 2_000_000


class KnowledgeError(RefusedError):
    """A draft cannot be changed or kept so; the text is a sentence for the person who tried."""


class RowRefusedError(RefusedError):
    """The schema refuses a row: what is wrong, by field ("" where no single one is meant)."""

    def __init__(self, wrong: tuple[tuple[str, str], ...]) -> None:
        super().__init__("; ".join(message for _, message in wrong))
        self.wrong = wrong


@journal.locked()
def change(
    sheet_id: str, place: Place, row_id: str, edit: Callable[[Table], None], *, who: Person, at: datetime
) -> SheetDraft:
    """Change one row in this person's draft, which begins with the newest version.

    Raises RowRefusedError where the row itself is wrong. Where it fits no more to another row the draft is stored
    and says so: that may take several changes, and keeping it asks for all of them.
    """
    draft = _begun(sheet_id, who)
    data = sheet_data(draft.text)
    edit(data)
    text = text_of(data)
    if row_id:
        _refuse_a_wrong_row(text, sheet_id, place.key(data, row_id))
    return _store(draft, text, at)


@journal.locked()
def begin(data: Table, *, who: Person, at: datetime, shipped: str = "") -> SheetDraft:
    """Lay a whole text into this person's draft of its type, in place of what the draft said."""
    _refuse_names_that_cannot_be_kept(data)
    sheet_id = data["id"]
    base = queries.newest(sheet_id)
    data["version"] = base.version if base else 1
    draft = queries.draft_of(sheet_id, who) or SheetDraft(sheet_id=sheet_id, by=who)
    draft.base, draft.shipped, draft.collisions = base, shipped, []
    return _store(draft, text_of(data), at)


def import_text(text: str, name: str, *, who: Person, at: datetime) -> SheetDraft | None:
    """Take a TOML text as a draft; None where it says what the newest version says. Raises SheetError."""
    if len(text) > TEXT_MAX:
        raise KnowledgeError(f"A sheet has at most {TEXT_MAX:,} characters. Nothing was taken.")
    sheet = load_sheet(text, name)
    if wrong := tuple(_intervals_that_cannot_be(sheet)):
        raise SheetError(name, wrong)
    data = sheet_data(text)
    kept = queries.newest(sheet.id)
    if kept and not differences(sheet_data(kept.text), data):
        return None
    return begin(data, who=who, at=at)


@journal.locked()
def lay_over_newest(draft: SheetDraft, *, at: datetime) -> SheetDraft:
    """Lay the changes of a draft that was begun on an older version over the newest one."""
    newest = queries.newest(draft.sheet_id)
    if newest is None or draft.base is None:
        raise KnowledgeError("There is no newer version to compare with. Nothing was changed.")
    three = (sheet_data(text) for text in (draft.base.text, draft.text, newest.text))
    data, draft.collisions = merged(*three)
    draft.base = newest
    return _store(draft, text_of(data), at)


@journal.locked()
def take_shipped(sheet_id: str, *, who: Person, at: datetime) -> SheetDraft:
    """Offer the newer shipped text as a draft; the workshop's own changes stay where they do not collide."""
    text, kept = queries.newer_shipped(sheet_id), queries.newest(sheet_id)
    if not text or kept is None:
        raise KnowledgeError("The program brings no newer text of this type. Nothing was changed.")
    if queries.draft_of(sheet_id, who):
        raise KnowledgeError("You have a draft of this type. Keep it or discard it first.")
    data, collisions = merged(
        sheet_data(queries.last_shipped(sheet_id)), sheet_data(kept.text), sheet_data(text)
    )
    draft = begin(data, who=who, at=at, shipped=fingerprint(text))
    draft.collisions = collisions
    return _store(draft, draft.text, at)


@journal.locked()
def discard(draft: SheetDraft) -> None:
    """Throw a draft away; what was kept before stays as it is."""
    draft.delete()


@journal.locked()
def keep(draft: SheetDraft, reason: str, *, who: Person, at: datetime) -> SheetVersion:
    """Make the draft the newest version. Jobs that are open keep the version they were opened by."""
    kept = queries.newest(draft.sheet_id)
    if (kept and kept.pk) != draft.base_id:
        raise KnowledgeError(
            "A newer version was saved since this draft began. Add your changes to it, or "
            "discard the draft. Nothing was saved."
        )
    data = sheet_data(draft.text)
    changed = len(differences(sheet_data(kept.text), data)) if kept else 0
    if kept and not changed and not draft.shipped:
        raise KnowledgeError("The draft is the same as the newest version. Nothing was saved.")
    if wrong := problems_of(draft):
        raise KnowledgeError(f"{len(wrong)} places do not match yet. Nothing was saved.")
    _refuse_a_lost_build(draft.sheet_id, data)
    data["version"] = kept.version + 1 if kept else 1
    more = {"changed": changed} | ({"shipped": draft.shipped} if draft.shipped else {})
    try:
        row = type_sheet_actions.keep_version(text_of(data), reason, who=who, at=at, **more)
    except RegisterError as error:
        raise KnowledgeError(str(error)) from error
    draft.delete()
    return row


def problems_of(draft: SheetDraft) -> tuple[Problem, ...]:
    """Where the rows of a draft do not fit each other: all of it is to be put right before it is kept."""
    return _problems(draft.text, draft.sheet_id)


def _problems(text: str, sheet_id: str) -> tuple[Problem, ...]:
    try:
        sheet = load_sheet(text, f"{sheet_id}.toml")
    except SheetError as error:
        return error.problems
    return tuple(_intervals_that_cannot_be(sheet))


def _intervals_that_cannot_be(sheet: TypeSheet) -> Iterator[Problem]:
    for task in sheet.programme:
        try:
            programme.interval_of(task)
        except ValueError as error:
            yield Problem(f"programme.{task.id}", str(error))


def _begun(sheet_id: str, who: Person) -> SheetDraft:
    if draft := queries.draft_of(sheet_id, who):
        return draft
    kept = queries.newest(sheet_id)
    if kept is None:
        raise KnowledgeError("There is no such type to change. Nothing was changed.")
    return SheetDraft(sheet_id=sheet_id, by=who, base=kept, text=kept.text)


def _store(draft: SheetDraft, text: str, at: datetime) -> SheetDraft:
    draft.text, draft.changed_at = text, at
    draft.save()
    return draft


def _refuse_a_wrong_row(text: str, sheet_id: str, key: str) -> None:
    problems = _problems(text, sheet_id)
    wrong = [(p.key[len(key) :], p.message) for p in problems if _is_at(p.key, key)]
    if wrong:
        raise RowRefusedError(tuple((_field(rest), message) for rest, message in wrong))


def _is_at(key: str, place: str) -> bool:
    return key == place or key.startswith((f"{place}.", f"{place}["))


def _field(rest: str) -> str:
    return rest.lstrip(".").partition(".")[0].partition("[")[0]


def _refuse_names_that_cannot_be_kept(data: Table) -> None:
    if data["id"] in RESERVED:
        raise KnowledgeError(f'A type cannot be called "{data["id"]}". Nothing was taken.')
    if long := next(long_ids(data), ""):
        raise KnowledgeError(f"An id has at most {ID_MAX} characters: {long}. Nothing was taken.")


def _refuse_a_lost_build(sheet_id: str, data: Table) -> None:
    builds = {build["id"] for build in data["builds"]}
    if lost := [e.name for e in queries.engines_of(sheet_id) if e.build_id not in builds]:
        raise KnowledgeError(f"The build of {', '.join(lost[:5])} would be removed. Nothing was saved.")
