"""Cut the pages' typeface from the package `font-source-sans-pro`: the characters pages use, under a name of its own.

    pip install font-source-sans-pro==0.0.1 fonttools
    python docs/subset_typeface.py

The licence (SIL OFL 1.1) reserves the name of the original, so the cut-down files are called "Tickover Sans". They
are WOFF 1, which needs no further package to be written. The licence goes with them.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import font_source_sans_pro as source
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FILES = Path(source.__file__).parent / "files"
FONTS = Path(__file__).parents[1] / "src/tickover/workshop/web/static/fonts"
NAME = "Tickover Sans"
CHARACTERS = [
    *range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x391, 0x3CA), *range(0x410, 0x450),
    *map(ord, "\u2013\u2014\u2018\u2019\u201a\u201c\u201d\u201e\u2020\u2026\u2030\u2032\u2033\u2080\u2081\u2082\u2083"
              "\u20ac\u2122\u2126\u2190\u2191\u2192\u2193\u2202\u2206\u2211\u2212\u221a\u221e\u2248\u2260\u2264\u2265"
              "\u25a0\u25cf\u25cb\u2713\u2717\u2010\u2011\u2009\u202f"),
]  # fmt: skip
"""Latin of Europe, Greek, Cyrillic, and the signs of the trade; anything else takes the reader's own face."""


def cut(weight: str) -> Path:
    """Write one weight; its figures all have one width, which is how the original draws them."""
    font = TTFont(FILES / f"SourceSansPro-{weight}.ttf")
    options = Options(layout_features=["kern", "mark", "mkmk", "liga", "ccmp", "locl"], hinting=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=CHARACTERS)
    subsetter.subset(font)
    for record in font["name"].names:
        if record.nameID in (1, 3, 4, 6, 16):
            joined = NAME if record.nameID in (1, 16) else f"{NAME} {weight}"
            record.string = joined.replace(" ", "") if record.nameID == 6 else joined
    font.flavor = "woff"
    target = FONTS / f"tickover-sans-{weight.lower()}.woff"
    font.save(target)
    return target


if __name__ == "__main__":
    for made in map(cut, ("Regular", "Semibold")):
        print(made.name, made.stat().st_size)
    shutil.copy(FILES / "LICENSE.txt", FONTS / "OFL.txt")
