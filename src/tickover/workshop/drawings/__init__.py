"""The drawings of the workshop as SVG text: limit box, stack, screws, where to measure, traces.

Pure functions: values in, one `<svg>` string out, the same for the same values; no clock, no database,
no web framework. Colours are presentation attributes that a page's style sheet may override by class
(`pic-ink`, `pic-hair`, `pic-dash`, `pic-soft`, `pic-signal`, `pic-text`, ...), so one drawing serves the
light page, the dark page and the printed paper. May import `science` and `sheets`;
imports nothing else of the workshop.
"""

from tickover.workshop.drawings.limit_box import limit_box
from tickover.workshop.drawings.limit_box_model import Exit, LimitBox, exit_of
from tickover.workshop.drawings.measuring import plate, where_to_measure
from tickover.workshop.drawings.noise_trace import noise_trace
from tickover.workshop.drawings.screws import screw_pattern
from tickover.workshop.drawings.stack import stack

__all__ = [
    "Exit",
    "LimitBox",
    "exit_of",
    "limit_box",
    "noise_trace",
    "plate",
    "screw_pattern",
    "stack",
    "where_to_measure",
]
