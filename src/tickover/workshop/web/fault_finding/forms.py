"""Forms of fault-finding."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms
from django.http import QueryDict

from tickover.sheets import FaultFinding

TICK = "look-"


class StartForm(forms.Form):
    """`after` is "session/<number>", "job/<number>" or nothing. The complaint is kept word for word."""

    complaint = forms.CharField(max_length=4000, strip=False)
    after = forms.CharField(max_length=40, required=False)


def ticked(data: QueryDict, findings: Sequence[FaultFinding], state: str) -> tuple[str, ...]:
    """Findings to which the form gives that state."""
    return tuple(f.id for f in findings if data.get(f"{TICK}{f.id}") == state)
