"""Is a card, or a card made of several, done in an order that can be done and that hurts nobody?

The steps are gone through from first to last, with what is open, what state the engine is in, what was proved and
is still so, what was stuffed into openings, and how many minutes went by. Whatever a step asks for and does not
find is a fault. An order without a fault can still be a bad one; one with a fault is.

References
----------
The rules are common practice, no source; the engine maker's manual comes first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.planning.work_sequence.acts import StepOfCard

__all__ = ["CardEnds", "CardFault", "card_faults"]

PLUG_OUT = "plug-out"
"""The opening that makes it safe to turn an engine by hand."""

SAFE_TO_RUN = ("engine-looked-over", "throttle-returns", "restrained", "area-clear", "stop-works")
"""What is proved before each run, and since whatever was opened or closed last."""

LOOKED_OVER = SAFE_TO_RUN[0]

AS_IT_COMES: Mapping[str, str] = {
    "temperature": "cold",
    "cap": "on",
    "stop": "free",
    "fuel": "open",
    "throttle": "closed",
    "machine": "loose",
}
"""The state in which an engine comes in, where a card does not say otherwise."""

HAND_WARM_MIN = 15.0
COLD_MIN = 60.0
"""After a run an air-cooled head is warm to the hand, and cold, after that long at the least. [min]"""

EMPTY = ("fuel", "closed", "drained")
"""A system that was drained is closed as well, and closing it fills it not again."""

RUNNING: Mapping[str, str] = {"cap": "on", "stop": "free", "fuel": "open", "machine": "strapped"}
READY: Mapping[str, str] = {"stop": "free", "fuel": "open"}
"""What is so where a machine is left with its plug cap on: somebody may start it."""


@dataclass(frozen=True)
class CardEnds:
    """What is open, or stuffed into openings, before a card begins, and what it leaves so on purpose.

    `proves`: what the card is done for, proved when it ends.
    """

    found_open: tuple[str, ...] = ()
    left_open: tuple[str, ...] = ()
    found_in: tuple[str, ...] = ()
    left_in: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()


@dataclass(frozen=True)
class CardFault:
    """What is wrong with the order, at which step. `rule` names it in a word, `other` the step it clashes with."""

    step: str
    rule: str
    sentence: str
    other: str = ""


@dataclass
class _Bench:
    """How things are between two steps."""

    requires: Mapping[str, Sequence[str]]
    state: dict[str, str]
    open: dict[str, str] = field(default_factory=dict)
    put_in: dict[str, str] = field(default_factory=dict)
    proved: set[str] = field(default_factory=set)
    voided: dict[str, str] = field(default_factory=dict)
    spoiled: dict[str, str] = field(default_factory=dict)
    done_at_min: dict[str, float] = field(default_factory=dict)
    minute: float = 0.0
    ran_at_min: float | None = None
    may_wait: bool = False


@kinds_checked
def card_faults(
    steps: Sequence[StepOfCard],
    requires: Mapping[str, Sequence[str]],
    ends: CardEnds | None = None,
    *,
    may_wait: bool = False,
) -> tuple[CardFault, ...]:
    """Everything that is wrong with an order of steps.

    Parameters
    ----------
    steps : in the order they are done
    requires : for each opening, what has to be open before it; one that is not named requires nothing
    ends : what is open before the first step and after the last; nothing, where it is left out
    may_wait : whether the work may rest until the engine is cold, where a step asks for that

    Returns
    -------
    tuple[CardFault, ...]
        in the order of the steps; what is wrong with the end is named at the last step. Empty where nothing is.

    Raises
    ------
    OutOfRangeError
        no steps, or two of one id

    Examples
    --------
    >>> from tickover.science.planning.work_sequence.acts import Act
    >>> opened = StepOfCard("box-off", Act("box-off", opens=("air-box-off",)))
    >>> [fault.sentence for fault in card_faults([opened], {})]
    ['air-box-off is opened here and never closed']
    """
    ids = [step.id for step in steps]
    if not ids:
        raise OutOfRangeError("steps: none were given; give one at least")
    if twice := next((name for name, times in Counter(ids).items() if times > 1), None):
        raise OutOfRangeError(f"steps: {twice!r} comes twice; each step has an id of its own")
    ends = ends or CardEnds()
    bench = _Bench(requires, dict(AS_IT_COMES), may_wait=may_wait)
    bench.open = dict.fromkeys(ends.found_open, "")
    bench.put_in = dict.fromkeys(ends.found_in, "")
    found: list[CardFault] = []
    acts = {step.act.id: n for n, step in enumerate(steps)}
    done: set[str] = set()
    for n, step in enumerate(steps):
        _cool(bench)
        found += _before(step, bench, done, acts, n)
        found += _moved(step, bench, steps[n:])
        done |= {step.act.id, *step.act.covers}
        found += _change(step, bench)
        found += _hold(step, steps[n + 1 :])
    found += _at_the_end(steps[-1], bench, ends)
    return tuple(found)


def _cool(bench: _Bench) -> None:
    """The head cools by itself while other work is done."""
    gone = bench.minute - bench.ran_at_min if bench.ran_at_min is not None else 0.0
    if bench.state["temperature"] == "hot" and gone >= HAND_WARM_MIN:
        bench.state["temperature"] = "hand-warm"
    if bench.state["temperature"] == "hand-warm" and gone >= COLD_MIN:
        bench.state["temperature"] = "cold"


def _before(
    step: StepOfCard, bench: _Bench, done: set[str], acts: Mapping[str, int], n: int
) -> Iterator[CardFault]:
    """What the step asks for and does not find."""
    act = step.act
    for name in act.inside:
        if name not in bench.open:
            yield CardFault(step.id, "inside", f"it is done behind {name}, which is not open")
    for name in act.closed:
        if name in bench.open:
            yield CardFault(step.id, "pressure", f"{name} is open, so nothing is proved", bench.open[name])
    for key, value in act.needs.items():
        if key == "temperature" and value == "cold" and bench.may_wait:
            bench.state[key] = value
        if bench.state.get(key) != value and (key, value, bench.state.get(key)) != EMPTY:
            yield CardFault(step.id, "state", f"{key} should be {value} and is {bench.state.get(key)}")
    for tag in act.evidence:
        if tag in bench.spoiled:
            other = bench.spoiled[tag]
            yield CardFault(step.id, "evidence", f"{tag} was spoiled before it was read", other)
    for name in act.relies_on:
        if name not in done:
            yield CardFault(step.id, "relies on", f"it means nothing without {name} before it", name)
    for name in act.after:
        if acts.get(name, -1) > n and name not in done:
            yield CardFault(step.id, "after", f"{name} comes first", name)
    yield from _waited(step, bench)


def _proved_running(step: StepOfCard) -> tuple[str, ...]:
    """What only a running engine proves, so that it may run before."""
    return step.act.proves if step.act.motion == "running" else ()


def _moved(step: StepOfCard, bench: _Bench, still_to_do: Sequence[StepOfCard]) -> Iterator[CardFault]:
    """Turning wants the plug out; running wants everything closed, proved, and nothing left inside."""
    act = step.act
    if act.motion in ("turned", "cranked") and PLUG_OUT not in (*bench.open, *act.opens):
        yield CardFault(step.id, "plug", f"the engine is {act.motion} with the plug in")
    if act.motion in ("turned", "cranked") and bench.state.get("cap") == "on":
        yield CardFault(step.id, "cap", f"the engine is {act.motion} with the plug cap on")
    if act.motion != "running":
        return
    to_prove = {name for other in still_to_do for name in _proved_running(other)}
    for name, where in bench.open.items():
        yield CardFault(step.id, "run", f"it runs while {name} is open", where)
    for name, where in bench.put_in.items():
        yield CardFault(step.id, "count", f"it runs with {name} still inside", where)
    for key, value in RUNNING.items():
        if bench.state.get(key) != value:
            yield CardFault(step.id, "run", f"it runs with {key} {bench.state.get(key)}, not {value}")
    for name in SAFE_TO_RUN:
        if name not in bench.proved:
            yield CardFault(step.id, "run", f"it runs before {name} is proved")
    for name, where in bench.voided.items():
        if name not in SAFE_TO_RUN and name not in to_prove:
            yield CardFault(step.id, "run", f"it runs before {name} is proved again", where)


def _waited(step: StepOfCard, bench: _Bench) -> Iterator[CardFault]:
    for wait in step.act.waits:
        if wait.act not in bench.done_at_min:
            continue
        gone = bench.minute - bench.done_at_min[wait.act]
        if gone < wait.at_least_min:
            sentence = f"{gone:g} min after {wait.act}, {wait.at_least_min:g} min at least are wanted"
            yield CardFault(step.id, "wait", sentence, wait.act)
        if wait.within_min is not None and gone > wait.within_min:
            sentence = f"{gone:g} min after {wait.act}, within {wait.within_min:g} min is wanted"
            yield CardFault(step.id, "wait", sentence, wait.act)


def _change(step: StepOfCard, bench: _Bench) -> Iterator[CardFault]:
    """What the step does to the engine, and what of it cannot be done."""
    act = step.act
    yield from _counted(step, bench)
    for name in act.closes:
        if name not in bench.open:
            yield CardFault(step.id, "close", f"it closes {name}, which is not open")
            continue
        del bench.open[name]
        for behind in bench.open:
            if name in bench.requires.get(behind, ()):
                yield CardFault(
                    step.id, "close", f"{name} is closed while {behind} is open", bench.open[behind]
                )
    for name in act.opens:
        for needed in bench.requires.get(name, ()):
            if needed not in bench.open:
                yield CardFault(step.id, "open", f"{name} is opened before {needed}")
        if name in bench.open:
            yield CardFault(step.id, "open", f"{name} is open already", bench.open[name])
        bench.open[name] = step.id
    bench.state |= {k: v for k, v in act.leaves.items() if (k, v, bench.state.get(k)) != EMPTY}
    if act.motion == "running":
        bench.state["temperature"] = "hot"
    voided = (*act.voids, *((LOOKED_OVER,) if act.opens or act.closes else ()))
    bench.proved -= set(voided)
    bench.voided |= dict.fromkeys(voided, step.id)
    bench.proved |= set(act.proves)
    for name in act.proves:
        bench.voided.pop(name, None)
    bench.spoiled |= {tag: step.id for tag in act.spoils if tag not in bench.spoiled}
    bench.minute += act.minutes
    if act.motion == "running":
        bench.ran_at_min = bench.minute
    elif "temperature" in act.leaves:
        bench.ran_at_min = None
    bench.done_at_min[act.id] = bench.minute


def _counted(step: StepOfCard, bench: _Bench) -> Iterator[CardFault]:
    for name in step.act.takes_out:
        if name not in bench.put_in:
            yield CardFault(step.id, "count", f"{name} is taken out and was not put in")
        bench.put_in.pop(name, None)
    bench.put_in |= dict.fromkeys(step.act.puts_in, step.id)


def _hold(step: StepOfCard, later: Sequence[StepOfCard]) -> Iterator[CardFault]:
    """A second check is held before the first step that closes over what is to be seen."""
    if not step.second_check or step.no_hold:
        return
    behind = set(step.act.inside) - set(step.act.closes)
    for other in later:
        if behind & set(other.act.closes):
            held = {other.id, *(s.id for s in later[: later.index(other)])}
            if not held & set(step.hold_before):
                sentence = f"{other.id} closes over it before its second check is held"
                yield CardFault(step.id, "hold", sentence, other.id)
            return


def _at_the_end(last: StepOfCard, bench: _Bench, ends: CardEnds) -> Iterator[CardFault]:
    for name, where in bench.open.items():
        if name not in ends.left_open:
            yield CardFault(where or last.id, "end", f"{name} is opened here and never closed")
    for name in ends.left_open:
        if name not in bench.open:
            yield CardFault(last.id, "end", f"{name} should be left open and is closed")
    for name, where in bench.put_in.items():
        if name not in ends.left_in:
            yield CardFault(where or last.id, "count", f"{name} is put in here and never taken out")
    for name in ends.left_in:
        if name not in bench.put_in:
            yield CardFault(last.id, "count", f"{name} should be left in and is not")
    gone = {LOOKED_OVER, *SAFE_TO_RUN}
    for name, where in bench.voided.items():
        if name not in gone:
            yield CardFault(where, "proof", f"{name} has to be proved again after it, and is not")
    for name in ends.proves:
        if name not in bench.proved:
            yield CardFault(last.id, "proof", f"the card is done for {name}, and no step proves it")
    yield from _left(last, bench.state)


def _left(last: StepOfCard, state: Mapping[str, str]) -> Iterator[CardFault]:
    """A machine with its cap on may be started, so it is left ready; one with it off is left grounded."""
    wanted: Iterable[tuple[str, str]] = READY.items() if state["cap"] == "on" else (("stop", "grounded"),)
    for key, value in wanted:
        if state[key] != value:
            sentence = f"the machine is left with its cap {state['cap']} and {key} {state[key]}, not {value}"
            yield CardFault(last.id, "end", sentence)
