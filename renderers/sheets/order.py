"""An order of units from the top of the page down in which as few wires as possible run upwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def settle_order(potential: Mapping[str, float], arcs: Sequence[tuple[str, str, int]]) -> dict[str, int]:
    """Place of each unit in an order; most arcs (upper, lower, weight) then point down, by weight.

    Sinks are taken to the end and sources to the start; when every unit left lies on a circle, the one with the most
    weight out against weight in goes first, ties to the higher potential (Eades, Lin and Smyth 1993, from memory).
    """
    out: dict[str, list[tuple[str, int]]] = {key: [] for key in potential}
    into: dict[str, list[tuple[str, int]]] = {key: [] for key in potential}
    for a, b, weight in arcs:
        out[a].append((b, weight))
        into[b].append((a, weight))
    n_out = {key: sum(weight for _, weight in found) for key, found in out.items()}
    n_in = {key: sum(weight for _, weight in found) for key, found in into.items()}
    left = dict.fromkeys(sorted(potential, key=lambda key: (-potential[key], key)))
    head: list[str] = []
    tail: list[str] = []

    def take(key: str) -> None:
        del left[key]
        for other, weight in out[key]:
            n_in[other] -= weight
        for other, weight in into[key]:
            n_out[other] -= weight

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
