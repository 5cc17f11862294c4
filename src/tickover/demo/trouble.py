"""Two engines in trouble: one found out and put right, one whose fault-finding stopped half way."""

from __future__ import annotations

from datetime import datetime, timedelta

from tickover.workshop.fault_finding import actions as fault_finding_actions
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.recording import ending_actions
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job

ENDED_ON, OPEN_ON = "Redshank", "Godwit"
FOUND_WITH_IT = {"witness-paint": "moved"}
SEEN, ABSENT = Answer.State.SEEN, Answer.State.ABSENT

RACES = (
    "Since the cold weekend the tickover runs up and down by itself, and when I let go of the throttle it "
    "hangs up for a good while before it comes down. I turned the small screw both ways and it is no better. "
    "In the air it pulls as it always did."
)
FADES = (
    "It starts on the second pull of the button and idles fine. But half a minute into the climb it just "
    "fades, as if somebody closed the tap, and when I throttle back for a bit it is all right again. The "
    "third time now, always with a full tank at first."
)


def ended(engine: Engine, who: Person, at: datetime) -> tuple[Session, Job]:
    """A session that ended with its cause, and the job of the cure, which is still to be done."""
    new = fault_finding_actions.NewSession(RACES, seen=("idle-races", "idle-slow-to-fall"))
    session = fault_finding_actions.start(engine, new, who=who, at=at)
    fault_finding_actions.answer(session, {"throttle-cable": ABSENT}, who=who, at=at + timedelta(minutes=6))
    words = "The idle changed each time the mist reached the lower side of the flange"
    fault_finding_actions.answer(
        session, {"mist-round-joints": SEEN}, who=who, at=at + timedelta(minutes=14), words=words
    )
    outcome = ending_actions.confirm(
        session,
        "intake-leak",
        seen_at_the_part=True,
        words="Both lower nuts could be turned by hand, and their paint was broken.",
        who=who,
        at=at + timedelta(minutes=30),
    )
    assert outcome.job is not None, "the sheet names a task for the intake leak"
    return session, outcome.job


def cured(session: Session, who: Person, at: datetime) -> None:
    """The owner flew it, and the fault is gone."""
    words = "Flown twice: it idles evenly and drops back at once."
    ending_actions.say_whether_cured(session, words, cured=True, who=who, at=at)


def half_way(engine: Engine, who: Person, at: datetime) -> None:
    """A session with some of its answers, and more than one cause left."""
    new = fault_finding_actions.NewSession(
        FADES, seen=("sags-at-full", "fades-in-flight"), absent=("hard-start-cold",)
    )
    session = fault_finding_actions.start(engine, new, who=who, at=at)
    looks = {"bubbles-in-line": ABSENT, "fuel-smell": ABSENT, "cht-high": ABSENT}
    fault_finding_actions.answer(session, looks, who=who, at=at + timedelta(minutes=5))
    later = {"vibration-lines": Answer.State.CANNOT}
    fault_finding_actions.answer(session, later, who=who, at=at + timedelta(minutes=9))
