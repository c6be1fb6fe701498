"""Every benchmark, or those named: `python benchmarks/run.py [matched] [assessed] [cold] ...`.

Times are medians of repeats on whatever machine this is, shared or not; the ratio of two times
taken in the same run says more than either.
"""

import sys

import assessed
import cold
import learned
import logged
import matched
import paged
import since
import stowed
import sway
import swept
import weighed
from machine import facts
from table import shown

PARTS = {
    "assessed": assessed.rows,
    "cold": cold.rows,
    "learned": learned.rows,
    "logged": logged.rows,
    "matched": matched.rows,
    "paged": paged.rows,
    "since": since.rows,
    "sway": sway.rows,
    "stowed": stowed.rows,
    "swept": swept.rows,
    "weighed": weighed.rows,
}


def main(wanted: list[str]) -> None:
    """Print the facts and the table."""
    unknown = set(wanted) - set(PARTS)
    if unknown:
        raise SystemExit(f"expected {', '.join(PARTS)}; found {', '.join(sorted(unknown))}")
    print("\n".join(facts()))
    print()
    print(shown([row for name in wanted or PARTS for row in PARTS[name]()]))


if __name__ == "__main__":
    main(sys.argv[1:])
