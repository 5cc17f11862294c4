"""Draw docs/pictures/architecture.svg from the imports: which folder uses which, in the order of the layers.

Rows and columns are the folders of `src/tickover`, the ground floor first. A dot says that the row imports the
column. Since imports point one way, every dot lies below the diagonal; the test that keeps the picture fresh also
keeps it so.

    python docs/draw_architecture.py
"""

from __future__ import annotations

import ast
import tomllib
from collections import defaultdict
from pathlib import Path
from xml.sax.saxutils import escape

ROOT = Path(__file__).resolve().parent.parent
SRC = ROOT / "src"
PICTURE = ROOT / "docs" / "pictures" / "architecture.svg"
CELL, LEFT, TOP = 17, 250, 190


def folders() -> list[str]:
    """Every folder that a layers contract names, and the rooms that have none, from the ground up."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    inside = {
        c["containers"][0]: [name.strip() for row in reversed(c["layers"]) for name in row.split("|")]
        for c in contracts
        if c["type"] == "layers" and "containers" in c
    }
    rooms = next(
        list(reversed(c["layers"])) for c in contracts if c["type"] == "layers" and "containers" not in c
    )
    return [
        name
        for room in rooms
        for name in ([f"{room}.{n}" for n in inside[room]] if room in inside else [room])
    ]


def imports(names: list[str]) -> dict[str, set[str]]:
    """Folder -> the folders it imports at run time."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in sorted((SRC / "tickover").rglob("*.py")):
        here = _folder(".".join(path.relative_to(SRC).with_suffix("").parts), names)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and here:
                for alias in node.names:
                    there = _folder(f"{node.module}.{alias.name}", names)
                    if there and there != here and not _for_types(path, node):
                        found[here].add(there)
    return found


def _folder(module: str, names: list[str]) -> str | None:
    return next((n for n in names if module == n or module.startswith(f"{n}.")), None)


def _for_types(path: Path, node: ast.ImportFrom) -> bool:
    """Whether it stands under `if TYPE_CHECKING:`, which is no import at run time."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    under = (n for n in ast.walk(tree) if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.unparse(n.test))
    return any(
        node.lineno == inner.lineno
        for block in under
        for inner in ast.walk(block)
        if hasattr(inner, "lineno")
    )


def drawing() -> str:
    """The picture as SVG."""
    names = folders()
    used = imports(names)
    size = len(names) * CELL
    shown = [n.removeprefix("tickover.") for n in names]
    marks = [_label(i, name) for i, name in enumerate(shown)]
    marks += [
        f'<circle cx="{LEFT + names.index(there) * CELL + CELL / 2:g}" '
        f'cy="{TOP + names.index(here) * CELL + CELL / 2:g}" r="4.5"><title>{here} imports {there}</title></circle>'
        for here in names
        for there in sorted(used[here])
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {LEFT + size + 10} {TOP + size + 10}" '
        'font-family="sans-serif" font-size="11" fill="#1d1b16">\n'
        "<title>Which folder imports which: every dot lies below the diagonal</title>\n"
        + '<rect width="100%" height="100%" fill="#ffffff"/>\n'
        + "\n".join(marks)
        + f'\n<path d="M{LEFT} {TOP}l{size} {size}" stroke="#1d1b16" stroke-width="0.6"/>\n</svg>\n'
    )


def _label(i: int, name: str) -> str:
    at = i * CELL
    y, x = TOP + at + CELL - 5, LEFT + at + CELL - 5
    line = f'<path d="M{LEFT - 4} {TOP + at}h{(i + 1) * CELL}" stroke="#cfc9bb" stroke-width="0.5"/>'
    return (
        f'{line}<text x="{LEFT - 8}" y="{y}" text-anchor="end">{escape(name)}</text>'
        f'<text transform="translate({x} {TOP - 6}) rotate(-90)">{escape(name)}</text>'
    )


if __name__ == "__main__":
    PICTURE.write_text(drawing(), encoding="utf-8")
