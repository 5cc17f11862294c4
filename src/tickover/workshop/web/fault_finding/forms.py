"""Forms of fault-finding."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms
from django.http import QueryDict

from tickover.sheets import FaultFinding
from tickover.workshop.web.typed_fields import SentForm, Several, Words

TICK = "look-"


class StartForm(forms.Form):
    """`after` is "session/<number>", "job/<number>" or nothing. The complaint is kept word for word."""

    complaint = forms.CharField(max_length=4000, strip=False)
    after = forms.CharField(max_length=40, required=False)

    @property
    def is_proposal(self) -> bool:
        """Whether only findings that fit the complaint are asked for, and nothing is to begin yet."""
        return "propose" in self.data


def ticked(data: QueryDict, findings: Sequence[FaultFinding], state: str) -> tuple[str, ...]:
    """Findings to which the form gives that state."""
    return tuple(f.id for f in findings if data.get(f"{TICK}{f.id}") == state)


class RecordForm(SentForm):
    """A record of the workshop as the answer to findings, or none of it counted."""

    rests_on, counts, item = Words(), Words(), Several()


class WeighForm(SentForm):
    """How many times as likely a record makes what it touches, and why."""

    ground, factor, why = Words(), Words(), Words()


class PhotographForm(SentForm):
    """`how`: a new photo, one that is there by its number, or words in place of one."""

    item, how, photo, words = Words(), Words(), Words(), Words()


class AnswerForm(SentForm):
    item, state, words = Several(), Words(), Words()


class TakeBackForm(SentForm):
    answer = Words()


class OpenedForm(SentForm):
    opened = Several()


class EndForm(SentForm):
    """The end of a session: by a cause and how it was found, by another kind of end, or the word of its cure."""

    cause, how, kind, cured, words = Words(), Words(), Words(), Words(), Words(2000)


class ShownForm(SentForm):
    """Which check is shown in place of the one proposed, and the words to find others by."""

    look, words = Words(), Words(2000)


class StartAgainForm(SentForm):
    """What was typed before a session is started, as it is shown again."""

    complaint, after = Words(4000, strip=False), Words(40)


def states_of(data: QueryDict, findings: Sequence[FaultFinding]) -> list[tuple[FaultFinding, str]]:
    """Findings with the state that the form gives each, "" for none."""
    return [(finding, data.get(f"{TICK}{finding.id}", "")) for finding in findings]
