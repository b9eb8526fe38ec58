"""Blocks of a graph seen from a root: which edges lie on some way from the root to a node that passes no node twice."""

from __future__ import annotations

from collections.abc import Sequence


class Blocks:
    """Biconnected components of the part of a graph that hangs together with a root (J. Hopcroft and R. Tarjan, 1973).

    block  node -> number of the block by which it was first reached (-1 for the root and for what is not reached)
    top    block -> the node of it nearest to the root
    edges  block -> its edges
    depth  node -> how many steps below the root it was reached, -1 where it was not
    """

    def __init__(self, ends: Sequence[tuple[int, int]], size: int, root: int) -> None:
        around: list[list[tuple[int, int]]] = [[] for _ in range(size)]
        for edge, (a, b) in enumerate(ends):
            if a != b:
                around[a].append((edge, b))
                around[b].append((edge, a))
        self.root = root
        self.block = [-1] * size
        self.top: list[int] = []
        self.edges: list[list[int]] = []
        self.depth = [-1] * size
        self._search(around, size)

    def _search(self, around: list[list[tuple[int, int]]], size: int) -> None:
        depth, low, parent = self.depth, [0] * size, [-1] * size
        depth[self.root] = 0
        held: list[int] = []  # edges met and not yet given to a block
        nodes: list[int] = []  # nodes entered and not yet given to a block
        walk = [(self.root, iter(around[self.root]))]
        marks: list[tuple[int, int]] = [(0, 0)]
        while walk:
            node, ways = walk[-1]
            for edge, other in ways:
                if depth[other] < 0:
                    parent[other] = edge
                    depth[other] = low[other] = depth[node] + 1
                    marks.append((len(held), len(nodes)))
                    held.append(edge)
                    nodes.append(other)
                    walk.append((other, iter(around[other])))
                    break
                if edge != parent[node] and depth[other] < depth[node]:
                    held.append(edge)
                    low[node] = min(low[node], depth[other])
            else:
                walk.pop()
                first_edge, first_node = marks.pop()
                if not walk:
                    break
                above = walk[-1][0]
                if low[node] >= depth[above]:
                    number = len(self.top)
                    self.top.append(above)
                    self.edges.append(held[first_edge:])
                    for inside in nodes[first_node:]:
                        self.block[inside] = number
                    del held[first_edge:], nodes[first_node:]
                else:
                    low[above] = min(low[above], low[node])

    def reaches(self, node: int) -> bool:
        """Whether the root reaches a node."""
        return node == self.root or self.block[node] >= 0

    def chain(self, node: int) -> list[int]:
        """The blocks between the root and a node, from the node's side. Empty for the root and for what is not
        reached."""
        found: list[int] = []
        while (number := self.block[node]) >= 0:
            found.append(number)
            node = self.top[number]
        return found
