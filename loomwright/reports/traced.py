"""A trace for a person: a way as places with what lies between, a potential as a tree that indents where it forks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TextIO

from loomwright.reports.clean import visible
from loomwright.reports.styled import Line, Piece, write_hanging

if TYPE_CHECKING:
    from compiler.circuit.trace import Leg, Step, Stop, Trace

_WIDEST = 120
_DEEPEST = 12  # forks that still indent; beyond it the lines would have no room


def write_trace(trace: Trace, out: TextIO, *, colour: bool, width: int | None) -> None:
    """Write a trace.

    colour  whether escape sequences may be used
    width   cells across the terminal, or None when `out` is none
    """
    room = None if width is None else min(max(width, 40), _WIDEST)
    write_hanging(_lines(trace), out, colour=colour, room=room, hanging=_hanging)


def _hanging(line: Line) -> int:
    return len(line[0].text) + 4 if line and not line[0].text.strip() else 4


def _lines(trace: Trace) -> Iterator[Line]:
    if trace.end is None:
        for number, leg in enumerate(trace.legs):
            if number:
                yield []
            yield from _tree(leg)
    elif not trace.legs:
        yield [Piece(visible(f"nothing joins {trace.start} and {trace.end}"))]
        return
    else:
        yield from _way(trace.legs[0])
    yield []
    yield from _sums(trace)


def _sums(trace: Trace) -> Iterator[Line]:
    count = len(trace.wires)
    told = f"{count} wire" if count == 1 else f"{count} wires"
    if count:
        told += f", {trace.length_m:g} m" if trace.length_m is not None else ", length not known"
    yield [Piece(told)]
    if trace.end is not None and trace.loads:
        loads = ", ".join(trace.loads)
        yield [Piece(visible(f"the only way passes the load of {loads}: the two places are not one circuit"), "yellow")]


# -- a way ---------------------------------------------------------------------------------------------------------
def _way(leg: Leg) -> Iterator[Line]:
    yield _place(leg.start, None)
    before = leg.start
    for step in leg.steps:
        yield [Piece("  "), Piece("| ", "dim"), *_passed(step)]
        yield _place(step.end, before)
        before = step.end


def _place(stop: Stop, before: Stop | None) -> Line:
    """A place with what it is and where; what the place before it said already is not said again."""
    line = [Piece(visible(stop.name), "bold")]
    if stop.side:
        line.append(Piece(f" {visible(stop.side)}"))
    where = _where(stop)
    if before is None or where != _where(before):
        line += where
    return line


def _where(stop: Stop) -> Line:
    words = [word for word in (stop.title, stop.place) if word]
    if stop.access_min is not None:
        words.append(f"{stop.access_min:g} min to reach")
    return [Piece(f"  {visible(', '.join(words))}", "dim")] if words else []


def _passed(step: Step) -> Line:
    """What a step passes: a wire with its colour, size, length and harness, or the inside of a device."""
    if step.wire is not None:
        size = str(step.size) if step.size else "size ?"
        length = f"{step.length_m:g} m" if step.length_m is not None else "length ?"
        facts = [step.colour or "colour ?", size, length, *([f"in {step.harness}"] if step.harness else [])]
        line = [Piece(visible(f"wire {step.wire.id}"), "cyan"), Piece(visible("  " + "  ".join(facts)))]
    else:
        inside = f" in {step.device.id}" if step.device else ""
        line = [Piece(visible((step.says or step.what.value) + inside))]
    if step.sheets:
        sheets = ("sheet " if len(step.sheets) == 1 else "sheets ") + ", ".join(step.sheets)
        line.append(Piece(f"  {visible(sheets)}", "dim"))
    return line


# -- a potential ---------------------------------------------------------------------------------------------------
def _tree(leg: Leg) -> Iterator[Line]:
    yield _place(leg.start, None)
    yield from _ends(leg.ends, 1)
    for step, forks in zip(leg.steps, forks_before(leg.steps), strict=True):
        indent = "  " * (1 + min(forks, _DEEPEST))
        again = [Piece("  again", "yellow")] if step.again else []
        place = _place(step.end, step.end if step.again else step.start)
        yield [Piece(indent), *_passed(step), Piece("  to ", "dim"), *place, *again]
        yield from _ends(step.ends, 2 + min(forks, _DEEPEST))


def _ends(ends: Sequence[str], depth: int) -> Iterator[Line]:
    for end in ends:
        yield [Piece("  " * depth), Piece(visible(f"- {end}"))]


def forks_before(steps: Sequence[Step]) -> list[int]:
    """For each step of a tree, how many forks the way from the root to it has passed."""
    parents: list[int] = []
    open_: list[int] = []  # the last step of each depth
    for index, step in enumerate(steps):
        del open_[step.depth - 1 :]
        parents.append(open_[-1] if open_ else -1)
        open_.append(index)
    children = Counter(parents)
    forks: list[int] = []
    for parent in parents:
        before = forks[parent] if parent >= 0 else 0
        forks.append(before + (1 if children[parent] > 1 and parent >= 0 else 0))
    return forks
