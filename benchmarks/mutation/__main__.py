"""``python -m benchmarks.mutation [--workers N] [MODULE ...]``: which changes of a judgement does no test notice?"""

from __future__ import annotations

import argparse
import sys
import tomllib
from pathlib import Path
from typing import Any

from benchmarks.mutation.changes import Mutant, mutants_of
from benchmarks.mutation.running import survivors

TABLE = Path(__file__).with_name("judgements.toml")
SOURCE = Path(__file__).parents[2] / "src"


def main() -> int:
    """The score of each module and its survivors; 1 where one survives without a reason."""
    table = tomllib.loads(TABLE.read_text())
    tests = {row["name"]: row["tests"] for row in table["module"]}
    parser = argparse.ArgumentParser(prog="python -m benchmarks.mutation", description=__doc__)
    parser.add_argument(
        "modules", nargs="*", metavar="MODULE", help="as in judgements.toml; all when left out"
    )
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    unknown = sorted(set(given.modules) - set(tests))
    if unknown:
        print(f"Not in {TABLE.name}: {', '.join(unknown)}. It has: {', '.join(tests)}", file=sys.stderr)
        return 2
    reasons = {(row["was"], row["now"]): row["why"] for row in table.get("equivalent", ())}
    left = [_module(name, tests[name], reasons, given.workers) for name in given.modules or tests]
    return 1 if any(left) else 0


def _module(name: str, tests: list[str], reasons: dict[tuple[str, str], Any], workers: int) -> int:
    path = SOURCE.joinpath(*name.split(".")).with_suffix(".py")
    mutants = mutants_of(path.read_text())
    lived = sorted(survivors(name, path, mutants, tests, workers), key=lambda mutant: mutant.line)
    without = [mutant for mutant in lived if (mutant.was, mutant.now) not in reasons]
    noticed = len(mutants) - len(lived)
    print(
        f"{name}: {noticed} of {len(mutants)} noticed, {len(lived) - len(without)} cannot matter, {len(without)} left"
    )
    for mutant in without:
        _print(mutant)
    sys.stdout.flush()
    return len(without)


def _print(mutant: Mutant) -> None:
    print(f"  line {mutant.line}\n    was {mutant.was}\n    now {mutant.now}")


if __name__ == "__main__":
    sys.exit(main())
