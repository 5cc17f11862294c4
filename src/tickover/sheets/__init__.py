"""Knowledge: the schema of an engine type sheet, its loader, and the sheets that are shipped (TOML).

May import `science` and `formats`; knows no web framework. The names below are all that others may use.
"""

from tickover.sheets.cards import Card, Finding, Step
from tickover.sheets.errors import Problem, SheetError, UnknownRowError
from tickover.sheets.faults import Cause, FaultFinding, FaultTable, FaultTest
from tickover.sheets.geometry import Geometry, Propeller
from tickover.sheets.joints import Fasteners, Hole, Joint, Layer
from tickover.sheets.limits import Condition, LimitRow
from tickover.sheets.loading import fingerprint, load_sheet, shipped_sheets, shipped_texts
from tickover.sheets.reading import sheet_data
from tickover.sheets.rows import NO_BUILD, Build, Kit, KitPiece, Part
from tickover.sheets.schema import TypeSheet
from tickover.sheets.tasks import AccessGroup, Fitted, TaskRow

__all__ = [
    "NO_BUILD",
    "AccessGroup",
    "Build",
    "Card",
    "Cause",
    "Condition",
    "Fasteners",
    "FaultFinding",
    "FaultTable",
    "FaultTest",
    "Finding",
    "Fitted",
    "Geometry",
    "Hole",
    "Joint",
    "Kit",
    "KitPiece",
    "Layer",
    "LimitRow",
    "Part",
    "Problem",
    "Propeller",
    "SheetError",
    "Step",
    "TaskRow",
    "TypeSheet",
    "UnknownRowError",
    "fingerprint",
    "load_sheet",
    "sheet_data",
    "shipped_sheets",
    "shipped_texts",
]
