"""Trees put in order for print: what several charts have in common is drawn once, and the others refer to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from hashlib import blake2b
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

from renderers.isolation.trees import Made
from renderers.text import anchor

if TYPE_CHECKING:
    from compiler.isolation.types import Complaint, Group, Node, Suspect, Tree

_WORTH_TURNING_TO = 3  # steps that another chart must have for a reference to be better than to print them again


class Place(NamedTuple):
    """A step or a cause of a chart (by id and title): its anchor, and its name there (`step 4`, `cause B`)."""

    chart: str
    title: str
    anchor: str
    name: str


@dataclass(frozen=True)
class Drawn:
    """One chart.

    id          its anchor
    complaints  what it is for; more than one where the trees are the same
    steps       nodes that are its own steps, in order; their numbers are 1, 2 ...
    causes      its own causes: groups of the tree that no test of the chart parts, in order; named A, B ...
    to          where each node of its own steps' answers leads, and node 0 itself
    home        where each group of the tree is named as a cause, in this chart or another
    """

    id: str
    complaints: tuple[Complaint, ...]
    tree: Tree
    steps: tuple[Node, ...]
    causes: tuple[tuple[Group, ...], ...]
    to: dict[int, Place]
    home: dict[int, Place]

    @property
    def title(self) -> str:
        return self.complaints[0].title

    def cause_place(self, number: int) -> Place:
        """The place of one of its own causes."""
        return cause_place(self.id, self.title, number)


def cause_place(chart: str, title: str, number: int) -> Place:
    letters = letters_of(number)
    return Place(chart, title, anchor("cause", f"{chart} {letters}"), f"cause {letters}")


def drawn(found: Iterable[Made]) -> list[Drawn]:
    """Charts of all trees that have something in them, in order."""
    charts: list[Drawn] = []
    at: dict[str, Place] = {}
    whole: dict[str, int] = {}
    for one in found:
        if one.tree is None or not one.tree.nodes:
            continue
        marks = _marks(one.tree)
        same = whole.get(marks[0])
        if same is not None:
            other = charts[same]
            charts[same] = replace(other, complaints=(*other.complaints, one.complaint))
            continue
        whole[marks[0]] = len(charts)
        name = _name(one.complaint, {chart.id for chart in charts})
        charts.append(_Drawing(name, one.complaint, one.tree, marks, at).chart())
    return charts


def _name(complaint: Complaint, taken: set[str]) -> str:
    """An anchor for a chart. Titles may differ in what their ids leave out, or have nothing that an id holds."""
    names = (anchor("chart", f"{complaint.id}{f' {number}' if number > 1 else ''}") for number in count(1))
    return next(name for name in names if name not in taken)


class _Drawing:
    """Draws one chart. `at` says where sub-trees already stand, by their mark, and learns of those of this one."""

    def __init__(self, name: str, complaint: Complaint, tree: Tree, marks: list[str], at: dict[str, Place]) -> None:
        self.id, self.complaint, self.tree, self.marks, self.at = name, complaint, tree, marks, at
        self.sizes = _sizes(tree)
        self.group_of = {s.number: n for n, group in enumerate(tree.groups) for s in group.suspects}
        self.steps: list[Node] = []
        self.causes: dict[tuple[int, ...], Place] = {}
        self.to: dict[int, Place] = {}
        self.home: dict[int, Place] = {}

    def chart(self) -> Drawn:
        self._visit(0)
        for node in self.tree.nodes:
            self._find_home(node)
        for node in self.steps:
            self.at.setdefault(self.marks[node.number], self.to[node.number])
        groups = tuple(tuple(self.tree.groups[n] for n in numbers) for numbers in self.causes)
        return Drawn(self.id, (self.complaint,), self.tree, tuple(self.steps), groups, self.to, self.home)

    def _visit(self, number: int) -> None:
        if number in self.to:
            return
        node = self.tree.nodes[number]
        if node.test is None:
            self.to[number] = self._cause(node)
            return
        known = self.at.get(self.marks[number])
        if known is not None and self.sizes[number] >= _WORTH_TURNING_TO:
            self.to[number] = known
            return
        self.steps.append(node)
        place = len(self.steps)
        self.to[number] = Place(self.id, self.complaint.title, anchor("step", f"{self.id} {place}"), f"step {place}")
        for answer in node.answers:
            self._visit(answer.node)

    def _groups(self, leaf: Node) -> tuple[int, ...]:
        return tuple(dict.fromkeys(self.group_of[n] for n in leaf.suspects))

    def _cause(self, leaf: Node) -> Place:
        key = self._groups(leaf)
        if key not in self.causes:
            self.causes[key] = cause_place(self.id, self.complaint.title, len(self.causes))
        return self.causes[key]

    def _find_home(self, leaf: Node) -> None:
        if leaf.test is None and leaf.number in self.to:
            for group in self._groups(leaf):
                self.home.setdefault(group, self.to[leaf.number])


def letters_of(number: int) -> str:
    """Letters that count: A to Z, then AA, AB ..."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _sizes(tree: Tree) -> list[int]:
    """How many steps hang on each node, itself included."""
    sizes = [0] * len(tree.nodes)
    for node in _upwards(tree):
        sizes[node.number] = 1 + sum(sizes[a.node] for a in node.answers) if node.test else 0
    return sizes


def _marks(tree: Tree) -> list[str]:
    """For each node a text that is the same for nodes, of whatever trees, from which on everything printed is the
    same."""
    marks = [""] * len(tree.nodes)
    for node in _upwards(tree):
        if node.test is None:
            parts = [_said(tree.suspects, n) for n in node.suspects]
        else:
            parts = [repr((node.test.words, node.test.place, node.test.settings, node.count))]
            parts += [f"{a.reading!r} {a.good} {marks[a.node]}" for a in node.answers]
        if node.test is None and not node.number:
            parts.append(repr(tree.confirm))
        marks[node.number] = blake2b("\n".join(parts).encode("utf-8", "surrogatepass"), digest_size=16).hexdigest()
    return marks


def _said(suspects: tuple[Suspect, ...], number: int) -> str:
    return f"{suspects[number].says} | {suspects[number].repair}"


def _upwards(tree: Tree) -> list[Node]:
    """The nodes in an order in which what follows a node comes before it."""
    done: list[Node] = []
    seen: set[int] = set()
    waiting = [(0, False)]
    while waiting:
        number, opened = waiting.pop()
        if opened:
            done.append(tree.nodes[number])
        elif number not in seen:
            seen.add(number)
            waiting.append((number, True))
            waiting += [(answer.node, False) for answer in tree.nodes[number].answers]
    return done
