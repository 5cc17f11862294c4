"""What happened on the bench. Rows are written once; the newest row of a step says how it stands."""

from __future__ import annotations

from django.db import models

from tickover.workshop.instruments.models import Instrument
from tickover.workshop.kernel.models import Recorded
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine, SheetVersion


class Job(Recorded):
    """One task on one engine, by one card of one version of its sheet."""

    number = models.CharField(max_length=20, unique=True)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="jobs")
    sheet = models.ForeignKey(SheetVersion, on_delete=models.PROTECT)
    task_id = models.CharField(max_length=60)
    card_id = models.CharField(max_length=60)
    opened_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    engine_h = models.FloatField()


class KitNote(Recorded):
    """The lot of the kit whose pieces went into the engine; `card_id` is "" for the card the job began with."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="kit_notes")
    lot = models.CharField(max_length=80)
    card_id = models.CharField(max_length=60, default="", blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")


class StepMark(Recorded):
    """A step marked done, or opened again. A step of an added card is named "<card>.<step>".

    `no_photo`: why there is no photo of a step that asks for one.
    """

    class State(models.TextChoices):
        DONE = "done"
        REOPENED = "reopened"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="marks")
    step_id = models.CharField(max_length=130)
    state = models.CharField(max_length=10, choices=State)
    finding_id = models.CharField(max_length=60, blank=True)
    remark = models.TextField(blank=True)
    no_photo = models.CharField(max_length=300, default="", blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Reading(Recorded):
    """A reading as it was typed, as it was taken, and how it was judged.

    `typed_unit` is the unit it was typed in, "" for `unit`. `inputs` holds every field of a reading that is
    more than one number, `gauge` the instrument as it stood then: both are all that it is judged by again.
    `torque_set`: the value is what a wrench was set to, and no measurement; it has no chance of being inside.
    `acknowledged`: the instrument was out of calibration on a critical step, and the reader knew.
    """

    class Purpose(models.TextChoices):
        STEP = "step"
        SECOND_CHECK = "second check"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="readings")
    step_id = models.CharField(max_length=130)
    limit_id = models.CharField(max_length=60)
    purpose = models.CharField(max_length=15, choices=Purpose)
    typed = models.CharField(max_length=400)
    typed_unit = models.CharField(max_length=20, default="", blank=True)
    inputs = models.JSONField(default=list)
    value = models.FloatField()
    unit = models.CharField(max_length=20)
    decision = models.CharField(max_length=15)
    probability_inside = models.FloatField(null=True)
    standard_uncertainty = models.FloatField(null=True)
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="+", null=True)
    gauge = models.JSONField(default=dict)
    acknowledged = models.BooleanField(default=False)
    torque_set = models.BooleanField(default=False)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class NotMeasured(Recorded):
    """A reading that was not taken at a step, and why: no instrument for it in the house, or no way to it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="not_measured")
    step_id = models.CharField(max_length=130)
    limit_id = models.CharField(max_length=60)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class SecondCheck(Recorded):
    """A critical step confirmed by a second person, or by a timed second look where one works alone."""

    class Kind(models.TextChoices):
        PERSON = "second person"
        LOOK = "second look"

    mark = models.OneToOneField(StepMark, on_delete=models.PROTECT, related_name="second_check")
    kind = models.CharField(max_length=15, choices=Kind)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class ExceedanceAnswer(Recorded):
    """What was done about an exceedance: the part renewed, or an inspector's decision in words.

    `place` is the step, or "run/<journal entry>" of a run-up; `what` its limit, or the finding of the run-up.
    `entries` are the journal entries of the readings that it answers: a later one is a new exceedance.
    `second_look`: decided by the one who did the work, where somebody works alone.
    """

    class Kind(models.TextChoices):
        RENEWED = "part renewed"
        DECIDED = "decision"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="exceedance_answers")
    place = models.CharField(max_length=130)
    what = models.CharField(max_length=60)
    entries = models.JSONField(default=list)
    kind = models.CharField(max_length=15, choices=Kind)
    part = models.CharField(max_length=120, blank=True)
    lot = models.CharField(max_length=80, blank=True)
    words = models.TextField(blank=True)
    second_look = models.BooleanField(default=False)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Release(Recorded):
    """The engine released to service after a job.

    `run_ups`: the run-ups of the job with the verdicts of that day, what was to be known of them, and why it
    was signed despite a danger; {} on a release from before they stood on it. `exceedances`: what went beyond a
    limit that is never passed, and how it was answered.
    `else_due`: what else was due on the engine, dropped tasks included, each with its state and limits as printed.
    `signed`: name and role of who signed, and the workshop's name and rules, all of that day; {} likewise.
    """

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="release")
    number = models.CharField(max_length=20, unique=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    authority = models.CharField(max_length=120)
    at = models.DateTimeField()
    engine_h = models.FloatField()
    engine_sd_h = models.FloatField()
    not_done = models.TextField(blank=True)
    limitations = models.TextField(blank=True)
    run_ups = models.JSONField(default=dict)
    exceedances = models.JSONField(default=list)
    signed = models.JSONField(default=dict)
    else_due = models.JSONField(default=list)


class Closure(Recorded):
    """A job closed without a release, and why."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="closure")
    reason = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Remark(Recorded):
    """Something to be said about a job, or a step of it, whenever it came to mind."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="remarks")
    step_id = models.CharField(max_length=130, blank=True)
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Pause(Recorded):
    """Work on a job stops, or goes on; the newest row of a job counts."""

    class State(models.TextChoices):
        PAUSED = "paused"
        RESUMED = "resumed"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="pauses")
    state = models.CharField(max_length=10, choices=State)
    where = models.CharField(max_length=200, blank=True)
    why = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class HandOver(Recorded):
    """A job goes into other hands: who gives it and who takes it, and what is open on it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="hand_overs")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    to = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    still_open = models.CharField(max_length=1000)
    note = models.CharField(max_length=1000, blank=True)
    at = models.DateTimeField()


class AddedTask(Recorded):
    """A further task that a job takes, by the card its sheet names for it."""

    class Occasion(models.TextChoices):
        FOUND = "work found on the way"
        WHILE_OPEN = "while it is open"
        SCOPE = "from the start"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="added_tasks")
    task_id = models.CharField(max_length=60)
    card_id = models.CharField(max_length=60)
    occasion = models.CharField(max_length=30, choices=Occasion)
    why = models.CharField(max_length=500)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class TaskRemoved(Recorded):
    """An added task that was taken off again before any of it was done."""

    added = models.OneToOneField(AddedTask, on_delete=models.PROTECT, related_name="removed")
    reason = models.CharField(max_length=500)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class FirstTaskDropped(Recorded):
    """The task a job was opened for, dropped before any of it was done; the job goes on with the others."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="first_dropped")
    reason = models.CharField(max_length=500)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class CautionConfirmed(Recorded):
    """A caution of a step that runs the engine, which a person said they had read, for the rest of this visit."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="cautions_confirmed")
    step_id = models.CharField(max_length=130)
    text = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class ComposedCard(Recorded):
    """The one card of a job with several: its steps in their order, and the steps of cards that each serves.

    The newest row of a job counts; none, and its cards follow one another as they are. `steps`: each with `name`,
    `serves` (pairs of card and step), `act`, `group` and `stage`. Minutes of the one card, and of the cards one by one.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="composed_cards")
    steps = models.JSONField()
    minutes = models.FloatField()
    minutes_alone = models.FloatField()
    apart = models.JSONField(default=list)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class Arrival(Recorded):
    """How an engine came in for a visit, and what the visit was to do: each task with why it is in the scope."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="arrival")
    owner_says = models.TextField(blank=True)
    condition = models.TextField(blank=True)
    came_with = models.CharField(max_length=500, blank=True)
    promised_on = models.DateField(null=True)
    scope = models.JSONField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class HandedBack(Recorded):
    """An engine that left after its release: to whom, with what, and what was said."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="handed_back")
    to = models.CharField(max_length=120)
    went_with = models.CharField(max_length=500, blank=True)
    words = models.CharField(max_length=1000, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class ClockStarted(Recorded):
    """A person begins to work on a visit; the clock runs until minutes are worked that name it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="clocks")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class WorkedTime(Recorded):
    """Minutes that a person worked on a visit: by the clock that is named, or typed. [min]"""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="worked")
    started = models.OneToOneField(ClockStarted, on_delete=models.PROTECT, null=True, related_name="stopped")
    minutes = models.FloatField()
    typed = models.BooleanField(default=False)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
