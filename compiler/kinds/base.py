"""What a device or part kind is: data, one file each, found by being in this folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from compiler.model.items import Behaviour, Stretch
from compiler.network.elements import Electrics, blocks

Stretches = Callable[[tuple[str, ...]], tuple[Stretch, ...]]


def pair(behaviour: Behaviour) -> Stretches:
    """One stretch from the first terminal to the second."""

    def build(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
        return (Stretch(terminals[0], terminals[1], behaviour),)

    return build


def star(behaviour: Behaviour) -> Stretches:
    """A stretch from the first terminal to each of the others."""

    def build(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
        return tuple(Stretch(terminals[0], other, behaviour) for other in terminals[1:])

    return build


def to_last(behaviour: Behaviour) -> Stretches:
    """A stretch from each terminal to the last one (a common)."""

    def build(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:
        return tuple(Stretch(other, terminals[-1], behaviour) for other in terminals[:-1])

    return build


def nothing(terminals: tuple[str, ...]) -> tuple[Stretch, ...]:  # noqa: ARG001 - one form for all kinds
    """No direct current between the terminals."""
    return ()


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of device or part.

    name       the word in the source
    title      what it is, in words for charts
    letter     class letter used for sorting and by default in ids (IEEE 315 letters, from memory)
    terminals  default terminal names when the source names none
    least, most  how many terminals it may have (most None: any number)
    stretches  what it does between its terminals, as far as a search needs to know
    electrics  what it does to current, in numbers
    settings   positions that it has without the source naming any; the first is the one at rest
    ratings    dimension -> names of the ratings in the order written (`power`, `power-2`)
    words      named words it knows, each followed by one name (`slot 9`)
    choices    named word -> plain words that stand for it (`type`: blade, mini ...)
    required   ratings that a check may ask for
    as_device, as_part  where it may stand
    body       extra lines its block knows (`positions`)
    default_parts  lines put in its block when the source gives none
    """

    name: str
    title: str
    letter: str = "A"
    terminals: tuple[str, ...] = ("1", "2")
    least: int = 2
    most: int | None = 2
    stretches: Stretches = nothing
    electrics: Electrics = blocks
    settings: tuple[str, ...] = ()
    ratings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    words: tuple[str, ...] = ()
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    required: tuple[str, ...] = ()
    as_device: bool = True
    as_part: bool = True
    body: tuple[str, ...] = ()
    default_parts: str = ""
    page: str = ""


COMMON_WORDS = ("slot", "case", "from", "part-number")
LOAD_RATINGS: Mapping[str, tuple[str, ...]] = {
    "power": ("power", "power-2"),
    "voltage": ("voltage",),
    "current": ("current",),
    "resistance": ("resistance", "resistance-2"),
}
