"""Resistance between two points with the power off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from compiler.model.items import Point
from compiler.network.elements import AT_REST
from compiler.network.faults import Fault, planted
from compiler.network.solve import pose, solve_linear
from compiler.network.state import State

if TYPE_CHECKING:
    from compiler.network.network import Network


def ohms(
    network: Network,
    a: Point | int,
    b: Point | int,
    positions: Mapping[str, str] | None = None,
    faults: Sequence[Fault] = (),
) -> float:
    """Resistance between two points (or nodes) with the power off, ohm; infinite when nothing joins them.

    Sources and outputs are out, relays at rest, loads cold, diodes blocking: a meter's small voltage opens none of
    them.
    `positions` are those of the switches. Raises FaultError, and KeyError for a point that is not in the circuit.
    """
    probe, other = (network.of[p if isinstance(p, int) else network.graph.index[p]] for p in (a, b))
    if probe == other:
        return 0.0
    plant = planted(network, faults)
    off = dict(positions) if positions is not None else State().positions(network)
    off.update(dict.fromkeys(network.moved, AT_REST))
    columns = network.columns
    there = plant.force(columns.present(off, power=False)) & ~columns.source & ~columns.diode
    problem = replace(pose(network, there, power=False, ohm=plant.ohm(power=False), added=plant.added), reference=other)
    solution = solve_linear(problem, problem.there)
    column = int(solution.column[probe])
    if column < 0:
        return inf
    # One ampere in at the probe, out at the other end: the volts are the ohms.
    inject = np.zeros(solution.factors.unknowns)
    inject[column] = 1.0
    return float(solution.factors.solve(inject)[column])
