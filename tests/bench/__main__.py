"""`python -m tests.bench [NAME...] [--json]`: measure the yardsticks and print a table."""

import argparse
import json
import sys
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.bench.measure import Row

NAMES = ("starting", "reading", "reasoning", "policy", "estimate", "screen", "drawing")
# Minutes each: only by name.
LONG = ("open_policy", "counting")


def main(argv: list[str]) -> int:
    """Measure, then print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join((*NAMES, *LONG))}")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args(argv)
    rows: list[Row] = []
    for name in args.names or NAMES:
        rows.extend(import_module(f"tests.bench.{name}").rows())
    if args.json:
        sys.stdout.write(json.dumps([{**vars(row), "verdict": row.verdict} for row in rows], indent=2) + "\n")
        return 0
    for row in rows:
        figures = f"{row.ratio:8.2f}  reach {row.reach:g}, beat {row.beat:g}: {row.verdict}"
        sys.stdout.write(f"{row.what:40} against {row.against:30} {figures}  {row.note}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
