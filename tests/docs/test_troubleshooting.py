"""What the page on troubleshooting quotes is what the program says."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_every_message_in_troubleshooting_is_one_of_the_program() -> None:
    page = (ROOT / "docs" / "troubleshooting.md").read_text(encoding="utf-8")
    quoted = re.findall(r"^\| (?!it says|-)(.+?) \| ", page, re.M)
    said = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "src" / "tickover").rglob("*.py"))
    assert len(quoted) >= 10
    assert [message for message in quoted if message not in said] == []
