"""Names from outside made legal. Whether a name is legal where it will stand is asked of the parser itself."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache

from compiler.assembly.devices import grid
from grammar.parser import parse
from grammar.source import Source
from grammar.tree import Statement, Wire, Word

LONGEST = 120  # characters of a name
_OUTSIDE = re.compile(r"[^\w.@+*/:-]+")


def _reads_back(text: str, expected: list[str]) -> bool:
    """Whether `text` is read without findings and its names, quantities left out, come out as `expected`."""
    parsed = parse(Source("name", text))
    if parsed.findings or max(map(len, expected)) > LONGEST:
        return False
    found: list[str] = []

    def as_name(word: Word) -> str:
        return word.text if word.kind == "NAME" else f"{word.kind} {word.text}"

    def visit(lines: Iterable[object]) -> None:
        for node in lines:
            if isinstance(node, Wire):
                found.extend(map(as_name, (node.label, node.a, node.b, *node.values)))
            elif isinstance(node, Statement):
                found.extend(as_name(word) for word in node.values if word.kind != "QUANTITY")
                if node.block is not None:
                    visit(node.block.lines)

    visit(parsed.tree.lines)
    return found == expected


@lru_cache(maxsize=100_000)
def is_item(name: str) -> bool:
    """Whether an item can have this id: declared, and named by a wire end."""
    text = f"splice {name}\ncomponent {name} {{ connector {name} 1 cavities }}\n"
    text += f"circuit c {{\n a {name}.1 -- {name}\n}}\n"
    return _reads_back(text, [name, name, name, "c", "a", f"{name}.1", name])


@lru_cache(maxsize=100_000)
def is_terminal(name: str) -> bool:
    """Whether a terminal or cavity can have this name: declared, listed, and named by a wire end."""
    if "." in name or name == "rest" or grid(name) is not None:
        return False
    text = f"component x {{\n connector y {{\n numbered p q {name} r\n doubled {name}\n }}\n}}\n"
    text += f"circuit c {{\n a x.{name} -- y.{name}\n}}\n"
    return _reads_back(text, ["x", "y", "p", "q", name, "r", name, "c", "a", f"x.{name}", f"y.{name}"])


@lru_cache(maxsize=100_000)
def is_listable(name: str) -> bool:
    """Whether a device can list this terminal as its own: `1A` in such a list would be a current."""
    return grid(name) is None and _reads_back(
        f"component x {{\n terminals p q {name} r\n}}\n", ["x", "p", "q", name, "r"]
    )


@lru_cache(maxsize=100_000)
def is_circuit(name: str) -> bool:
    """Whether a circuit can have this id: declared, and listed on a sheet."""
    return _reads_back(f"circuit {name}\nsheet 1 {{ circuits p q {name} r }}\n", [name, "1", "p", "q", name, "r"])


@lru_cache(maxsize=100_000)
def is_segment(name: str) -> bool:
    """Whether a wire can have this segment name."""
    return _reads_back(f"circuit c {{\n {name} a -- b\n}}\n", ["c", name, "a", "b"])


@lru_cache(maxsize=100_000)
def is_core(name: str) -> bool:
    """Whether a core of a cable can have this name."""
    if "." in name or len(name) > LONGEST:
        return False
    text = f"cable x {{ core {name} }}\ncircuit c {{\n a b -- d core x.{name}\n}}\n"
    return _reads_back(text, ["x", name, "c", "a", "b", "d"])


def is_plain_word(name: str) -> bool:
    """Whether a wire's type can be this word."""
    return len(name) <= LONGEST and _reads_back(f"circuit c {{\n a b -- d type {name}\n}}\n", ["c", "a", "b", "d"])


class Names:
    """Legal and unique names of one name space, in the order in which they are asked for."""

    def __init__(self, legal: Callable[[str], bool], reserved: Iterable[str] = ()) -> None:
        self._legal = legal
        self._taken = set(reserved)
        self._given: dict[str, str] = {}

    @property
    def taken(self) -> frozenset[str]:
        """Every name given or reserved."""
        return frozenset(self._taken)

    def settle(self, written: Iterable[str]) -> None:
        """Name all of these; those that are legal as they stand keep their names whatever their order."""
        listed = list(dict.fromkeys(written))
        for name in (*filter(self._legal, listed), *listed):
            self.name(name)

    def name(self, written: str) -> str:
        """The name for what a list calls `written`; the same for the same."""
        found = self._given.get(written)
        if found is None:
            found = self._given[written] = self.fresh(written)
        return found

    def fresh(self, written: str) -> str:
        """A name that is not taken yet, as near to `written` as can be."""
        base = written if self._legal(written) else self._mended(written)
        found, number = base, 2
        while found in self._taken or not self._legal(found):
            found = f"{base}_{number}"
            number += 1
        self._taken.add(found)
        return found

    def _mended(self, written: str) -> str:
        plain = re.sub(r"-{2,}", "-", _OUTSIDE.sub("_", written)).strip("_")[:80]
        for candidate in (plain, plain.replace(".", "_"), f"n{plain}", f"n_{re.sub(r'[^0-9A-Za-z]+', '_', plain)}"):
            if candidate and self._legal(candidate):
                return candidate
        return "x"
