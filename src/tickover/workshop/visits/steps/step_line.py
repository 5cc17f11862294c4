"""How one step of a job stands: its reading, its mark, and what of it stands against a release."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from tickover.science.measurement.conformity import Decision
from tickover.sheets import Card, Finding, LimitRow, Step
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import InputField
from tickover.workshop.readings.measuring import fields_for
from tickover.workshop.visits.models import NotMeasured, Reading, SecondCheck, StepMark
from tickover.workshop.visits.steps.never import Never, sets_torque
from tickover.workshop.visits.steps.reading_line import ReadingLine


@dataclass(frozen=True)
class Viewer:
    """Who looks at a job: their key, and whether they may take a second check."""

    person: int
    may_confirm: bool

    def sees_work_of(self, person: int) -> bool:
        """Whether a step in work is seen: by who works on it, and by who cannot become its second person."""
        return not self.may_confirm or self.person == person


@dataclass(frozen=True)
class StepLine:
    """How one step stands."""

    number: int
    step: Step
    card: Card
    site: MeasurementContext | None
    mark: StepMark | None
    taken: tuple[ReadingLine, ...]
    """Every reading ever taken at it. What may be shown of them is `readings`."""
    check: SecondCheck | None
    skipped: NotMeasured | None = None
    """The newest note that its reading was not taken."""
    job_open: bool = True
    never: Never = field(default_factory=Never)
    """What is never passed here."""
    fitted: tuple[str, ...] = ()
    """Titles of the parts that lie in its joint or are fitted."""
    viewer: Viewer | None = None
    """Who is shown it; None where nobody is: the checks of an action see everything of a step in work."""
    last_found: str = ""
    """The id of the finding when it was last done, also where it was opened again since; "" for none."""
    serves: tuple[tuple[str, str], ...] = ()
    """On a composed card the steps, by card and id, that it does; empty on a card that is as it was written."""
    group: str = ""
    """The place of the engine it is at, on a composed card."""
    condition_met: bool = True
    """Whether one of the findings was made on which alone it is done; True where it is done anyway."""
    condition: str = ""
    """Those findings in words: "Only if found: “Leaks” at step 3."; "" where it is done anyway."""

    def changed_since(self, sequence: int) -> bool:
        """Whether anything was recorded at it after a journal entry."""
        rows = (self.mark, self.check, self.not_measured, *(r.reading for r in self.taken))
        return any(row is not None and row.entry_sequence > sequence for row in rows)

    @cached_property
    def cards(self) -> frozenset[str]:
        """Ids of the cards that it belongs to."""
        return frozenset(card for card, _ in self.serves) or frozenset({self.card.id})

    @property
    def limit(self) -> LimitRow | None:
        return self.site.limit if self.site else None

    @property
    def asks(self) -> tuple[InputField, ...]:
        """The fields of its reading."""
        return fields_for(self.site) if self.site else ()

    @property
    def as_found(self) -> bool:
        """Whether it notes how things were before any work, which stands against nothing."""
        return self.step.moment == "as found"

    @property
    def sets_torque(self) -> bool:
        """Whether what is typed is what a wrench was set to."""
        return self.limit is not None and sets_torque(self.step, self.limit)

    @property
    def done(self) -> bool:
        return self.mark is not None and self.mark.state == StepMark.State.DONE

    @property
    def inside(self) -> bool:
        """Whether it has a reading that counts and lies inside its limit."""
        return self.reading is not None and self.reading.verdict.decision == "inside"

    @property
    def not_needed(self) -> bool:
        """Whether it is done only on a finding that was not made; what was done or read anyway counts."""
        return not (self.condition_met or self.done or self.taken)

    @property
    def progress(self) -> str:
        """A word for the page: done, waiting for its second check, not needed, or open."""
        if self.done:
            return "done" if self.settled else "waiting"
        return "not needed" if self.not_needed else "open"

    @property
    def unconfirmed(self) -> bool:
        """Whether its reading waits for a second one: lists of readings leave it out until then."""
        waits = self.job_open and self.step.second_check and self.check is None
        return waits and self._counting is not None

    @property
    def kept_back(self) -> bool:
        """Whether its reading is kept from view, so that a second person reads the gauge unswayed.

        The one rule for every page, paper and export of a job, for photos and remarks of the step as for its
        reading. From when it is done until its second check is in, while the job is open, nobody is shown it: the
        second person reads on the tablet of the first. Before that whoever took it sees it, and whoever may not
        confirm a step.
        """
        counting = self._counting if self.unconfirmed else None
        if counting is None:
            return False
        return self.done or not (self.viewer is None or self.viewer.sees_work_of(counting.reading.by_id))

    def shows(self, by_id: int) -> bool:
        """Whether a photo or remark of this person may be shown: one's own, while the step is in work."""
        return not self.kept_back or (
            not self.done and self.viewer is not None and self.viewer.person == by_id
        )

    @property
    def readings(self) -> tuple[ReadingLine, ...]:
        """Its readings as they may be shown."""
        return () if self.kept_back else self.taken

    @property
    def reading(self) -> ReadingLine | None:
        """The reading that counts; None while it is kept back."""
        return None if self.kept_back else self._counting

    @property
    def remark(self) -> str:
        """What was remarked when it was marked done; "" while its reading is kept back."""
        return self.mark.remark if self.mark and self.done and not self.kept_back else ""

    @property
    def no_photo(self) -> str:
        """Why it was done without the photo it asks for; "" while its reading is kept back."""
        return self.mark.no_photo if self.mark and self.done and not self.kept_back else ""

    @property
    def opened_because(self) -> str:
        """Why it was opened again; "" while its reading is kept back."""
        return self.mark.remark if self.mark and not self.done and not self.kept_back else ""

    @property
    def workers(self) -> frozenset[int]:
        """Who did it and who took the reading that counts: none of them is its second person."""
        marked = {self.mark.by_id} if self.mark and self.done else set()
        return frozenset(marked | ({self._counting.reading.by_id} if self._counting else set()))

    @property
    def _counting(self) -> ReadingLine | None:
        """The newest reading of the step itself; none from before it was opened again, or said not to be read."""
        after = max(self.opened, self.skipped.entry_sequence if self.skipped else 0)
        own = [r for r in self._own_readings if r.reading.entry_sequence > after]
        return own[-1] if own else None

    @property
    def not_measured(self) -> NotMeasured | None:
        """Why it has no reading; None where it has one, or was opened again since."""
        noted = self.skipped is not None and self.skipped.entry_sequence > self.opened
        return self.skipped if noted and self._counting is None else None

    @property
    def answered(self) -> bool:
        """Whether it is read, said not to be, or asks for nothing."""
        return self.limit is None or self._counting is not None or self.not_measured is not None

    @property
    def opened(self) -> int:
        """Its place in the journal when it was last opened again; what lies before counts no more."""
        return 0 if self.mark is None or self.done else self.mark.entry_sequence

    @property
    def _own_readings(self) -> list[ReadingLine]:
        return [r for r in self.taken if r.reading.purpose == Reading.Purpose.STEP]

    @property
    def finding(self) -> Finding | None:
        """What was found; None while its reading is kept back, which it would tell."""
        if not (self.mark and self.done) or self.kept_back:
            return None
        return next((f for f in self.step.findings if f.id == self.mark.finding_id), None)

    @property
    def stops(self) -> bool:
        """Whether what was found here stops its card: until the step is done again and finds something else."""
        return any(f.id == self.last_found and f.action == "stop" for f in self.step.findings)

    @property
    def keeps_runs(self) -> bool:
        """Whether what was found here is put right before the engine runs again."""
        return any(f.id == self.last_found and f.before == "next run" for f in self.step.findings)

    @property
    def known_finding(self) -> str:
        """The id of what was found when it was last done; "" while its reading is kept back, which it would tell."""
        return "" if self.kept_back else self.last_found

    @property
    def awaits_second_check(self) -> bool:
        return self.done and self.step.second_check and self.check is None

    @property
    def settled(self) -> bool:
        return self.done and not self.awaits_second_check

    @property
    def runs_engine(self) -> bool:
        """Whether the engine runs at it: the sheet says so, or it reads rpm."""
        return self.step.runs_engine or (self.limit is not None and self.limit.unit == "rpm")

    @property
    def begun(self) -> bool:
        """Whether anything was recorded at it."""
        return self.mark is not None or bool(self.taken) or self.skipped is not None

    @property
    def name(self) -> str:
        return f"Step {self.number}, {self.step.act.rstrip('.')}"

    @property
    def blockers(self) -> list[str]:
        """What of this step stands against a release, each as a sentence."""
        if not self.done:
            return [] if self.not_needed else [f"{self.name}: not done."]
        found = []
        if self.awaits_second_check:
            found.append(f"{self.name}: second check open.")
        if self.finding and self.finding.action in ("stop", "do not release"):
            found.append(f"{self.name}: found “{self.finding.title}”: {self.finding.action}.")
        elif self.finding and self.keeps_runs:
            found.append(f"{self.name}: found “{self.finding.title}”: put it right before the next run.")
        if self.reading and not self.as_found:
            found += self._against(self.reading)
        if self.not_measured and not self.as_found:
            found += self._against_leaving_out(self.not_measured)
        return found

    def _against(self, last: ReadingLine) -> list[str]:
        if last.verdict.decision is Decision.OUTSIDE:
            return [f"{self.name}: reading outside its limit. {last.sentence}"]
        if last.verdict.decision is Decision.NOT_VALID:
            return [f"{self.name}: test not valid. {last.sentence}"]
        if self.step.critical and last.verdict.decision is Decision.CANNOT_TELL:
            return [f"{self.name}: reading not clear. {last.sentence}"]
        return []

    def _against_leaving_out(self, noted: NotMeasured) -> list[str]:
        """A critical step needs its reading; and none is left out after one that was outside."""
        if self.step.critical:
            return [f"{self.name}: critical, and {said(noted)}. Reopen it and measure."]
        valid = [r for r in self._own_readings if r.verdict.decision is not Decision.NOT_VALID]
        last = valid[-1] if valid else None
        if last and last.verdict.decision is Decision.OUTSIDE:
            return [f"{self.name}: outside its limit, then {said(noted)}. {last.sentence}"]
        return []

    @property
    def warnings(self) -> list[str]:
        """What is to be known about its readings, and stands against nothing."""
        counting = [
            r for r in self.readings if r is self.reading or r.reading.purpose != Reading.Purpose.STEP
        ]
        doubts = [doubt for r in counting for doubt in r.doubts]
        if self.as_found and self.reading and self.reading.verdict.decision is Decision.NOT_VALID:
            doubts.insert(0, f"As found: test not valid. {self.reading.sentence}")
        if self.not_measured and self.limit:
            doubts.insert(0, f"{self.limit.title} was {said(self.not_measured)}.")
        return list(dict.fromkeys(f"{self.name}: {doubt}" for doubt in doubts))


def said(noted: NotMeasured) -> str:
    """A reading that was not taken, in words: "not measured, because the meter is lent out"."""
    return f"not measured, because {noted.reason.rstrip('.')}"
