"""Ohms from a point to ground with the power off, a fuse pulled, perhaps a connector parted: how shorts are found.

The network is reduced once to the places that matter, and that small matrix inverted for each connector; a fault is
then a change of one branch (J. Sherman and W. Morrison, 1950).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from compiler.isolation.catalogue import Catalogue, Entry
from compiler.isolation.types import TestKind
from compiler.isolation.words import OPEN_OHM
from compiler.network.elements import AT_REST
from compiler.network.faults import FaultSort
from compiler.network.places import point_name

if TYPE_CHECKING:
    from compiler.network.columns import Numbers, Reals

_LEAK_S = 1e-7  # keeps a part that floats solvable; read as open
_BRIDGE = 1e-6  # a pivot below this: the branch is the only way


class Cold:
    """A cold network, reduced to the potentials in `kept` (Schur complement); `pulled` fuses are out.

    of  potential -> place among those kept; the reference is none of them
    """

    def __init__(self, make: Catalogue, kept: Iterable[int], pulled: Sequence[int]) -> None:
        self.rows, network = make.rows, make.network
        self.network, self.columns = network, self.rows.network.columns
        columns = self.columns
        off = dict(self.rows.sound(make.settings).positions)
        off.update(dict.fromkeys(network.moved, AT_REST))
        there = columns.present(off, power=False) & np.isfinite(columns.cold) & ~columns.source & ~columns.diode
        there[list(pulled)] = False
        self.own: Reals = 1.0 / np.maximum(columns.cold, network.world.ohm("least"))
        self.siemens: Reals = np.where(there, self.own, 0.0)
        chosen = [p for p in dict.fromkeys(kept) if p != network.reference]
        self.of = {potential: place for place, potential in enumerate(chosen)}
        self.reduced = self._reduced(chosen)

    def _reduced(self, chosen: list[int]) -> Reals:
        columns = self.columns
        linking = np.flatnonzero((self.siemens > 0) & (columns.a != columns.b))
        touched_by = [columns.a[linking], columns.b[linking], np.asarray([*chosen, self.network.reference])]
        known, place = np.unique(np.concatenate(touched_by), return_inverse=True)
        a, b = place[: len(linking)], place[len(linking) : 2 * len(linking)]
        g, size = self.siemens[linking], len(known)
        everything = np.arange(size)
        rows, others = np.concatenate([a, b, a, b, everything]), np.concatenate([a, b, b, a, everything])
        values = np.concatenate([g, g, -g, -g, np.full(size, _LEAK_S)])
        matrix = coo_matrix((values, (rows, others)), shape=(size, size)).tocsc()
        inner = place[2 * len(linking) : -1]
        outer = np.setdiff1d(everything, place[2 * len(linking) :])
        across = matrix[outer][:, inner]
        touched = np.flatnonzero(np.diff(across.tocsc().indptr))
        found = np.asarray(matrix[inner][:, inner].todense(), dtype=np.float64)
        if len(touched):
            behind = splu(matrix[outer][:, outer].tocsc()).solve(np.asarray(across[:, touched].todense()))
            found[:, touched] -= np.asarray(across.T @ behind)
        return found

    def inverse(self, opened: Sequence[int]) -> Reals:
        """Ohms between every two potentials kept and the reference, with some branches open. The reference is last."""
        size = len(self.of)
        matrix = np.zeros((size + 1, size + 1))
        matrix[:size, :size] = self.reduced
        for number in opened:
            g = self.siemens[number]
            a, b = (self.of.get(int(ends[number]), size) for ends in (self.columns.a, self.columns.b))
            matrix[a, a] -= g
            matrix[b, b] -= g
            matrix[a, b] += g
            matrix[b, a] += g
        found = np.zeros((size + 1, size + 1))
        found[:size, :size] = np.linalg.inv(matrix[:size, :size])
        return found

    def changes(self, opened: Sequence[int]) -> tuple[Numbers, Numbers, Reals]:
        """By suspect: its two ends (places), and the siemens added between them."""
        count, last = self.rows.count, len(self.of)
        ends = np.zeros((2, count), np.int64)
        added = np.zeros(count)
        short = 1.0 / self.network.world.ohm("short")
        for number, suspect in enumerate(self.rows.suspects):
            fault = suspect.fault
            a, b = int(self.columns.a[fault.branch]), int(self.columns.b[fault.branch])
            if fault.sort is FaultSort.TO_GROUND:
                b = self.network.metal if self.network.metal is not None else b
            ends[:, number] = self.of.get(a, last), self.of.get(b, last)
            before = 0.0 if fault.branch in opened else float(self.siemens[fault.branch])
            match fault.sort:
                case FaultSort.TO_GROUND:
                    added[number] = short
                case FaultSort.RESISTANCE:
                    added[number] = 1 / (1 / before + fault.ohm) - before if before else 0.0
                case FaultSort.STUCK_CLOSED:
                    added[number] = self.own[fault.branch] - before if fault.branch not in opened else 0.0
                case _:
                    added[number] = -before
        return ends[0], ends[1], added

    def ohms(self, inverse: Reals, probes: Sequence[int], changes: tuple[Numbers, Numbers, Reals]) -> Reals:
        """Ohms from each probe (a place) to the reference under each fault."""
        a, b, added = changes
        z = inverse[a, a] + inverse[b, b] - 2 * inverse[a, b]
        pivot = 1 + added * z
        rows = np.asarray(probes, dtype=np.int64)[:, None]
        own = inverse[rows, rows]
        across = inverse[rows, a[None]] - inverse[rows, b[None]]
        bridge = pivot < _BRIDGE
        found = own - added * across**2 / np.where(bridge, 1.0, pivot)
        only_way = np.abs(added * across) > 0.5
        found = np.where(bridge, np.where(only_way, OPEN_OHM, own), found)
        return np.clip(found, 0.0, OPEN_OHM)


def short_tests(make: Catalogue) -> Iterator[Entry]:
    """Ohms to ground that find the shorts among the suspects: behind the fuse, then with each connector parted."""
    rows, network = make.rows, make.network
    pulled = sorted({fuse for fuse in rows.opened.tolist() if fuse >= 0})
    shorts = [s for s in rows.suspects if s.fault.sort is FaultSort.TO_GROUND]
    if not pulled or not shorts or network.reference is None:
        return
    spots = {network.of[node] for s in shorts for node in _ends(make, s.fault.branch)}
    connectors = _connectors(make, spots)
    branches = {*pulled, *(s.fault.branch for s in rows.suspects), *(n for found in connectors.values() for n in found)}
    kept = [network.of[node] for n in sorted(branches) for node in _ends(make, n)]
    cold = Cold(make, [*kept, *([network.metal] if network.metal is not None else [])], pulled)
    fuses = [network.branches[fuse].device for fuse in pulled]
    head = f"Battery off, {' and '.join(network.place(fuse) for fuse in pulled)} out"
    behind = [network.branches[fuse].b for fuse in pulled]
    yield from _entries(make, cold, [], behind, head, "", fuses)
    for connector, parted in connectors.items():
        ends = [node for n in parted for node in _ends(make, n)]
        probes = [node for node in ends if network.of[node] in spots]
        words = f"{head}, {connector} parted"
        yield from _entries(make, cold, parted, probes, words, f", {connector} parted", [connector, *fuses])


def _ends(make: Catalogue, branch: int) -> tuple[int, int]:
    row = make.network.branches[branch]
    return row.a, row.b


def _connectors(make: Catalogue, spots: set[int]) -> dict[str, list[int]]:
    """Connectors with a cavity at a place that may be shorted, and all their cavities."""
    network = make.network
    touched: dict[str, list[int]] = {}
    for connector in network.variant.connectors.values():
        branches = [n for n in network.branches_of(connector) if make.rows.knows(_ends(make, n))]
        if any(network.of[node] in spots for n in branches for node in _ends(make, n)):
            touched[connector.id] = branches
    return touched


def _entries(
    make: Catalogue, cold: Cold, opened: Sequence[int], nodes: Sequence[int], head: str, tail: str, items: Sequence[str]
) -> Iterator[Entry]:
    points, access = make.network.graph.points, make.access
    nodes = [
        n
        for n in dict.fromkeys(nodes)
        if n < len(points) and access.probed(points[n]) and make.network.of[n] in cold.of
    ]
    if not nodes:
        return
    probes = [cold.of[make.network.of[n]] for n in nodes]
    found = cold.ohms(cold.inverse(opened), probes, cold.changes(opened))
    for node, ohm in zip(nodes, found, strict=True):
        name = point_name(make.network, points[node])
        words = f"{head}. Measure the resistance from {name} to ground."
        yield make.entry(TestKind.OHMS, f"ohms {name}{tail}", name, items, words, make.ohms_range(ohm), "ohm")
