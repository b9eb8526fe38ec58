"""Wire colour tables, and reading of a colour as an author writes it, such as ``BK/WH`` or ``VT*``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Literal

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade
from compiler.standards.swatches import colour_word, is_dark, swatches

Reason = Literal[
    "unknown-code", "ambiguous-code", "joined-code", "same-tracer", "no-standard-tracer", "malformed"
]

_CODE = re.compile(r"[^\W\d_][^\W_]*")  # a letter, then letters and digits


class ColourError(ValueError):
    """A colour that cannot be read.

    ``text`` is the part at fault, ``suggestion`` words for a mend, ``says`` a sentence.
    """

    def __init__(self, reason: Reason, text: str, suggestion: str | None = None, says: str = "") -> None:
        super().__init__(reason, text, suggestion, says)
        self.reason: Reason = reason
        self.text = text
        self.suggestion = suggestion
        self.says = says or f"{reason}: {text!r}"

    def __str__(self) -> str:
        return self.says


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour of a table. ``rgb`` and ``stripe`` (second colour of green-and-yellow) are ``#RRGGBB``."""

    code: str
    name: str
    rgb: str
    dark: bool
    """Whether white text on a swatch of it reads better than black text."""
    stripe: str | None = None

    @classmethod
    def of(cls, code: str, name: str, rgb: str) -> Colour:
        """A colour declared in source.

        Raises ValueError if ``rgb`` is not ``#RRGGBB`` or the code not a plain word.
        """
        if not _CODE.fullmatch(code):
            raise ValueError(f"{code!r} cannot be a colour code: a letter, then letters and digits")
        return cls(code, name, rgb.upper(), is_dark(rgb))


@dataclass(frozen=True, slots=True)
class WireColour:
    """The colour of a wire. Two that look alike are equal, however written."""

    base: Colour
    tracer: Colour | None = None
    second: Colour | None = None
    standard: bool = field(default=False, compare=False)
    """Written with a star: the tracer is the standard one of the table."""

    @property
    def code(self) -> str:
        """Canonical code with every tracer written out: ``VT/WH`` also for ``VT*``."""
        return "/".join(colour.code for colour in (self.base, self.tracer, self.second) if colour)

    @property
    def name(self) -> str:
        """In words: ``black with white tracer``."""
        if self.tracer is None:
            return self.base.name
        if self.second is None:
            return f"{self.base.name} with {self.tracer.name} tracer"
        return f"{self.base.name} with {self.tracer.name} and {self.second.name} tracers"

    def __str__(self) -> str:
        return f"{self.base.code}*" if self.standard else self.code


@dataclass(frozen=True, slots=True)
class ColourTable:
    """A set of colour codes.

    Mappings are read only by agreement; they are plain dicts so that a table can be pickled.
    """

    name: str
    title: str
    source: str
    colours: Mapping[str, Colour]
    """By canonical code, in table order."""
    tracers: Mapping[str, str] = field(default_factory=dict)
    """Standard tracer of a base, both by canonical code: what ``VT*`` means."""
    joined_order: tuple[str, ...] = ()
    """Codes in the order in which the standard joins them."""
    grade: Grade | None = None
    """None for a table declared in source."""
    notes: tuple[str, ...] = ()
    aliases: Mapping[str, str] = field(default_factory=dict)
    ambiguous: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Codes refused because they are read in several ways, and the codes that can be meant."""
    _folded: Mapping[str, str] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        folded = {alias.casefold(): code for alias, code in self.aliases.items()}
        folded.update((code.casefold(), code) for code in self.colours)
        object.__setattr__(self, "_folded", folded)

    def __hash__(self) -> int:
        return hash((self.name, self.joined_order))

    def find(self, code: str) -> Colour:
        """The colour of one code, upper or lower case.

        Raises ColourError: unknown, ambiguous, joined or malformed.
        """
        canonical = self._folded.get(code.casefold())
        if canonical is None:
            raise _unreadable(code, self)
        return self.colours[canonical]

    def extended(
        self, name: str, title: str, colours: Iterable[Colour] = (), tracers: Mapping[str, str] | None = None
    ) -> ColourTable:
        """A table declared in source on the base of this one; a colour of the same code replaces the base's.

        Raises ColourError when a tracer names an unknown code or the base itself, and ValueError when one
        code is declared twice (upper and lower case count as the same).
        """
        added: dict[str, Colour] = {}
        for colour in colours:
            if added.setdefault(colour.code.casefold(), colour) is not colour:
                raise ValueError(f"colour {colour.code} is declared twice in {name}")
        merged: dict[str, Colour] = {}
        replaced: dict[str, str] = {}
        for code, old in self.colours.items():
            new = added.pop(code.casefold(), old)
            merged[new.code] = new
            replaced[code] = new.code
        declared = {colour.code.casefold() for colour in added.values()}
        merged.update((colour.code, colour) for colour in added.values())
        table = ColourTable(
            name,
            title,
            f"declared in source, on {self.title}",
            merged,
            {replaced[base]: replaced[tracer] for base, tracer in self.tracers.items()},
            tuple(merged),
            aliases={a: replaced[c] for a, c in self.aliases.items() if a.casefold() not in declared},
            ambiguous={
                a: tuple(replaced[c] for c in meant)
                for a, meant in self.ambiguous.items()
                if a.casefold() not in declared
            },
        )
        settled = dict(table.tracers)
        for base_text, tracer_text in (tracers or {}).items():
            base, tracer = table.find(base_text), table.find(tracer_text)
            if base is tracer:
                raise _same_tracer(f"{base_text} {tracer_text}", base)
            settled[base.code] = tracer.code
        return replace(table, tracers=settled)


def builtin_tables() -> tuple[str, ...]:
    """Names of the built-in tables."""
    return _data.names("colours")


@cache
def builtin_table(name: str) -> ColourTable:
    """A built-in table. Raises KeyError with the known names."""
    if name not in builtin_tables():
        raise KeyError(f"no built-in colour table {name!r}; there are {', '.join(builtin_tables())}")
    data = _data.load(f"colours/{name}")
    known = swatches()
    colours: dict[str, Colour] = {}
    for code, word in data["codes"].items():
        swatch = known[word]
        colours[code] = Colour(code, swatch.name, swatch.rgb, swatch.dark, swatch.stripe)
    return ColourTable(
        name,
        data["title"],
        data["source"],
        colours,
        joined_order=tuple(colours),
        grade=as_grade(data["grade"]),
        notes=tuple(data.get("notes", ())),
        aliases=data.get("aliases", {}),
        ambiguous={code: tuple(meant) for code, meant in data.get("ambiguous", {}).items()},
    )


def read_colour(text: str, table: ColourTable) -> WireColour:
    """The wire colour written as ``base``, ``base/tracer``, ``base/tracer/second`` or ``base*``.

    Raises ColourError; its ``reason`` tells an unknown, ambiguous or joined code, a tracer that cannot be
    seen, a star without a standard tracer, and a form that is none of the four.
    """
    return _read(text, table)


@lru_cache(maxsize=4096)  # behind the public function, because the cache hides argument types
def _read(text: str, table: ColourTable) -> WireColour:
    written = text.strip()
    starred = written.endswith("*")
    parts = written.removesuffix("*").split("/")
    if not all(parts) or len(parts) > 3 or (starred and len(parts) > 1) or "*" in parts[-1]:
        says = f"{text!r} is not a wire colour: write base, base/tracer, base/tracer/second or base*"
        raise ColourError("malformed", text, None, says)
    base, *tracers = (table.find(part) for part in parts)
    for position, tracer in enumerate(tracers):
        if tracer in (base, *tracers[:position]):
            raise _same_tracer(text, tracer)
    if starred:
        if base.code not in table.tracers:
            says = f"{table.title} declares no standard tracer for {base.code} ({base.name})"
            raise ColourError("no-standard-tracer", written, None, says)
        tracers = [table.colours[table.tracers[base.code]]]
    return WireColour(
        base, tracers[0] if tracers else None, tracers[1] if len(tracers) > 1 else None, starred
    )


def _same_tracer(text: str, colour: Colour) -> ColourError:
    return ColourError("same-tracer", text, None, f"a {colour.name} tracer cannot be told apart in {text!r}")


def _unreadable(code: str, table: ColourTable) -> ColourError:
    """Why a code is not in a table, with the best mend that can be known."""
    for text, readings in table.ambiguous.items():
        if text.casefold() == code.casefold():
            choice = " or ".join(readings)
            return ColourError("ambiguous-code", code, choice, f"colour code {code!r} may mean {choice}")
    if "+" in code:
        says = f"{code!r} lists separate cores (IEC 60757 joins those with +), not the colours of one wire"
        return ColourError("malformed", code, None, says)
    joined = _split_joined(code, table)
    if joined:
        mend = "/".join(joined) if len(joined) == len(set(joined)) <= 3 else None
        if mend and len(joined) == 2:
            mend += " or " + "/".join(reversed(joined))
        says = f"{code!r} joins codes in table order, which does not say which is base and which is tracer"
        return ColourError("joined-code", code, mend, says)
    return ColourError(
        "unknown-code", code, _nearest(code, table), f"{code!r} is not a colour code of {table.title}"
    )


def _split_joined(text: str, table: ColourTable) -> list[str]:
    """The codes that make up a joined designation, empty when it is none. Never long: no code list is."""
    if len(text) > 40:
        return []
    folded, by_fold = text.casefold(), {code.casefold(): code for code in table.colours}
    ways: list[list[str] | None] = [[]] + [None] * len(folded)
    for end in range(1, len(folded) + 1):
        for start in range(end):
            before, code = ways[start], by_fold.get(folded[start:end])
            if before is not None and code is not None and (ways[end] is None or start == 0):
                ways[end] = [*before, code]
    return ways[-1] or []


def _nearest(code: str, table: ColourTable) -> str | None:
    """Did you mean: by the colour's word, its code in another built-in table, swapped letters, spelling."""
    words = {colour_word(code)}
    folded = code.casefold()
    for other in map(builtin_table, builtin_tables()):
        read_as = [other._folded[folded]] if folded in other._folded else []
        read_as += [c for text, many in other.ambiguous.items() if text.casefold() == folded for c in many]
        words.update(other.colours[c].name for c in read_as)
    meant = [colour.code for colour in table.colours.values() if colour.name in words]
    if meant:
        return " or ".join(meant)
    swapped = table._folded.get(folded[::-1])
    if swapped:
        return swapped
    from difflib import get_close_matches

    near = get_close_matches(folded, table._folded, n=1, cutoff=0.65)
    return table._folded[near[0]] if near else None
