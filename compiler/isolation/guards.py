"""What a short of a wire may have opened: the fuses, breakers and fusible links that feed it, next in front of it."""

from __future__ import annotations

from functools import cached_property

from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.circuit.potentials import JOINED
from compiler.model.items import Behaviour

# No resistor: behind one a short takes too little to open anything.
_PASSING = frozenset({Behaviour.CONTACT, Behaviour.DIODE, Behaviour.DRIVER}) | JOINED
_FEW = 3  # devices that a sentence names
_DONE = {"breaker": "Reset {} if it has opened.", "fuse": "Renew {} if it has opened."}


class Guards:
    """The protective devices of one graph by the wires that they feed."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph

    @cached_property
    def of(self) -> dict[str, tuple[tuple[str, str], ...]]:
        """Wire -> kind and id of each device that feeds it, in the order of the source; wires that none feeds are not
        there."""
        feeds = Feeds(self.graph)
        potentials = feeds.potentials
        loads = {protection.edge: potentials.of[protection.load] for protection in feeds.protections}
        shut = {*loads.values(), *feeds.always_grounded}
        found: dict[str, dict[tuple[str, str], None]] = {}
        for protection in feeds.protections:
            for potential in potentials.reach([loads[protection.edge]], _PASSING, closed=shut):
                for wire in potentials.wires[potential]:
                    found.setdefault(wire.id, {})[protection.part.kind, protection.device.id] = None
        return {wire: tuple(devices) for wire, devices in found.items()}

    def __call__(self, wire: str) -> str:
        """What is left to do once a short of a wire is mended, as sentences that begin with a space; empty where no
        device feeds it."""
        devices = self.of.get(wire, ())
        if len(devices) > _FEW:
            return " Renew the fuse that it has opened."
        told: dict[str, list[str]] = {}
        for kind, name in devices:
            words = f"{kind.replace('fusible-link', 'fusible link')} {name}"
            told.setdefault(_DONE.get(kind, _DONE["fuse"]), []).append(words)
        return "".join(f" {words.format(' or '.join(names))}" for words, names in told.items())
