"""Lists and figures in the words of findings."""

from __future__ import annotations

from collections.abc import Iterable

MOST_SHOWN = 6


def listing(words: Iterable[str], most: int = MOST_SHOWN) -> str:
    """`E3`, `E3 and E4`, `E3, E4 and R3`; of more than `most` (above 1) the first and how many more there are."""
    names = list(dict.fromkeys(words))
    if len(names) > most:
        names = [*names[: most - 1], f"{len(names) - most + 1} more"]
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def counted(number: int, one: str, many: str = "") -> str:
    """`1 wire`, `3 wires`; `many` is the plural where it is not formed with an s."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def amperes(value: float) -> str:
    """A current as a person writes it, at most three figures after the point: `7.5 A`, `30 A`."""
    return f"{round(value, 3):g} A"


def rounded_down(value: float) -> str:
    """A limit in amperes, cut to one place so that it never reads as more than it is: `33.69` is `33.6 A`."""
    return f"{int(value * 10) / 10:g} A"
