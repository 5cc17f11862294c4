"""Keys of a type sheet in words: a label and help for each, by the table it stands in."""

from __future__ import annotations

from tickover.workshop.knowledge.condition_lines import condition_in_words

AUTHORITY = (
    "How far to trust it",
    "Maker: from the maker’s manual for this engine. Anything else is no authority.",
)
SOURCE = ("Source", "Manual, page and issue, so that others can find it.")
BUILDS = (
    "For which builds",
    "None ticked: for every build. A ticked feature means every build that has it.",
)

CONDITIONS = (
    "One on each line: “minutes: at least 3 (Time at full throttle)”, “minutes: 1 to 1.5” or “start: 0.5”. A value "
    "that is read itself may ask for minutes or seconds. Where a condition is not met, or not typed, the reading does "
    "not count."
)

TABLES = {
    "limits": ("limit", "Limits"),
    "programme": ("task", "Programme"),
    "parts": ("part", "Parts"),
    "builds": ("build", "Builds"),
    "steps": ("step", "Steps"),
    "geometry": ("geometry", "Geometry"),
    "propeller": ("propeller", "Propeller"),
    "kits": ("kit", "Kits"),
    "joints": ("joint", "Joints"),
    "cards": ("work card", "Work cards"),
    "faults": ("fault", "Faults"),
    "access": ("access group", "Access"),
}

WORDS: dict[str, dict[str, tuple[str, str]]] = {
    "limits": {
        "title": ("What is measured", "As shown at the field."),
        "unit": ("Unit", "mm, bar, N.m, deg C, rpm, ohm, Hz, g, min …"),
        "makers_figure": ("Only the maker can say it", "No figure here: readings wait until one is entered."),
        "nominal": ("Nominal value", "What to aim at, in the unit above. Empty where there is none."),
        "lower": ("Lower limit", "Below this the part is outside. Empty: no lower limit."),
        "upper": ("Upper limit", "Above this the part is outside. Empty: no upper limit."),
        "never_below": ("Never less than", "Going below cannot be undone: it keeps the engine until answered."),
        "never_above": ("Never more than", "Going above cannot be undone: it keeps the engine until answered."),
        "plausible_lower": ("Lowest believable reading", "A reading below is asked for again: it may be a slip."),
        "plausible_upper": ("Highest believable reading", "A reading above is asked for again."),
        "low_means": ("What a low reading means", "One or two sentences."),
        "high_means": ("What a high reading means", "One or two sentences."),
        "instrument": ("Instrument, in words", "Such as: Depth gauge."),
        "instrument_kind": ("Kind of instrument", "So that the workshop’s own instruments are offered."),
        "resolution": ("Smallest step it shows", "In the unit above."),
        "expanded_uncertainty": ("Expanded uncertainty (k = 2)", "How far the instrument may be wrong, in the unit."),
        "rule": ("How its uncertainty counts", "Guarded: a reading too near a limit is no pass. Simple: as read."),
        "repeats": ("How many readings", "1, or as many as are taken one after the other."),
        "take": ("Which of them counts", "The middle one, or the last."),
        "spread_max": ("They must lie within", "In the unit; empty for one reading."),
        "computed": ("The value comes from a sum", "Leave it unless the sheet you copy has it."),
        "conditions": ("Conditions of the test", CONDITIONS),
        "drawing": ("Drawing of where to measure", "Leave it unless it fits."),
        "action_outside": ("What to do when it is outside", "What the technician does next."),
        "note": ("Note", "Conditions of the measurement."),
    },
    "programme": {
        "title": ("Task", "As shown in lists."),
        "system": ("System", "Such as carburettor, ignition, propeller."),
        "kind": ("Kind of work", ""),
        "on_condition": ("On condition only", "No interval: done when a finding requires it."),
        "interval_h": ("Every so many engine hours", "Hours, such as 50. Empty: not by hours."),
        "interval_months": ("Every so many months", "Whole months. Empty: not by calendar. The earlier one counts."),
        "first_after_h": ("First time after", "Engine hours, where the first one comes sooner (run-in)."),
        "begins_again": ("Begins these again", "Tasks due anew, their first hours after this one was done."),
        "contains": ("Does these as well", "Lesser tasks that count as done with this one."),
        "tolerance_h": ("Tolerance in hours", "May be overrun by so much. 0 for none."),
        "tolerance_days": ("Tolerance in days", "Whole days. 0 for none."),
        "anchor": ("The next one counts from", "Planned: less any overrun. Actual: from when it was done."),
        "access": ("What must be opened", "Shared by the tasks of one visit."),
        "minutes": ("Minutes for the task alone", "Without opening and closing."),
        "tools": ("Tools", "One on each line."),
        "consumables": ("Consumables", "One on each line."),
        "second_check": ("A second person checks it", ""),
        "card": ("Work card", "The card by which it is done."),
        "record": ("What is written down", ""),
    },
    "parts": {
        "title": ("Part", "Its name in the trade."),
        "unit": ("Counted in", "piece, set, m …"),
        "material": ("Material", "To separate similar pieces."),
    },
    "builds": {
        "title": ("What this build is called", "Such as: Plated bore, pulse passage."),
        "traits": ("What it has", "Rows of the sheet are chosen by these ticks."),
        "serial_from": ("First serial number", "Whole number; empty where there is no range."),
        "serial_to": ("Last serial number", "Empty: and all later ones."),
        "recognise": ("How to recognise it", "What shows which build it is."),
    },
    "steps": {
        "act": ("What is done", "One short sentence, at most 90 characters, with a full stop at its end."),
        "does": ("Act it does", "The same act on two cards is the same work. None: the act of its own name, if any."),
        "how": ("How", "More, for someone who does it the first time."),
        "caution": ("Caution", "Shown before the step: what can hurt someone or the engine."),
        "tools": ("Tools", "One on each line."),
        "reading": ("Reading against the limit", "The technician types a reading here."),
        "moment": ("When it is read", "As found may be outside; as left may not."),
        "place": ("Where it is read", "Where its limit is read at several places, such as: drive side."),
        "only_on": ("Only if found", "Not needed until one of these is found. None ticked: always done."),
        "joint": ("Joint shown", "The order of its pieces."),
        "at_joint": ("What is done at the joint", "Torque and tightening order are shown where it is closed."),
        "fits": ("Parts fitted", "A part that is also discarded reads: fit new, discard old."),
        "discards": ("Parts discarded", ""),
        "critical": ("Critical step", "A mistake here can hurt someone."),
        "second_check": ("A second person checks it", ""),
        "hold_before": ("Hold before", "Later steps that close this one over. They wait for its second check."),
        "no_hold": ("Why no step waits for it", "Such as: nothing covers it. A run of the engine waits in any case."),
        "makes_safe": (
            "Makes the engine safe",
            "May be done although a finding before it stops the card.",
        ),
        "runs_engine": ("The engine runs", "The step waits for every open second check."),
        "photo": ("Photo needed", "Not done without a photo of the step, or a reason."),
    },
    "geometry": {
        "bore_mm": ("Bore", "mm"),
        "stroke_mm": ("Stroke", "mm"),
        "rod_length_mm": ("Connecting rod, centre to centre", "mm"),
        "gear_ratio": ("Reduction", "Crank turns for one turn of the propeller, such as 3.2"),
        "petrol_to_oil": ("Petrol to oil", "Parts of petrol to one of oil, such as 50"),
        "start": ("Started by", ""),
        "reduction": ("Kind of reduction", ""),
        "gear_teeth_driver": ("Teeth of the driving gear", ""),
        "carburettor_bore_mm": ("Carburettor bore", "mm"),
        "case_volume_cm3": ("Crankcase volume at bottom centre", "cm³"),
        "head_volume_cm3": ("Combustion chamber at top centre", "cm³"),
        "exhaust_opens_deg_atdc": ("Exhaust opens", "degrees after top centre"),
        "transfer_opens_deg_atdc": ("Transfers open", "degrees after top centre"),
        "squish_band_fraction": ("Share of the piston under the squish band", "0 to 1"),
        "clutch_engages_rpm": ("Clutch engages", "rpm"),
        "belt_span_m": ("Free span of the belt", "m"),
        "belt_mass_kg_per_m": ("Mass of the belt", "kg for each metre"),
        "belt_tension_n": ("Belt tension", "N"),
    },
    "propeller": {
        "title": ("Propeller", "Such as: Two blades, wood"),
        "diameter_mm": ("Diameter", "mm"),
        "pitch_mm": ("Pitch", "mm"),
        "blades": ("Blades", "number"),
    },
}  # fmt: skip

TRAITS = {
    "belt": "Belt reduction",
    "gear": "Gear reduction",
    "recoil": "Recoil start",
    "electric": "Electric start",
    "external-pulse": "Pulse through a hose",
    "internal-pulse": "Pulse through a passage",
    "face-datum": "Lever measured from the body face",
    "flush-datum": "Lever flush with the chamber floor",
    "iron-liner": "Iron liner",
    "plated-bore": "Plated bore",
    "decompression": "Decompression hole",
    "no-decompression": "No decompression hole",
    "wood-propeller": "Wooden propeller",
    "composite-propeller": "Composite propeller",
}

CHOICES = {
    "": "–",
    "opens": "opens it: no torque shown",
    "looks": "inspects it: no torque shown",
    "fits": "fits its pieces",
    "tightens": "tightens it",
    "guarded": "guarded: keep the instrument’s error inside the limits",
    "simple": "simple: as read",
    "planned": "the planned point",
    "actual": "the actual point",
    "median": "the middle one",
    "last": "the last one",
    "maker": "maker’s manual",
    "rule": "a published rule",
    "standard": "a standard",
    "own data": "own data of this workshop",
    "from memory": "from memory",
    "common practice, no source": "common practice, no source",
}


def label_of(table: str, key: str) -> str:
    """A key in words; as it stands in the file, without its hyphens, where it has none of its own."""
    common = {"builds": BUILDS, "authority": AUTHORITY, "source": SOURCE}
    found = WORDS.get(table, {}).get(key) or common.get(key)
    return found[0] if found else key.replace("_", " ")


def help_of(table: str, key: str) -> str:
    common = {"builds": BUILDS, "authority": AUTHORITY, "source": SOURCE}
    found = WORDS.get(table, {}).get(key) or common.get(key)
    return found[1] if found else ""


def in_words(value: object) -> str:
    """A value of a sheet as a person reads it."""
    if value is None or value == "" or value == [] or value == ():
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, list | tuple):
        return ", ".join(in_words(one) for one in value)
    if isinstance(value, dict) and "of" in value:
        return condition_in_words(value)
    if isinstance(value, dict):
        return str(
            value.get("title")
            or value.get("act")
            or value.get("part")
            or ", ".join(in_words(v) for v in value.values())
        )
    return str(value)
