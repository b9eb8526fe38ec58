"""A contact inside a switch or relay: the two terminals it joins, and the positions in which it is closed.

`contact 30 87 when energised`, `contact 1 5 when low high`; further terminals are joined in the same positions."""

from __future__ import annotations

from compiler.kinds.base import Kind, star
from compiler.model.items import Behaviour
from compiler.network.behaviours import contact

KIND = Kind(
    name="contact",
    title="contact",
    letter="S",
    least=2,
    most=8,
    stretches=star(Behaviour.CONTACT),
    electrics=contact,
    ratings={"current": ("current",), "resistance": ("resistance",)},
    as_device=False,
)
