"""A sheet as readable tables: a line for each row with its system, its builds and how far to trust it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from tickover.sheets import NO_BUILD, Build, Card, Joint, Kit, LimitRow, TypeSheet
from tickover.sheets.schema.rows import BuildRow
from tickover.workshop.knowledge.words import CHOICES, TABLES, TRAITS

OTHER = "other"


@dataclass(frozen=True)
class SheetLine:
    """One row as the page shows it; `figures` are (label, text), `more` sentences below them."""

    id: str
    title: str
    system: str
    builds: str
    figures: tuple[tuple[str, str], ...]
    more: tuple[str, ...] = ()
    authority: str = ""
    source: str = ""

    @property
    def words(self) -> str:
        """Everything a search looks at."""
        texts = [self.id, self.title, self.system, self.builds, *self.more, self.authority, self.source]
        return " ".join([*texts, *(text for _, text in self.figures)]).casefold()


@dataclass(frozen=True)
class Group:
    """The lines of one system."""

    system: str
    lines: tuple[SheetLine, ...]


WHAT = ("limits", "programme", "cards", "parts", "kits", "joints", "faults")


def lines(sheet: TypeSheet, what: str) -> list[SheetLine]:
    """The rows of one table of the sheet."""
    return _MAKERS[what](sheet)


def found(all_lines: Iterable[SheetLine], q: str, system: str) -> list[SheetLine]:
    """Those that hold every word asked for."""
    words = q.casefold().split()
    return [
        line
        for line in all_lines
        if all(word in line.words for word in words) and (not system or line.system == system)
    ]


def grouped(some: Iterable[SheetLine]) -> list[Group]:
    by_system: dict[str, list[SheetLine]] = {}
    for line in some:
        by_system.setdefault(line.system, []).append(line)
    last = sorted(by_system, key=lambda system: (system == OTHER, system))
    return [Group(system, tuple(by_system[system])) for system in last]


def tables(sheet: TypeSheet, q: str) -> list[tuple[str, str, int]]:
    """Each table with its name in words and how many of its rows hold the words asked for."""
    return [(what, TABLES[what][1], len(found(lines(sheet, what), q, ""))) for what in WHAT]


def builds_in_words(sheet: TypeSheet, row: BuildRow) -> str:
    """For which builds a row holds; "" for all of them."""
    titles = {build.id: build.title for build in sheet.builds}
    return ", ".join(titles.get(n) or TRAITS.get(n, n.replace("-", " ")) for n in row.builds if n != NO_BUILD)


def number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"


def _limits(sheet: TypeSheet) -> list[SheetLine]:
    systems = _systems(sheet, lambda card: [step.reading for step in card.steps])
    return [_limit(sheet, limit, systems.get(limit.id, OTHER)) for limit in sheet.limits]


def _limit(sheet: TypeSheet, limit: LimitRow, system: str) -> SheetLine:
    figures = (
        ("from", number(limit.lower)),
        ("nominal", number(limit.nominal)),
        ("to", number(limit.upper)),
        ("never less than", number(limit.never_below)),
        ("never more than", number(limit.never_above)),
        ("unit", limit.unit),
        ("instrument", f"{limit.instrument}, ± {number(limit.expanded_uncertainty)}"),
    )
    more = tuple(text for text in (limit.low_means, limit.high_means, limit.note) if text)
    builds = builds_in_words(sheet, limit)
    return SheetLine(limit.id, limit.title, system, builds, figures, more, limit.authority, limit.source)


def _programme(sheet: TypeSheet) -> list[SheetLine]:
    found_lines = []
    for task in sheet.programme:
        figures = (
            ("every", f"{number(task.interval_h)} h" if task.interval_h else ""),
            ("or every", f"{task.interval_months} months" if task.interval_months else ""),
            ("first after", f"{number(task.first_after_h)} h" if task.first_after_h else ""),
            ("takes", f"{number(task.minutes)} min"),
        )
        more = ("On condition.",) if task.on_condition else ()
        builds = builds_in_words(sheet, task)
        line = SheetLine(task.id, task.title, task.system, builds, figures, more, task.authority, task.source)
        found_lines.append(line)
    return found_lines


def _parts(sheet: TypeSheet) -> list[SheetLine]:
    systems = _systems(sheet, lambda card: [n for s in card.steps for n in (*s.fits, *s.discards)])
    return [
        SheetLine(
            part.id, part.title, systems.get(part.id, OTHER), "",
            (("counted in", part.unit), ("material", part.material)), (), part.authority, part.source,
        )
        for part in sheet.parts
    ]  # fmt: skip


def _kits(sheet: TypeSheet) -> list[SheetLine]:
    systems = _systems(sheet, lambda card: [card.kit])
    return [
        SheetLine(
            kit.id,
            kit.title,
            systems.get(kit.id, OTHER),
            "",
            (("pieces", str(len(kit.pieces))),),
            _pieces(sheet, kit),
        )
        for kit in sheet.kits
    ]


def _pieces(sheet: TypeSheet, kit: Kit) -> tuple[str, ...]:
    titles = {part.id: part.title for part in sheet.parts}
    pieces_in_words = []
    for piece in kit.pieces:
        builds = builds_in_words(sheet, piece)
        only = f" (only {builds})" if builds else " (used on no build)" if piece.builds else ""
        pieces_in_words.append(f"{piece.quantity} × {titles.get(piece.part, piece.part)}{only}")
    return tuple(pieces_in_words)


def _joints(sheet: TypeSheet) -> list[SheetLine]:
    systems = _systems(sheet, lambda card: [step.joint for step in card.steps])
    return [_joint(sheet, joint, systems.get(joint.id, OTHER)) for joint in sheet.joints]


def _joint(sheet: TypeSheet, joint: Joint, system: str) -> SheetLine:
    screws = joint.fasteners
    torque = f"{number(screws.torque_nm)} N·m" if screws.torque_nm else ""
    figures = (("screws", f"{screws.count} × {screws.size}"), ("torque", torque), ("pattern", screws.pattern))
    stack = tuple(layer.title for layer in joint.stack)
    builds = builds_in_words(sheet, joint)
    return SheetLine(joint.id, joint.title, system, builds, figures, stack, screws.authority, screws.source)


def _cards(sheet: TypeSheet) -> list[SheetLine]:
    systems = {task.card: task.system for task in sheet.programme if task.card}
    return [
        SheetLine(
            card.id, card.title, systems.get(card.id, OTHER), builds_in_words(sheet, card),
            (("steps", str(len(card.steps))),), (card.summary, *card.cautions, *(step.act for step in card.steps)),
        )
        for card in sheet.cards
    ]  # fmt: skip


def _faults(sheet: TypeSheet) -> list[SheetLine]:
    table = sheet.faults
    if table is None:
        return []
    return [
        SheetLine(
            cause.id, cause.title, cause.system, builds_in_words(sheet, cause),
            (("weight", number(cause.weight)), ("takes", f"{number(cause.minutes)} min")), (cause.fix,),
            table.authority, table.source,
        )
        for cause in table.causes
    ]  # fmt: skip


def _systems(sheet: TypeSheet, names: Callable[[Card], Iterable[str | None]]) -> dict[str, str]:
    """The system of whatever a card names: that of the first task which is done by the card."""
    of_card = {task.card: task.system for task in reversed(sheet.programme) if task.card}
    systems: dict[str, str] = {}
    for card in sheet.cards:
        for name in names(card):
            if name and card.id in of_card:
                systems.setdefault(name, of_card[card.id])
    return systems


def authority_words(authority: str) -> str:
    return CHOICES.get(authority, authority)


def traits_in_words(build: Build) -> str:
    return ", ".join(TRAITS.get(trait, trait.replace("-", " ")).lower() for trait in build.traits)


_MAKERS: dict[str, Callable[[TypeSheet], list[SheetLine]]] = {
    "limits": _limits,
    "programme": _programme,
    "cards": _cards,
    "parts": _parts,
    "kits": _kits,
    "joints": _joints,
    "faults": _faults,
}


def serials(build: Build) -> str:
    """The serial numbers of a build in words, with a comma before them."""
    first, last = build.serial_from, build.serial_to
    if first is None and last is None:
        return ""
    return f", serials {first or 0} to {last}" if last is not None else f", serials from {first}"
