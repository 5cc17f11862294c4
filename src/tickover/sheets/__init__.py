"""Knowledge: the schema of an engine type sheet, its loader, and the sheets that are shipped (TOML).

May import `science` and `formats`; knows no web framework. The names below are all that others may use.
"""

from tickover.sheets.card_steps import card_ends, card_steps, openings
from tickover.sheets.errors import Problem, SheetError, UnknownRowError
from tickover.sheets.loading import fingerprint, load_sheet, shipped_sheets, shipped_texts
from tickover.sheets.reading import sheet_data
from tickover.sheets.schema.acts import ActRow
from tickover.sheets.schema.cards import Card, Finding, Step
from tickover.sheets.schema.faults import Cause, FaultFinding, FaultTable, FaultTest
from tickover.sheets.schema.geometry import Geometry, Propeller
from tickover.sheets.schema.joints import Fasteners, Hole, Joint, Layer
from tickover.sheets.schema.limits import Condition, LimitRow
from tickover.sheets.schema.rows import NO_BUILD, Build, Kit, KitPiece, Part
from tickover.sheets.schema.tasks import AccessGroup, Fitted, TaskRow
from tickover.sheets.schema.type_sheet import TypeSheet

__all__ = [
    "NO_BUILD",
    "AccessGroup",
    "ActRow",
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
    "card_ends",
    "card_steps",
    "fingerprint",
    "load_sheet",
    "openings",
    "sheet_data",
    "shipped_sheets",
    "shipped_texts",
]
