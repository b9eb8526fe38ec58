"""Keeping to one finding a fault: what the source says but the model does not hold cannot be called missing.

A wire whose line is broken, an item whose id was taken, an end that names nothing: each is reported where it stands.
That the cavity it belongs to has no wire, or that its lamp has no ground, only follows from it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from difflib import SequenceMatcher

from compiler.checks._ends import Ends
from compiler.model.items import Named, Point
from compiler.model.variant import Variant
from grammar.finding import Finding
from grammar.source import Span

_WORD = re.compile(r"[\w+][\w.@+*/:-]*")
_SORTED = re.compile(r"\b(?:circuit|sheet|option|zone|harness|structure|kind) [\w+][\w.@+*/:-]*")
_TITLE = re.compile(r'"([^"\\\n]+)"')
_BRACE = re.compile(r"[{}]")
# Unresolved names that leave their whole line without effect, and those that cost a device its terminals.
_BLURRING = frozenset({"kind", "part", "bus", "structure", "harness"})
_MAIMING = frozenset({"kind", "part"})
_LONGEST = 20_000


class Unread:
    """What was written and is not in the model.

    lost     every word of a line or block that could not be read -> the lines it stands on (file name and number)
    maimed   ids of items in whose statements something could not be read
    blurred  ids, ends (`C40.7`) and numbered things (`circuit 48`) of which it cannot be said that something is missing
    hopeless  nothing can be said to be missing
    """

    def __init__(self, variant: Variant, reading: tuple[Finding, ...], ends: Ends) -> None:
        self.variant = variant
        self.lost: dict[str, set[tuple[str, int]]] = defaultdict(set)
        self.blurred: set[str] = set()
        self.maimed: set[str] = set()
        for finding in reading:
            if finding.at is not None and finding.check in ("syntax", "limit"):
                self._lose(_whole(finding.at))
                self.maimed.update(item.id for item in self._around(finding.at))
        for duplicate in variant.duplicates:
            self._lose(duplicate.dropped)
        self._unresolved()
        self._adrift(ends)
        self.blurred |= self.maimed
        self.hopeless = ends.lost_count

    def __bool__(self) -> bool:
        return bool(self.lost or self.blurred or self.hopeless)

    def excuses(self, finding: Finding) -> bool:
        """Whether a finding about something missing speaks of what only could not be read."""
        if self.hopeless:
            return True
        words = set(_SORTED.findall(finding.says))
        for word in _words(finding.says):
            words.update((word, word.rpartition(".")[0]))
        return not words.isdisjoint(self.blurred)

    def holds(self, name: str, at: Span) -> bool:
        """Whether a name that stands for nothing at `at` is written in some other line that could not be read."""
        return bool(self.lost.get(name, set()) - {_line(at)})

    def _lose(self, span: Span) -> None:
        text, line, variant = span.text, _line(span), self.variant
        self.blurred.update(_SORTED.findall(text))
        for title in _TITLE.findall(text):
            self.lost[title].add(line)
        shared = {"option": variant.options, "zone": variant.zones, "harness": variant.harnesses}
        shared["structure"], shared["kind"] = variant.structures, variant.declared_kinds
        for word in _words(text):
            self.lost[word].add(line)
            sorts = [sort for sort, group in shared.items() if word in group]
            self.blurred.update(f"{sort} {word}" for sort in sorts)
            if _is_id(word) and not sorts:
                self.blurred.add(word)
                item = word.rpartition(".")[0]
                if item in variant.devices:
                    self.blurred.add(item)

    def _unresolved(self) -> None:
        conditions = {(use.at.source.name, use.at.start): use for use in self.variant.conditions}
        for name in self.variant.unresolved:
            if name.near:
                self.blurred.update((f"{name.sort} {name.near}", name.near if _is_id(name.near) else ""))
            if name.sort in _BLURRING or name.sort.startswith("half of "):
                self.blurred.update(filter(_is_id, _words(_whole(name.at).text)))
                around = {item.id for item in self._around(name.at)}
                (self.maimed if name.sort in _MAIMING else self.blurred).update(around)
            if name.sort == "option":
                for use in conditions.values():
                    if use.at.source is name.at.source and use.at.start <= name.at.start < use.at.end:
                        self._lose(use.block)

    def _adrift(self, ends: Ends) -> None:
        variant = self.variant
        for wire, end, item, terminal in ends.adrift:
            if end.problem == "not-known":
                continue
            meant = ends.guess(item)
            if ends.lost_count:
                break  # nothing will be said of what is missing
            meant = meant or self._free_place(item, terminal, wire.harness)
            self.blurred.add(end.written.text)
            self.blurred.add(f"{meant}.{terminal}" if meant in variant.connectors else meant)
            if meant in variant.connectors:
                self.blurred.add(variant.connectors[meant].device)
            other = (wire.b if end is wire.a else wire.a).point
            if other is not None and other.terminal:
                device = other.item if other.item in variant.devices else variant.connectors[other.item].device
                self.blurred.add(device or str(other))
        self.blurred.discard("")

    def _free_place(self, name: str, terminal: str, harness: str) -> str:
        """The item most like a name that stands for nothing, of those where a wire is missing at such a terminal."""
        variant = self.variant
        free: list[str] = []
        if not terminal:
            free += [s for s in variant.splices if len(variant.wires_at(Point(s, ""))) < 2]
        for connector in variant.connectors.values() if terminal else ():
            half = connector.halves.index(harness) if harness in connector.halves else 0
            if terminal in connector.cavities and not variant.wires_at(Point(connector.id, terminal, half)):
                free.append(connector.id)
        for device in variant.devices.values() if terminal else ():
            if terminal in device.terminals and not variant.wires_at(Point(device.id, terminal)):
                free.append(device.id)
        likeness = {id_: SequenceMatcher(None, name, id_).ratio() for id_ in free}
        best = max(free, key=likeness.__getitem__, default="")
        return best if best and likeness[best] >= 0.5 else ""

    def _around(self, at: Span) -> Iterator[Named]:
        """The items in whose statements a place lies."""
        for item in self.variant.items.values():
            span = item.span
            if span.source is at.source and span.start <= at.start < span.end:
                yield item


def _words(text: str) -> Iterator[str]:
    return (word.rstrip(".:") for word in _WORD.findall(text))


def _is_id(word: str) -> bool:
    """Whether a word looks like an id rather than a plain word, a number or a colour."""
    return len(word) > 1 and "/" not in word and any(letter.isupper() for letter in word)


def _line(span: Span) -> tuple[str, int]:
    return span.source.name, span.position.line


def _whole(at: Span) -> Span:
    """The lines of a place, and the block that opens on the last of them."""
    text = at.source.text
    start = text.rfind("\n", 0, at.start) + 1
    end = text.find("\n", at.end)
    end = len(text) if end < 0 else end
    depth = 0
    for match in _BRACE.finditer(text, start, min(len(text), start + _LONGEST)):
        if match.start() >= end and not depth:
            break
        depth = max(0, depth + (1 if match[0] == "{" else -1))
        end = max(end, match.end())
    return Span(at.source, start, end)
