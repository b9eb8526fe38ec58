"""`python -m tests.renderers.pdf_ua FILE...` prints what is wrong with each PDF; exit code 1 if anything is."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from tests.renderers.pdf_ua import violations

MOST = 10  # of one rule


def main(names: list[str]) -> int:
    """Prints the first of each rule, then how often each is broken."""
    worst = 0
    for name in names:
        found = violations(Path(name))
        shown: Counter[str] = Counter()
        for one in found:
            shown[one.rule] += 1
            if shown[one.rule] <= MOST:
                print(one)
        print(
            f"{name}: {len(found)} violations", *(f"{rule} {count}" for rule, count in sorted(shown.items())), sep="  "
        )
        worst |= bool(found)
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
