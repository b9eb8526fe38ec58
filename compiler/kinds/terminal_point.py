"""A ring terminal, stud or eyelet at which wires end and of which the sources say no more."""

from __future__ import annotations

from compiler.kinds.base import Kind

KIND = Kind(
    name="ring-terminal",
    title="ring terminal",
    letter="E",
    terminals=("1",),
    least=1,
    most=1,
    as_part=False,
)
