"""Which branches of a graph are the only way to something: cut one, and a part is away from the root."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order

from compiler.network.columns import Flags, Numbers

# One step of a counter, and the rounds that mix it (G. L. Steele, D. Lea and C. H. Flood, 2014; from memory).
_STEP = np.uint64(0x9E3779B97F4A7C15)
_ROUNDS = ((30, np.uint64(0xBF58476D1CE4E5B9)), (27, np.uint64(0x94D049BB133111EB)), (31, np.uint64(1)))


def bridges(a: Numbers, b: Numbers, size: int, root: int) -> Flags:
    """Which of the branches from `a` to `b` are bridges, among those that hang together with the root.

    Every branch outside a spanning tree is a random number; one of the tree is what the numbers of the branches past it
    come to by exclusive or: nothing only for a bridge (D. Pritchard and R. Thurimella, 2011; from memory). The numbers
    are the same on every run, and two would have to agree in all of 64 bits for a bridge too many.
    """
    count = len(a)
    graph = coo_matrix((np.ones(count, np.int8), (a, b)), shape=(size, size)).tocsr()
    order, before = breadth_first_order(graph, root, directed=False, return_predecessors=True)
    in_tree = np.full(size, -1, np.int64)  # node -> the branch by which it was reached
    for near, far in ((a, b), (b, a)):
        ways = np.flatnonzero((before[far] == near) & (a != b))
        in_tree[far[ways[::-1]]] = ways[::-1]
    tree = np.zeros(count, np.bool_)
    tree[in_tree[in_tree >= 0]] = True
    numbers = np.arange(1, count + 1, dtype=np.uint64) * _STEP
    for shift, factor in _ROUNDS:
        numbers = (numbers ^ (numbers >> np.uint64(shift))) * factor
    sums = np.zeros(size, np.uint64)
    for ends in (a, b):
        np.bitwise_xor.at(sums, ends[~tree], numbers[~tree])
    passed = sums.tolist()
    found = np.zeros(count, np.bool_)
    ways_in, above = in_tree.tolist(), before.tolist()
    for node in reversed(order.tolist()[1:]):
        if passed[node]:
            passed[above[node]] ^= passed[node]
        else:
            found[ways_in[node]] = True
    return found
