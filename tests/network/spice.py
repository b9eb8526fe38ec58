"""A network as a netlist for ngspice, an independent circuit simulator, and the voltages it finds.

Nodes that nothing ties to the reference are left out: a simulator has no word for `floating`. Diodes are handed
over as such (a controlled source that is straight on either side of the forward voltage), so that ngspice decides
by itself which conduct.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from compiler.network.columns import Reals
from compiler.network.solve import Solution

OPTIONS = ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 gmin=1e-15 itl1=2000"


def netlist(solutions: Sequence[Solution]) -> str:
    """The problems behind solutions, tied nodes only, side by side on one ground."""
    elements = [line for number, solution in enumerate(solutions) for line in _elements(solution, f"x{number}_")]
    return "\n".join(["networks", *elements, OPTIONS, ".op", ".end"]) + "\n"


def _elements(solution: Solution, mark: str) -> Iterator[str]:
    problem = solution.problem
    tied = ~np.isnan(solution.volts)
    for number in np.flatnonzero(problem.there):
        a, b = int(problem.a[number]), int(problem.b[number])
        if a == b or not (tied[a] and tied[b]):
            continue
        first, second = (_node(solution, node, mark) for node in (a, b))
        ohm, volts = float(problem.ohm[number]), float(problem.volts[number])
        if problem.diode[number]:
            across = f"V({first})-V({second})-{volts!r}"
            yield f"B{mark}{number} {first} {second} I = ({across}) > 0 ? ({across})/{ohm!r} : 0"
        elif problem.source[number]:
            if ohm:
                yield f"V{mark}{number} {first} {mark}s{number} dc {volts!r}"
                yield f"R{mark}{number} {mark}s{number} {second} {ohm!r}"
            else:
                yield f"V{mark}{number} {first} {second} dc {volts!r}"
        else:
            yield f"R{mark}{number} {first} {second} {ohm!r}"


def _node(solution: Solution, node: int, mark: str) -> str:
    return "0" if node == solution.problem.reference else f"{mark}n{node}"


def spice_volts(solutions: Sequence[Solution], folder: Path) -> list[Reals]:
    """Voltage of every tied potential as ngspice has it, for each solution; nan elsewhere. The references are 0."""
    found = run(netlist(solutions), folder)
    volts = [np.full(solution.problem.size, np.nan) for solution in solutions]
    for solution, own in zip(solutions, volts, strict=True):
        own[solution.problem.reference] = 0.0
    for name, value in found.items():
        if name.startswith("v(x"):
            number, node = name[3:-1].split("_n") if "_n" in name else ("", "")
            if number:
                volts[int(number)][int(node)] = value
    return volts


def run(text: str, folder: Path) -> dict[str, float]:
    """The operating point of a netlist: variable name -> value."""
    deck, raw = folder / "network.cir", folder / "network.raw"
    deck.write_text(text, "ascii")
    done = subprocess.run(
        ["ngspice", "-b", "-n", "-r", str(raw), str(deck)], capture_output=True, text=True, timeout=300, check=False
    )
    assert raw.exists(), done.stdout + done.stderr
    return read_raw(raw.read_bytes())


def read_raw(data: bytes) -> dict[str, float]:
    """The last point of a binary raw file."""
    head, _, body = data.partition(b"Binary:\n")
    lines = head.decode("ascii").splitlines()
    count = next(int(line.split(":")[1]) for line in lines if line.startswith("No. Variables"))
    start = lines.index("Variables:") + 1
    names = [line.split()[1] for line in lines[start : start + count]]
    values = np.frombuffer(body, np.float64)[-count:]
    return dict(zip(names, map(float, values), strict=True))
