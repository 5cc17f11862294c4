"""Write docs/science-reference.md from the signatures and docstrings of `tickover.science`.

Public is what a module names in `__all__`, else its own names without an underscore; of `run_up`, `sound` and `faults`
what the folder itself offers. The index at the top leads from the terms of the field to the functions.

    python docs/draw_science_reference.py
"""

from __future__ import annotations

import dataclasses
import enum
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

from tickover import science

PAGE = Path(__file__).resolve().parent / "science-reference.md"
OFFERED_BY_THE_FOLDER = ("run_up", "sound", "faults")
PLUMBING = ("input_checks", "kinds", "arrays", "shapes", "working")
"""Modules of `core` that the others are built with."""
SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")

TERMS: dict[str, tuple[str, ...]] = {
    "engine time from a flight log (ENL, MOP, RPM)": ("engine_time.from_log.from_track",),
    "age replacement": ("reliability.replacement_age.age_replacement",),
    "air-fuel ratio, stoichiometric": (
        "fuel_system.fuels.stoichiometric_air",
        "fuel_system.carburettor.air_fuel_ratio",
    ),
    "B10 life": ("reliability.weibull.Life",),
    "balance grade (ISO 21940)": ("engine.balance.permissible_unbalance",),
    "balancing, influence coefficient": ("engine.trial_runs.trial_runs",),
    "base stock": ("reliability.stock.base_stock_for_service",),
    "belt tension by tone": ("engine.drive.belt_tone",),
    "blade pass frequency": ("engine.drive.lines_hz",),
    "censored data, suspensions": ("reliability.weibull.weibull_life", "reliability.kaplan_meier.turnbull"),
    "choked flow": ("fuel_system.orifice.is_choked",),
    "Clopper-Pearson interval": ("reliability.event_rates.clopper_pearson_interval",),
    "compression ratio": ("engine.compression.compression",),
    "conformity, guard band (JCGM 106)": (
        "measurement.conformity.decide",
        "measurement.guard_bands.guard_band",
        "measurement.guard_bands.acceptance_limits",
    ),
    "consumer's and producer's risk": ("measurement.guard_bands.global_risk",),
    "crow foot, torque extension": ("fasteners.preload_and_torque.offset_adapter_setting_nm",),
    "density altitude": ("atmosphere.altitudes.density_altitude",),
    "density of moist air (CIPM-2007)": ("atmosphere.moist_air.moist_density_kg_m3",),
    "dew point": ("atmosphere.dew_point.dew_point_k", "atmosphere.dew_point.humidity_from_dew_point"),
    "due date, whichever comes first": ("planning.due.next_due", "planning.forecast.due_days"),
    "economic order quantity": ("reliability.stock.economic_order_quantity",),
    "equivalence ratio": ("fuel_system.mixture.equivalence_ratio",),
    "figure of merit (propeller)": ("engine.propeller.figure_of_merit",),
    "gauge R&R": ("measurement.gauge_study.gauge_study",),
    "Greenwood's variance": ("reliability.kaplan_meier.kaplan_meier",),
    "grouping of maintenance tasks": ("planning.visits.plan_visits",),
    "humidity, relative": ("atmosphere.moist_air.vapour_fraction",),
    "International Standard Atmosphere (ISO 2533)": ("atmosphere.standard_atmosphere.standard_air",),
    "Kaplan-Meier": ("reliability.kaplan_meier.kaplan_meier",),
    "Laplace trend test": ("reliability.failure_trend.failure_trend",),
    "leak rate, pressure decay": ("engine.pressure_decay.leak_from_decay",),
    "Mach number of the tips": ("engine.tip_speed.tip_mach",),
    "mean piston speed": ("engine.cylinder.mean_piston_speed_m_s",),
    "MTBF, mean life": ("reliability.weibull.Life", "reliability.event_rates.Rate"),
    "newsvendor": ("reliability.stock.newsvendor_stock",),
    "noisy-or network": ("faults.noisy_or",),
    "outliers (generalised ESD)": ("measurement.outliers.outlying",),
    "nut factor (K)": (
        "fasteners.preload_and_torque.torque_by_factor_nm",
        "fasteners.preload_and_torque.preload_by_factor_n",
    ),
    "oil ratio, premix": ("fuel_system.oil_mix.oil_for", "fuel_system.oil_mix.remix"),
    "permissible deviation of a wrench (ISO 6789)": ("fasteners.set_torque.permissible_deviation",),
    "pop-off pressure": ("fuel_system.metering.lever_balance.pop_off",),
    "port timing": ("engine.port_timing.port_timing",),
    "power correction (SAE J1349, ISO 1585)": ("atmosphere.power_correction.power_correction",),
    "power law process, Duane": ("reliability.failure_trend.failure_trend",),
    "preload": ("fasteners.preload_and_torque.preload_n", "fasteners.preload_scatter.clamping"),
    "pressure altitude, QNH, QFE": (
        "atmosphere.altitudes.pressure_altitude_m",
        "atmosphere.altitudes.qfe_pa",
        "atmosphere.altitudes.qnh_pa",
    ),
    "proof load, property class": ("fasteners.threads.proof_load_n",),
    "reciprocating acceleration": ("engine.crank.piston_acceleration_m_s2",),
    "renewal function": ("reliability.renewals.renewals",),
    "reorder point, safety stock": ("reliability.stock.reorder_point",),
    "ring end gap": ("engine.cylinder.ring_gap",),
    "rpm from sound": ("sound.track_rpm",),
    "run-up, static rpm": ("run_up.analyse", "run_up.judge"),
    "squish clearance, squish velocity": ("engine.cylinder.squish_mm", "engine.squish_velocity.peak_squish"),
    "stress area": ("fasteners.threads.stress_area_mm2",),
    "success run, zero failures": ("reliability.zero_failures.parts_to_show",),
    "thermocouple, type K (ITS-90)": ("measurement.thermocouple.read_type_k",),
    "thrust, static": ("engine.propeller.static_run",),
    "tightening sequence": ("fasteners.tightening_sequence.tightening",),
    "Turnbull": ("reliability.kaplan_meier.turnbull",),
    "uncertainty budget (GUM)": ("measurement.propagation.propagate",),
    "unbalance": ("engine.balance.static_balance",),
    "venturi": ("fuel_system.venturi.venturi_flow_kg_s",),
    "Weibayes": ("reliability.zero_failures.weibayes_scale",),
    "Weibull": ("reliability.weibull.weibull_life",),
    "Wilson interval": ("reliability.event_rates.wilson_interval",),
}


def page() -> str:
    """The whole page."""
    found = dict(_public())
    known = {f"{module}.{name}" for module, own in found.items() for name, _ in own}
    if missing := [name for names in TERMS.values() for name in names if name not in known]:
        raise SystemExit(f"The index names what is not there: {', '.join(missing)}")
    parts = [HEAD, _index(), "## By topic", *(_module(name, own) for name, own in found.items())]
    return "\n\n".join(parts) + "\n"


HEAD = """# Science reference

Written by `docs/draw_science_reference.py` from the code; edit the docstrings, not this page. Import a function from
the module under whose heading it is: `from tickover.science.engine.cylinder import swept_cm3`. For everyday tasks
begin with [From Python](python.md). Arrays of any shape may be given for every `array_like`; a single number gives a
single number. A result with `working()` shows its formula, inputs, range and source. Refused input raises
`OutOfRangeError` or `InsufficientDataError`, both a `ValueError` with a sentence."""


def _public() -> Iterator[tuple[str, list[tuple[str, Any]]]]:
    """Modules by their name below science, with what they offer."""
    start = len(science.__name__) + 1
    for info in pkgutil.walk_packages(science.__path__, f"{science.__name__}."):
        name = info.name[start:]
        folder = name.split(".")[0]
        if (folder in OFFERED_BY_THE_FOLDER and name != folder) or name.split(".")[-1] in PLUMBING:
            continue
        module = importlib.import_module(info.name)
        if own := [
            (n, thing) for n, thing in _offered(module) if inspect.isfunction(thing) or inspect.isclass(thing)
        ]:
            yield name, own


def _offered(module: ModuleType) -> list[tuple[str, Any]]:
    if hasattr(module, "__all__"):
        return [(name, getattr(module, name)) for name in sorted(module.__all__)]
    return [
        (name, thing)
        for name, thing in vars(module).items()
        if not name.startswith("_") and getattr(thing, "__module__", "") == module.__name__
    ]


def _index() -> str:
    rows = [
        f"| {term} | {', '.join(f'[`{name}`](#{name.lower()})' for name in names)} |"
        for term, names in sorted(TERMS.items(), key=lambda item: item[0].casefold())
    ]
    return "\n".join(("## Index of terms", "", "| term | function |", "|---|---|", *rows))


def _module(name: str, own: list[tuple[str, Any]]) -> str:
    module = importlib.import_module(f"{science.__name__}.{name}")
    question, *rest = inspect.cleandoc(module.__doc__ or "").split("\n\n")
    references = _sections("\n\n".join(rest)).get("References", "")
    lines = [f"### {name}", _one_line(question)]
    lines += [f"*Sources:* {_one_line(references)}"] if references else []
    return "\n\n".join([*lines, *(_entry(f"{name}.{own_name}", own_name, thing) for own_name, thing in own)])


def _entry(path: str, name: str, thing: Any) -> str:
    return "\n\n".join(
        [
            f'<a id="{path.lower()}"></a>',
            *(_class(name, thing) if inspect.isclass(thing) else _function(name, thing)),
        ]
    )


def _function(name: str, function: Any) -> list[str]:
    doc = inspect.cleandoc(inspect.unwrap(function).__doc__ or "")
    sections = _sections(doc)
    lines = [f"**`{name}{_signature(function)}`**", _one_line(sections[""].split("\n\n")[0])]
    if "Parameters" in sections:
        lines.append("\n".join(_listed(sections["Parameters"])))
    if "Returns" in sections:
        kind, *said = sections["Returns"].strip().split("\n")
        lines.append(f"Gives `{kind}`{': ' if said else ''}{_one_line(' '.join(said))}")
    if "Examples" in sections:
        lines.append(f"```python\n{sections['Examples'].strip()}\n```")
    return lines


def _class(name: str, kind: type) -> list[str]:
    doc = inspect.cleandoc(kind.__doc__ or "")
    lines = [f"**`{name}`**", _one_line(_sections(doc)[""])]
    if issubclass(kind, enum.Enum):
        return [*lines, f"One of {', '.join(f'`{one.name}`' for one in kind)}."]
    own = [f"`{f.name}`" for f in dataclasses.fields(kind)] if dataclasses.is_dataclass(kind) else []
    rows = [f"Fields: {', '.join(own)}.", ""] if own else []
    for method, value in vars(kind).items():
        if method.startswith("_") or method == "working":
            continue
        if isinstance(value, property):
            rows.append(f"- `{method}`: {_first(value.fget)}")
        elif inspect.isfunction(value) or isinstance(value, classmethod):
            rows.append(f"- `{method}(…)`: {_first(getattr(value, '__func__', value))}")
    return [*lines, "\n".join(rows).strip()] if rows else lines


def _first(function: Any) -> str:
    return _one_line(inspect.cleandoc(inspect.unwrap(function).__doc__ or "").split("\n\n")[0])


def _signature(function: Any) -> str:
    names = []
    for argument in inspect.signature(function).parameters.values():
        if argument.kind is argument.KEYWORD_ONLY and "*" not in names:
            names.append("*")
        given = "" if argument.default is argument.empty else f"={_default(argument.default)}"
        names.append(f"{argument.name}{given}")
    return f"({', '.join(names)})"


def _default(value: object) -> str:
    return (
        repr(value)
        if isinstance(value, int | float | str | bool | None | tuple) and len(repr(value)) < 40
        else "…"
    )


def _listed(parameters: str) -> Iterator[str]:
    """Each parameter as a line of a list: its name and kind, then what it is."""
    for entry in re.split(r"\n(?=\S)", parameters.strip("\n")):
        head, *said = entry.split("\n")
        yield f"- `{head.strip()}` {_one_line(' '.join(said))}".rstrip()


def _sections(doc: str) -> dict[str, str]:
    """A docstring by the headings of numpydoc; what is before the first of them under ""."""
    parts = re.split(rf"^({'|'.join(SECTIONS)})\n-+\n?", doc, flags=re.MULTILINE)
    return {
        "": parts[0].strip(),
        **{name: text.strip("\n") for name, text in zip(parts[1::2], parts[2::2], strict=True)},
    }


def _one_line(text: str) -> str:
    return " ".join(text.split())


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
