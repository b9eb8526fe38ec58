"""What changed of wires: their facts and where they end; alike changes of several wires are one statement."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from compiler.changes.change import FACTS, Change, FactWords
from compiler.changes.inventory import Record
from compiler.changes.matching import text
from compiler.changes.order import natural
from compiler.changes.printed import printed
from compiler.changes.told import Told, fact_change, stated, waiver_words


@dataclass(frozen=True, slots=True)
class _One:
    """A statement about one wire, and what it has in common with others that say the same."""

    change: Change
    circuit: str
    items: tuple[str, ...]
    drawn: bool
    alike: tuple[str, ...]


def tell_wires(told: Told) -> None:
    """Statements about the wires that both issues have."""
    matched = told.matched
    groups: dict[tuple[str, ...], list[_One]] = {}
    for key in sorted(matched.pairs["wire"].items(), key=lambda pair: natural(pair[1])):
        records = matched.old.of("wire")[key[0]], matched.new.of("wire")[key[1]]
        if records[0] == records[1] and not matched.renamed:
            continue
        for one in (*_facts(told, key, records), *_ends(told, key, records)):
            groups.setdefault(one.alike, []).append(one)
    for group in groups.values():
        first = group[0]
        told.add(
            replace(
                first.change,
                old_ids=tuple(one.change.old_ids[0] for one in group),
                ids=tuple(one.change.ids[0] for one in group),
            ),
            drawn=first.drawn,
            circuits=[one.circuit for one in group],
            items=first.items,
        )


def _facts(told: Told, key: tuple[str, str], records: tuple[Record, Record]) -> Iterator[_One]:
    circuit = text(records[1], "circuit")
    for fact, words in FACTS["wire"].items():
        before, after = told.before(fact, records[0]), records[1].get(fact)
        if told.alike(fact, before, records[1]):
            continue
        if fact == "reason" and records[0].get("colour") != records[1].get("colour"):
            continue  # said with the new colour
        if isinstance(before, float) and isinstance(after, float):
            verb = "lengthened" if after > before else "shortened"
            words = words._replace(verb=verb)  # noqa: PLW2901 - of this wire alone
        old, new = printed(fact, records[0].get(fact)), printed(fact, after)
        change = stated(fact_change("wire", key, records, fact, words, old, new))
        yield _One(
            change, circuit, (), words.drawn, (change.what, words.verb, text(records[0], "circuit"), circuit, old, new)
        )
    for words, old, new in waiver_words(*records):
        change = fact_change("wire", key, records, "waiver", words, old, new)
        change = replace(change, partial=not (old and new))
        yield _One(change, circuit, (), False, (change.what, words.verb, circuit, old, new))


def _ends(told: Told, key: tuple[str, str], records: tuple[Record, Record]) -> Iterator[_One]:
    matched = told.matched
    before, after = matched.ends_now(key[0]), matched.new.ends[key[1]]
    straight, crossed = tuple(zip("ab", "ab", strict=True)), tuple(zip("ab", "ba", strict=True))
    mine, theirs = dict(zip("ab", before, strict=True)), dict(zip("ab", after, strict=True))

    def item(end: str) -> str:
        return matched.new.parted(end)[0]

    def kept(way: tuple[tuple[str, str], ...]) -> int:
        """How well the ends agree when they are paired so: the same place counts most, the same thing some."""
        return sum(4 * (mine[a] == theirs[b]) + (item(mine[a]) == item(theirs[b])) for a, b in way)

    for a, b in crossed if kept(crossed) > kept(straight) else straight:
        old, new = text(records[0], a), text(records[1], b)
        if mine[a] == theirs[b] or matched.end_now(old) == new:
            continue
        place = item(theirs[b])
        if item(mine[a]) == place:
            noun = "cavity" if item(new) in matched.new.of("connector") else "terminal"
            fact, words = "cavity", FactWords(noun, f"moved to another {noun}")
        else:
            fact, words = "end", FactWords("end", "rerouted")
        change = stated(fact_change("wire", key, records, fact, words, old, new))
        yield _One(change, text(records[1], "circuit"), (place,), True, (change.what, old, new))
