"""One card for a visit of fifteen tasks, against its cards one by one: steps, minutes, time to compose.

Minutes are those of the shipped sheets, from memory. Changes of place have a bound from below: each place of each stage
is come to once.
"""

from __future__ import annotations

from time import perf_counter

from tickover.science.planning.work_sequence.merging import VisitCard
from tickover.science.planning.work_sequence.sequence import work_sequence
from tickover.sheets import card_ends, card_steps, openings, shipped_sheets

VISIT = (
    "running-baseline", "plug-look", "fuel-hoses-look", "throttle-and-stop", "frame-and-cage", "exhaust-look",
    "propeller-blades", "flange-check", "air-filter-service", "compression-check", "propeller-bolts",
    "harness-attachments", "silent-blocks-look", "fins-clean", "diaphragm-service",
)  # fmt: skip
RUNS = 5


def main() -> None:
    """Print a line for each build."""
    for sheet in shipped_sheets().values():
        for build in sheet.builds:
            one = sheet.for_build(build.id)
            cards = []
            for card in (one.card(name) for name in VISIT):
                steps = card_steps(card, one)
                assert steps is not None, card.id
                cards.append(VisitCard(card.id, steps, card.as_found, card_ends(card)))
            times = []
            for _ in range(RUNS):
                began = perf_counter()
                found = work_sequence(cards, openings(one))
                times.append(perf_counter() - began)
            print(
                f"  {sheet.id}, {build.id}: {len(found.steps)} steps for {found.steps_alone}, "
                f"{found.minutes:.0f} min for {found.minutes_alone:.0f}, {found.changes} changes of place "
                f"(at least {found.changes_least}), composed in {min(times) * 1e3:.0f} ms"
            )


if __name__ == "__main__":
    main()
