"""A fusible link: a length of thinner wire that melts first. Size and length; terminal 1 the feed side."""

from __future__ import annotations

from compiler.kinds.base import Kind, pair
from compiler.model.items import Behaviour

KIND = Kind(
    name="fusible-link",
    title="fusible link",
    letter="FL",
    stretches=pair(Behaviour.PROTECTION),
    ratings={"size": ("size",), "length": ("length",), "current": ("current",)},
    words=("colour",),
)
