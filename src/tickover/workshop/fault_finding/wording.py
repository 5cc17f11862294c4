"""Sentences of a session: the answer of its page, and chances in words. They word, and compute nothing."""

from __future__ import annotations

from tickover.language.amounts import per_cent
from tickover.workshop.fault_finding.reasoning import CheckLine, Diagnosis, SuspectLine
from tickover.workshop.fault_finding.session_state import SessionSheet

LIKELIHOOD = (
    (0.9, "almost certain"),
    (0.6, "likely"),
    (0.35, "as likely as not"),
    (0.15, "well possible"),
    (0.05, "possible"),
    (0.0, "not likely"),
)


def likelihood(share: float) -> str:
    """A chance in words."""
    return next(words for least, words in LIKELIHOOD if share >= least)


def share_in_words(line: SuspectLine) -> str:
    """For example "well possible, 24 %"."""
    return f"{likelihood(line.suspect.share)}, {per_cent(line.suspect.share)}"


def minutes(value: float) -> str:
    return f"{value:.0f} minute{'' if round(value) == 1 else 's'}"


def how_long(look: CheckLine) -> str:
    """How long it takes and what it opens: "41 minutes, with: Carburettor off"."""
    if not look.opens:
        return f"{minutes(look.minutes)}, nothing to open"
    return f"{minutes(look.minutes)} with opening: {'; '.join(o.title for o in look.opens)}"


def why(look: CheckLine, titles: dict[str, str]) -> str:
    """What each answer would say."""
    if look.pressing:
        return f"Danger first: {per_cent(look.chance)} likely to be there."
    seen, absent = look.leader(seen=True), look.leader(seen=False)
    if seen.name == absent.name:
        return (
            f"If seen ({per_cent(look.chance)} likely): “{titles[seen.name]}” {per_cent(seen.share)}. "
            f"If not: {per_cent(absent.share)}."
        )
    return (
        f"If seen ({per_cent(look.chance)} likely): “{titles[seen.name]}” {per_cent(seen.share)}. "
        f"If not: “{titles[absent.name]}” {per_cent(absent.share)}."
    )


def contradiction(sheet: SessionSheet, reasoned: Diagnosis) -> str:
    """Which findings do not go together, in words; "" where they do."""
    if reasoned.pair:
        named = " and ".join(f"“{sheet.titles[name]}”" for name in reasoned.pair)
        return (
            f"Nothing on the list explains {named} with what was ruled out. Check one of them again, "
            "or undo what was ruled out."
        )
    if reasoned.clash is None:
        return ""
    one, other = (_state(sheet, name) for name in reasoned.clash.pair)
    return (
        f"{one} and {other} hardly go together. One may be wrong, or there are two faults: "
        "check one of them again."
    )


def repair(reasoned: Diagnosis) -> str:
    """What to put right first, where looking on does not pay; "" where there is nothing to say."""
    cause = reasoned.first_repair()
    if cause is None or reasoned.now is None:
        return ""
    return f"{cause.fix}. {cause.title}: {per_cent(reasoned.now.share(cause.id))}"


def _state(sheet: SessionSheet, name: str) -> str:
    there = "seen" if name in sheet.evidence.seen else "not there"
    return f"“{sheet.titles[name]}” ({there})"
