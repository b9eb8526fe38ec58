"""Parts of a network that hang together."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from compiler.network.columns import Numbers


def islands_of(a: Numbers, b: Numbers, size: int) -> Numbers:
    """A label for each potential: those joined by branches from `a` to `b` share one."""
    graph = coo_matrix((np.ones(len(a), np.int8), (a, b)), shape=(size, size))
    _, labels = connected_components(graph, directed=False)
    return np.asarray(labels, dtype=np.int64)
