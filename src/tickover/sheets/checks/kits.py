"""Whether kits and work cards agree: each piece a build uses has a step that fits it, and no other has."""

from __future__ import annotations

from collections.abc import Iterator

from tickover.sheets.errors import no_such
from tickover.sheets.places import Loc
from tickover.sheets.schema.cards import Card, Step
from tickover.sheets.schema.rows import NO_BUILD, Build, Kit
from tickover.sheets.schema.type_sheet import TypeSheet

Disagreement = tuple[Loc, str]


def kit_disagreements(sheet: TypeSheet) -> Iterator[Disagreement]:
    """Every place where a kit contradicts the parts of the sheet or the steps of its cards."""
    kits = {kit.id: kit for kit in sheet.kits}
    for n, kit in enumerate(sheet.kits):
        yield from _pieces(sheet, n, kit)
    for n, card in enumerate(sheet.cards):
        if card.kit is None:
            continue
        if card.kit not in kits:
            yield ("cards", n, "kit"), no_such("kit", card.kit, tuple(kits))
            continue
        yield from _fits_what_is_laid_aside(sheet, n, card, kits[card.kit])


def _pieces(sheet: TypeSheet, n: int, kit: Kit) -> Iterator[Disagreement]:
    parts = tuple(part.id for part in sheet.parts)
    seen: set[str] = set()
    for m, piece in enumerate(kit.pieces):
        if piece.part not in parts:
            yield ("kits", n, "pieces", m, "part"), no_such("part", piece.part, parts)
        if piece.part in seen:
            yield ("kits", n, "pieces", m, "part"), f'"{piece.part}" is in this kit twice; raise its quantity'
        seen.add(piece.part)
        if NO_BUILD in piece.builds and len(piece.builds) > 1:
            yield ("kits", n, "pieces", m, "builds"), f'"{NO_BUILD}" cannot be listed with a build'
    yield from _pieces_nobody_uses(sheet, n, kit)


def _pieces_nobody_uses(sheet: TypeSheet, n: int, kit: Kit) -> Iterator[Disagreement]:
    steps = [step for card in sheet.cards if card.kit == kit.id for step in card.steps]
    for m, piece in enumerate(kit.pieces):
        unused = [b for b in sheet.builds if piece.on(b) and not _fitted(piece.part, b, steps)]
        for build in unused:
            way_out = f'add a step, or say builds = ["{NO_BUILD}"] and why it is not used'
            yield (
                ("kits", n, "pieces", m),
                f'no step fits "{piece.part}" on the build "{build.id}"; {way_out}',
            )


def _fitted(part: str, build: Build, steps: list[Step]) -> bool:
    return any(step.on(build) and part in step.fits for step in steps)


def _fits_what_is_laid_aside(sheet: TypeSheet, n: int, card: Card, kit: Kit) -> Iterator[Disagreement]:
    pieces = {piece.part: piece for piece in kit.pieces}
    for m, step in enumerate(card.steps):
        for k, part in enumerate(step.fits):
            piece = pieces.get(part)
            wrong = [b.id for b in sheet.builds if piece and step.on(b) and not piece.on(b)]
            if wrong:
                place: Loc = ("cards", n, "steps", m, "fits", k)
                yield place, f'"{part}" is not used on the build "{wrong[0]}", where this step would fit it'
