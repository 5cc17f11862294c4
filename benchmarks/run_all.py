"""Run every benchmark of this folder, each in its turn: ``python -m benchmarks.run_all [NAME ...]``."""

from __future__ import annotations

import importlib
import os
import pkgutil
import platform
import sys

import benchmarks


def names() -> list[str]:
    """Benchmarks of this folder, in the order of the alphabet."""
    found = pkgutil.iter_modules(benchmarks.__path__)
    return sorted(module.name for module in found if not module.ispkg and module.name != "run_all")


def main(wanted: list[str]) -> int:
    """Run the named benchmarks, or all of them; 2 when a name is not there."""
    unknown = sorted(set(wanted) - set(names()))
    if unknown:
        print(f"no such benchmark: {', '.join(unknown)}. There are: {', '.join(names())}", file=sys.stderr)
        return 2
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores")
    for name in wanted or names():
        print(f"\n{name}", flush=True)
        importlib.import_module(f"benchmarks.{name}").main()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
