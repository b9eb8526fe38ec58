"""What must be set for current to run: subject -> the positions that will do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from compiler.network.elements import Condition

Needs = dict[str, frozenset[str]]


def wanted(needs: Needs, conditions: Sequence[Condition]) -> Needs | None:
    """Needs with some conditions added; None where they exclude each other."""
    return joined(needs, dict(conditions)) if conditions else needs


def joined(one: Needs, other: Needs) -> Needs | None:
    """Two needs together; None where they exclude each other."""
    if not other:
        return one
    both = dict(one)
    for subject, positions in other.items():
        left = both[subject] & positions if subject in both else positions
        if not left:
            return None
        both[subject] = left
    return both


def loosest(needs: Iterable[Needs]) -> list[Needs]:
    """Needs without those that ask for more than another of them."""
    found: list[Needs] = []
    for need in needs:
        if not any(_asks_more(need, other) for other in found):
            found = [*(other for other in found if not _asks_more(other, need)), need]
    return found


def _asks_more(need: Needs, other: Needs) -> bool:
    return all(subject in need and need[subject] <= positions for subject, positions in other.items())
