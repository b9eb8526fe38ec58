"""Ohms from a point to ground with the power off, a fuse pulled, perhaps a connector parted: how shorts are found.

The network is factorised for each connector; a fault is then a change of one branch (J. Sherman and W. Morrison, 1950).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
from compiler.network.solve import amperes, solve_columns

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

    from compiler.network.columns import Numbers, Reals

_LEAK_S = 1e-7  # keeps a part that floats solvable; read as open
_BRIDGE = 1e-6  # a pivot below this: the branch is the only way


class Cold:
    """A cold network; `pulled` fuses are out."""

    def __init__(self, make: Catalogue, pulled: Sequence[int]) -> None:
        self.rows = make.rows
        self.network = network = self.rows.network
        self.columns = columns = network.columns
        off = dict(self.rows.sound(make.settings).positions)
        off.update(dict.fromkeys(network.moved, AT_REST))
        there = columns.present(off, power=False) & np.isfinite(columns.cold) & ~columns.source & ~columns.diode
        there[columns.index[list(pulled)]] = False  # with a rating, and so in no row that is drawn together
        self.own: Reals = 1.0 / np.maximum(columns.cold, network.world.ohm("least"))
        self.siemens: Reals = np.where(there & (columns.a != columns.b), self.own, 0.0)
        self.unknown = np.cumsum(np.arange(network.size) != network.reference) - 1  # potential -> row of the matrix
        self.unknown[network.reference] = -1

    def _factors(self, opened: Sequence[int]) -> SuperLU:
        siemens = self.siemens.copy()
        siemens[self.columns.index[list(opened)]] = 0.0
        linking = np.flatnonzero(siemens)
        g, a, b = siemens[linking], self.unknown[self.columns.a[linking]], self.unknown[self.columns.b[linking]]
        size = self.network.size - 1
        diagonal = np.full(size, _LEAK_S)
        for ends in (a, b):
            diagonal += np.bincount(ends[ends >= 0], g[ends >= 0], size)
        both = (a >= 0) & (b >= 0)
        everything = np.arange(size)
        rows = np.concatenate([everything, a[both], b[both]])
        others = np.concatenate([everything, b[both], a[both]])
        matrix = coo_matrix((np.concatenate([diagonal, -g[both], -g[both]]), (rows, others)), shape=(size, size))
        return splu(
            matrix.tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            panel_size=1,
            options={"SymmetricMode": True},
        )

    def _changes(self, opened: Sequence[int]) -> tuple[Numbers, Reals]:
        """By suspect: its two ends (potentials), and the siemens added between them."""
        suspects = self.rows.suspects
        ends = np.zeros((len(suspects), 2), np.int64)
        added = np.zeros(len(suspects))
        short = 1.0 / self.network.world.ohm("short")
        for number, suspect in enumerate(suspects):
            fault = suspect.fault
            place = self.columns.index[fault.branch]
            a, b = int(self.columns.a[place]), int(self.columns.b[place])
            if fault.sort is FaultSort.TO_GROUND:
                b = self.network.metal if self.network.metal is not None else b
            ends[number] = a, b
            before = 0.0 if fault.branch in opened else float(self.siemens[place])
            match fault.sort:
                case FaultSort.TO_GROUND:
                    added[number] = short
                case FaultSort.RESISTANCE:
                    added[number] = 1 / (1 / before + fault.ohm) - before if before else 0.0
                case FaultSort.STUCK_CLOSED:
                    added[number] = float(self.own[place]) - before if fault.branch not in opened else 0.0
                case _:
                    added[number] = -before
        return ends, added

    def ohms(self, opened: Sequence[int], probes: Sequence[int]) -> Reals:
        """Ohms from each probe (a potential) to the reference under each suspect, with some branches open."""
        factors, (ends, added) = self._factors(opened), self._changes(opened)
        pairs, of_pair = np.unique(ends, axis=0, return_inverse=True)
        of_pair = of_pair.reshape(-1)
        at = self.unknown[np.asarray(probes, dtype=np.int64)]
        alone = np.stack([np.asarray(probes, dtype=np.int64), np.full(len(at), self.network.reference)], axis=1)
        both = np.concatenate([pairs, alone])
        a, b = self.unknown[both].T
        places = np.arange(len(both))
        found = solve_columns(factors, amperes(self.network.size - 1, a, b))
        z = np.where(a >= 0, found[a, places], 0.0) - np.where(b >= 0, found[b, places], 0.0)
        own, across = z[len(pairs) :, None], found[at][:, of_pair]
        pivot = 1 + added * z[of_pair]
        bridge = pivot < _BRIDGE
        ohm = own - added * across**2 / np.where(bridge, 1.0, pivot)
        only_way = np.abs(added * across) > 0.5
        ohm = np.where(bridge, np.where(only_way, OPEN_OHM, own), ohm)
        return np.asarray(np.clip(ohm, 0.0, OPEN_OHM))


def short_tests(make: Catalogue) -> Iterator[Entry]:
    """Ohms to ground that find the shorts among the suspects: behind the fuse, then with each connector parted."""
    rows, network = make.rows, make.network
    pulled = sorted({fuse for fuse in rows.opened.tolist() if fuse >= 0})
    shorts = [s for s in rows.suspects if s.fault.sort is FaultSort.TO_GROUND]
    if not pulled or not shorts or network.reference is None:
        return
    of = rows.network.of
    spots = {of[node] for s in shorts for node in _ends(make, s.fault.branch)}
    connectors = _connectors(make, spots)
    cold = Cold(make, pulled)
    fuses = [network.branches[fuse].device for fuse in pulled]
    head = f"Battery off, {' and '.join(network.place(fuse) for fuse in pulled)} out"
    behind = [network.branches[fuse].b for fuse in pulled]
    yield from _entries(make, cold, [], behind, head, "", fuses)
    for connector, parted in connectors.items():
        ends = [node for n in parted for node in _ends(make, n)]
        probes = [node for node in ends if of[node] in spots]
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
        branches = network.branches_of(connector)
        if any(make.rows.network.of[node] in spots for n in branches for node in _ends(make, n)):
            touched[connector.id] = branches
    return touched


def _entries(
    make: Catalogue, cold: Cold, opened: Sequence[int], nodes: Sequence[int], head: str, tail: str, items: Sequence[str]
) -> Iterator[Entry]:
    points, access = make.network.graph.points, make.access
    of, reference = make.rows.network.of, make.rows.network.reference
    nodes = [n for n in dict.fromkeys(nodes) if n < len(points) and access.probed(points[n]) and of[n] != reference]
    if not nodes:
        return
    found = cold.ohms(opened, [of[n] for n in nodes])
    for node, ohm in zip(nodes, found, strict=True):
        name = point_name(make.network, points[node])
        words = f"{head}. Measure the resistance from {name} to ground."
        yield make.entry(TestKind.OHMS, f"ohms {name}{tail}", name, items, words, make.ohms_range(ohm), "ohm")
