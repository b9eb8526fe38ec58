"""An order of units from the top of the page down in which as few wires as possible run upwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def settle_order(potential: Mapping[str, float], arcs: Sequence[tuple[str, str]]) -> dict[str, int]:
    """Place of each unit in an order; most arcs (upper, lower) then point down.

    Sinks are taken to the end and sources to the start; when every unit left lies on a circle, the one with the most
    arcs out against arcs in goes first, ties to the higher potential (Eades, Lin and Smyth 1993, from memory).
    """
    out: dict[str, list[str]] = {key: [] for key in potential}
    into: dict[str, list[str]] = {key: [] for key in potential}
    for a, b in arcs:
        out[a].append(b)
        into[b].append(a)
    n_out = {key: len(found) for key, found in out.items()}
    n_in = {key: len(found) for key, found in into.items()}
    left = dict.fromkeys(sorted(potential, key=lambda key: (-potential[key], key)))
    head: list[str] = []
    tail: list[str] = []

    def take(key: str) -> None:
        del left[key]
        for other in out[key]:
            n_in[other] -= 1
        for other in into[key]:
            n_out[other] -= 1

    while left:
        moved = True
        while moved:
            moved = False
            for key in reversed(list(left)):
                if not n_out[key]:
                    take(key)
                    tail.append(key)
                    moved = True
            for key in list(left):
                if not n_in[key]:
                    take(key)
                    head.append(key)
                    moved = True
        if left:
            chosen = max(left, key=lambda key: (n_out[key] - n_in[key], potential[key], key))
            take(chosen)
            head.append(chosen)
    return {key: index for index, key in enumerate([*head, *reversed(tail)])}
