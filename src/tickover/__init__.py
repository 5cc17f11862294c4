"""A workshop's bench book that computes, for people who keep small two-stroke aircraft engines.

For Python programs: one function for each task, listed in ``__all__`` and shown in ``docs/python.md``. Each is loaded
when it is first asked for, so that ``import tickover`` loads nothing else.

Rooms, in the only order in which they may import (each from those to its left): ``science`` <- ``formats`` <-
``library`` <- ``sheets`` <- ``language`` <- ``workshop`` <- ``demo`` <- ``commands`` <- ``cli``.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tickover.formats.errors import FormatError
    from tickover.library.air import Air, density_altitude, mixture_for_air
    from tickover.library.dates import TaskDue, next_due
    from tickover.library.lives import fit_weibull, interval_from_survivors, kaplan_meier
    from tickover.library.logs import Log, engine_time, read, track_rpm
    from tickover.library.measuring import (
        bolt_preload,
        judge_reading,
        judge_set_torque,
        pressure_decay,
        wrench_setting,
    )
    from tickover.library.run_ups import AnalysedRunUp, analyse_run_up
    from tickover.science.core.input_checks import Refused
    from tickover.science.fuel_system.needle import Needle
    from tickover.science.measurement.thermocouple import read_type_k
    from tickover.science.reliability.stock import base_stock_for_service
    from tickover.science.run_up import Against

__version__ = "0.2.0"

__all__ = [
    "Against",
    "Air",
    "AnalysedRunUp",
    "FormatError",
    "Log",
    "Needle",
    "Refused",
    "TaskDue",
    "analyse_run_up",
    "base_stock_for_service",
    "bolt_preload",
    "density_altitude",
    "engine_time",
    "fit_weibull",
    "interval_from_survivors",
    "judge_reading",
    "judge_set_torque",
    "kaplan_meier",
    "mixture_for_air",
    "next_due",
    "pressure_decay",
    "read",
    "read_type_k",
    "track_rpm",
    "wrench_setting",
]

_HOME = {
    "formats.errors": ("FormatError",),
    "library.air": ("Air", "density_altitude", "mixture_for_air"),
    "library.dates": ("TaskDue", "next_due"),
    "library.lives": ("fit_weibull", "interval_from_survivors", "kaplan_meier"),
    "library.logs": ("Log", "engine_time", "read", "track_rpm"),
    "library.measuring": (
        "bolt_preload",
        "judge_reading",
        "judge_set_torque",
        "pressure_decay",
        "wrench_setting",
    ),
    "library.run_ups": ("AnalysedRunUp", "analyse_run_up"),
    "science.core.input_checks": ("Refused",),
    "science.fuel_system.needle": ("Needle",),
    "science.measurement.thermocouple": ("read_type_k",),
    "science.reliability.stock": ("base_stock_for_service",),
    "science.run_up": ("Against",),
}


def __getattr__(name: str) -> Any:
    module = next((module for module, names in _HOME.items() if name in names), None)
    if module is None:
        raise AttributeError(f"module 'tickover' has no attribute {name!r}")
    found = globals()[name] = getattr(import_module(f"tickover.{module}"), name)
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
