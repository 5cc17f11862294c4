"""What is said before an engine is run up, on every page and paper of a run (common practice, no source)."""

CAUTIONS = (
    "The machine is tied down or held so that it cannot move. Test the stop switch first.",
    "Nobody is in the plane of the propeller or behind it, from start to standstill. Nothing loose lies near it.",
    "Two persons: one at the throttle and the stop switch, one who watches people and machine. Never alone.",
    "Hearing protection and glasses, hair and strings tied away. Fire extinguisher at hand.",
    "Never indoors: exhaust gas kills without a smell.",
    "No hand goes near a needle with the engine at power. At idle only as the maker’s manual allows, from the side "
    "away from the propeller.",
)
