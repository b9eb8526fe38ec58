"""An alternator with its regulator: output first, then field or lamp terminals; the last terminal (or `case`) is its ground.

`alternator G1 "Alternator" B+ D+ case engine 14.2 V 90 A`: B+ feeds, D+ is the charge-lamp terminal, which the regulator
takes to ground while the machine stands still."""

from __future__ import annotations

from compiler.kinds.base import Kind
from compiler.model.items import Behaviour, Stretch


def _stretches(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
    ground = terminals[-1]
    field = tuple(Stretch(t, ground, Behaviour.RESISTOR) for t in terminals[1:-1])
    return (Stretch(terminals[0], ground, Behaviour.SOURCE), *field)


KIND = Kind(
    name="alternator",
    title="alternator",
    letter="G",
    terminals=("B+", "D+", "case"),
    least=2,
    most=8,
    stretches=_stretches,
    ratings={"voltage": ("voltage",), "current": ("current",), "resistance": ("resistance",)},
    as_part=False,
)
