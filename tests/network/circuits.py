"""From a text of the language to its network and readings, for the tests of this folder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.circuit.graph import Graph
from compiler.model.variant import Variant
from compiler.network.faults import Fault
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.places import find_place
from compiler.network.settle import Settled, settle
from compiler.network.state import state_of
from compiler.network.world import World
from compiler.standards.sizes import Basis

_HERE = Path("network.loom")


def variant_of(text: str) -> Variant:
    """The model of a text in which nothing is wrong; a `variant` statement is put in front if it has none."""
    if not text.lstrip().startswith("variant"):
        text = f"variant T\n{text}"
    library = Library(Project(Path.cwd(), Settings())).with_texts({_HERE: text})
    done = assemble(library, _HERE)
    assert [finding.says for finding in done.findings] == []
    assert done.variant is not None
    assert [row.name for row in done.variant.unresolved] == []
    return done.variant


def network_of(text: str, *, temperature_c: float = 20.0, basis: Basis = "iec60228-class5") -> Network:
    variant = variant_of(text)
    return Network(Graph(variant), World(variant.header.supply_v, temperature_c, basis))


class Bench:
    """A text on the bench: settled in a state, with readings by name."""

    def __init__(
        self,
        text: str | Network,
        settings: Sequence[str] = (),
        faults: Sequence[Fault] = (),
        *,
        temperature_c: float = 20.0,
        basis: Basis = "iec60228-class5",
        thorough: bool = False,
    ) -> None:
        if isinstance(text, Network):
            self.network = text
        else:
            self.network = network_of(text, temperature_c=temperature_c, basis=basis)
        pairs = [(name, position) for name, _, position in (setting.partition("=") for setting in settings)]
        self.settled: Settled = settle(self.network, state_of(self.network, pairs), faults, thorough=thorough)
        self.meter = Meter(self.settled)

    def volts(self, name: str) -> float | None:
        """Volts at a point; of a cavity, at its first half."""
        return self.meter.volts(find_place(self.network, name).points[0])

    def halves(self, name: str) -> list[float | None]:
        return [self.meter.volts(point) for point in find_place(self.network, name).points]

    def across(self, name: str) -> float:
        """Volts across the first branch of a place, without sign."""
        value = self.meter.across(find_place(self.network, name).branches[0])
        assert value is not None
        return abs(value)

    def amperes(self, name: str) -> float:
        """Amperes through the first branch of a place, in the direction of its terminals or of the wire as written."""
        return self.meter.amperes(find_place(self.network, name).branches[0])

    @property
    def drawn(self) -> float:
        """What the sources give together, A."""
        problem = self.settled.solution.problem
        return float(-self.settled.solution.currents[problem.source & problem.there].sum())


def resistors(source: str, *, size: str = "1000 mm2", length: str = "1 mm", **parts: str) -> str:
    """A network of ideal wires: `source` are declarations of sources, each part `"NODE NODE DECLARATION"`.

    Nodes are splices; node `0` is the ground. Wires are as good as none, unless a size and length is given.
    """
    lines = [source.strip()]
    wires: list[str] = []
    nodes: dict[str, None] = {}
    for name, words in parts.items():
        a, b, declaration = words.split(" ", 2)
        if declaration != "-":
            kind, rest = declaration.split(" ", 1)
            lines.append(f"{kind} {name} {rest}")
        first, second = ("+", "-") if name.startswith("BT") else ("1", "2")
        for terminal, node in ((first, a), (second, b)):
            nodes[node] = None
            wires.append(f"{name}.{terminal} -- N{node}  {length}")
    lines += [f"splice N{node}" for node in nodes]
    lines.append(f"circuit 1 {size} BK {{\n" + "\n".join(f"  A{i}  {wire}" for i, wire in enumerate(wires, 1)) + "\n}")
    return "\n".join(lines) + "\n"
