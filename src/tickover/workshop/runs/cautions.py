"""What is said before an engine is run up, on every page and paper of a run (common practice, no source)."""

CAUTIONS = (
    "The machine is tied down or held so that it cannot move. Test the stop switch first.",
    "Nobody stands in the plane of the propeller or in front of it. Nothing loose lies within reach of its wind.",
    "Two persons: one at the throttle and the stop switch, one who watches people and machine. Never alone.",
    "Hearing protection and glasses, hair and strings tied away. Fire extinguisher at hand.",
    "Never indoors: exhaust gas kills without a smell.",
    "Hands go near the carburettor only from behind, only as the maker’s manual allows, and never with the "
    "propeller turning under load.",
)
