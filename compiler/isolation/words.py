"""Readings in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from compiler.isolation.types import Reading, Test, TestKind

OPEN_OHM = 1e6
"""Stands for an open circuit wherever a number is needed."""
DEAD, WEAK, WORKS = (0.0, 0.2 - 1e-6), (0.2, 0.7 - 1e-6), (0.7, 99.0)
"""The three ranges of a share that a person tells apart (see `compiler/network/data/electrics.toml`, table `seen`)."""


class Verbs(NamedTuple):
    """How a load is said to work, to work weakly, and not to work."""

    works: str
    weak: str
    dead: str


_VERBS = {
    **dict.fromkeys(("lamp", "headlamp", "led"), Verbs("lit", "dim", "out")),
    **dict.fromkeys(("motor", "starter", "starter-solenoid"), Verbs("runs", "runs slowly", "stands still")),
    **dict.fromkeys(("horn", "buzzer"), Verbs("sounds", "sounds weak", "silent")),
    "heater": Verbs("warms up", "hardly warms up", "stays cold"),
    "outlet": Verbs("live", "weak", "dead"),
    "gauge": Verbs("shows", "shows too little", "dead"),
}
_OTHER = Verbs("works", "works weakly", "dead")


def verbs(kind: str) -> Verbs:
    """The verbs of a kind of part."""
    return _VERBS.get(kind, _OTHER)


def volts_reading(low: float, high: float) -> Reading:
    """A range of volts."""
    low, high = max(low, 0.0), max(high, 0.0)
    words = f"below {high:.1f} V" if low <= 0.05 else f"{low:.1f} to {high:.1f} V"
    return Reading(low, high, "V", words)


def ohms_reading(low: float, high: float, open_ohm: float) -> Reading:
    """A range of ohms."""
    low = max(low, 0.0)
    if high >= open_ohm:
        words = "open" if low >= open_ohm * 0.5 else f"above {_number(low)} ohm"
        return Reading(low, float("inf"), "ohm", words)
    words = f"below {_number(high)} ohm" if low <= 0.05 else f"{_number(low)} to {_number(high)} ohm"
    return Reading(low, high, "ohm", words)


def share_reading(low: float, high: float, kind: str) -> Reading:
    """A range of shares of the rated voltage, in the verbs of a kind of load."""
    said = verbs(kind)
    ranges = (DEAD, WEAK, WORKS)
    words = [
        word for word, (a, b) in zip((said.dead, said.weak, said.works), ranges, strict=True) if a <= high and b >= low
    ]
    return Reading(low, high, "share", " or ".join(words))


def seen_reading(low: float, high: float, labels: Mapping[float, str]) -> Reading:
    """One or more of the things that can be found."""
    words = [text for value, text in labels.items() if low <= value <= high]
    return Reading(low, high, "seen", " or ".join(words))


def _number(value: float) -> str:
    if value >= 1000:
        return f"{value / 1000:.3g} k"
    return f"{value:.2g}" if value < 10 else f"{value:.0f}"


def told(test: Test, words: str) -> str:
    """An answer as a clause: `C40.7 body side reads below 0.2 V`, `E9.tail is lit`, `K7 pulls in`."""
    match test.kind:
        case TestKind.VOLTS | TestKind.OHMS:
            return f"{test.place} reads {words}"
        case TestKind.ACROSS:
            return (
                f"{test.place} by itself reads {words}" if test.unit == "ohm" else f"{test.place} by itself is {words}"
            )
        case TestKind.SWAP:
            return f"{test.place} was swapped: {words}"
        case TestKind.TERMINAL:
            return f"at {test.place} {words}"
        case TestKind.FUSE:
            return f"{test.place} is {words}"
        case _:
            first = words.split(" or ", maxsplit=1)[0]
            return f"{test.place} {'is ' if first in _STATES else ''}{words}"


_STATES = frozenset("lit dim out silent dead live weak".split())
