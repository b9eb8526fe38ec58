"""What changed of everything but wires: facts that are others now, things that came, went or bear another id."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from compiler.changes.change import FACTS, OFFERED, PROTECTIVE, Action, Change, FactWords
from compiler.changes.inventory import RATING, WORD, Record, Value
from compiler.changes.matching import Matched, Side, text, texts
from compiler.changes.order import listed, natural
from compiler.changes.printed import place_text, printed, ratings_text, thing_text
from compiler.changes.told import Told, fact_change, stated, waiver_words, whole_change

# Lists whose order says nothing to the reader: told as what came and what went.
_SETS: Mapping[str, tuple[str, str]] = {
    "circuits": ("now also draws", "no longer draws"),
    "components": ("now also shows", "no longer shows"),
    "see": ("now also points to", "no longer points to"),
    "wires": ("now also twists", "no longer twists"),
    "terminals": ("terminals added", "terminals removed"),
    "spare": ("terminals now spare", "terminals no longer spare"),
    "doubled": ("cavities now doubled", "cavities no longer doubled"),
    "cavities": ("cavities added", "cavities removed"),
    "sheets": ("now also lit on sheets", "no longer lit on sheets"),
    "set": ("now also sets", "no longer sets"),
    "expect seen": ("now also expects", "no longer expects"),
    "complaint seen": ("now also sees", "no longer sees"),
}
_ORDERED = frozenset({"cavities", "terminals"})  # of these the order says something, too
_REPLACED = frozenset({"set", "seen"})  # what begins with the same word stands for the same thing
_SINGLE = {"cavities": "cavity", "terminals": "terminal"}
_CAVITIES = FactWords("cavities", "cavities changed")
_RATING = FactWords("rating", "re-rated")
_INSIDE = FactWords("inside", "changed inside")
_DRAWN_WORDS = frozenset({"operated-by", "suppression"})
_JOINS: Mapping[str, tuple[str, str]] = {
    "splice": ("now also joins", "no longer joins"),
    "ground": ("now also takes", "no longer takes"),
    "bus": ("now also feeds", "no longer feeds"),
}
_QUANTITY = re.compile(r"[\d.]+( \S+)?")
_STATES = ("spare", "plugged", "unmarked")


@dataclass(frozen=True, slots=True)
class _Pair:
    """A thing that both issues have."""

    sort: str
    key: tuple[str, str]
    old: Record
    new: Record

    def says(self, fact: str, words: FactWords, old: str, new: str) -> Change:
        return fact_change(self.sort, self.key, (self.old, self.new), fact, words, old, new)


def tell_things(told: Told, sort: str) -> None:
    """Statements about the things of a sort (any but wires; of circuits only their facts)."""
    matched = told.matched
    for key in sorted(matched.pairs[sort].items(), key=lambda pair: natural(pair[1])):
        if sort == "colour" and not any(_matters(matched, code) for code in key):
            continue
        pair = _Pair(sort, key, matched.old.of(sort)[key[0]], matched.new.of(sort)[key[1]])
        if sort != "circuit" and key[0] != key[1]:
            told.add(_renamed(pair), circuits=_circuits(matched, sort, key))
        if pair.old != pair.new or matched.renamed:
            for change, drawn in _facts(told, pair):
                told.add(_marked(change) if drawn else change, drawn=drawn, circuits=_circuits(matched, sort, key))
            _inside(told, pair)
        if sort in _JOINS:
            _joined(told, pair)
    if sort != "circuit":
        _whole(told, matched.old, sort, set(matched.pairs[sort]), "removed")
        _whole(told, matched.new, sort, set(matched.pairs[sort].values()), "added")


def _circuits(matched: Matched, sort: str, key: tuple[str, str]) -> tuple[str, ...]:
    """The circuits that a circuit or colour, a cable or twist (old id, new id) is about."""
    if sort == "colour":
        return matched.new.circuits_in.get(key[1], ())
    if sort in ("cable", "twist"):
        before = (matched.now("circuit", circuit) for circuit in _bundled(matched.old, sort, key[0]))
        return (*before, *_bundled(matched.new, sort, key[1]))
    return key[1:] if sort == "circuit" else ()


def _bundled(side: Side, sort: str, key: str) -> list[str]:
    """The circuits of the wires in a cable or twist."""
    twisted = texts(side.of(sort).get(key, {}), "wires")
    wires = side.of("wire")
    inside = [wires[one] for one in twisted if one in wires]
    if sort == "cable":
        inside = [wire for wire in wires.values() if text(wire, "core").rpartition(".")[0] == key]
    return [text(wire, "circuit") for wire in inside]


def _marked(change: Change) -> Change:
    """A change of a sheet stands on that sheet."""
    return replace(change, sheets=change.ids) if change.sort == "sheet" else change


def _renamed(pair: _Pair) -> Change:
    change = pair.says("renamed", FactWords("id", "now called"), *pair.key)
    return _marked(replace(change, action="renamed"))


def _facts(told: Told, pair: _Pair) -> Iterator[tuple[Change, bool]]:
    """Each statement, with whether a sheet shows it."""
    rekinded = told.before("kind", pair.old) != pair.new.get("kind")
    inside = not rekinded and told.before("inside", pair.old) != pair.new.get("inside")
    for fact, words in FACTS[pair.sort].items():
        if fact == "place":
            reworded = not told.alike("where", pair.old.get("where"), pair.new)
            zoned = told.before("zone", pair.old) != pair.new.get("zone")
            moved = zoned or pair.old.get("point") != pair.new.get("point")
            if moved or reworded:
                worded = pair.old.get("where") != pair.new.get("where")
                old, new = (place_text(record, worded=worded) for record in (pair.old, pair.new))
                said = words if moved else words._replace(verb="location reworded")
                # A drawing names the zone and has the words; points are for the location figures.
                yield stated(pair.says(fact, said, old, new)), words.drawn and (zoned or worded)
            continue
        if (fact == "terminals" and (inside or rekinded)) or (fact == "positions" and rekinded):
            continue
        before, after = told.before(fact, pair.old), pair.new.get(fact)
        if told.alike(fact, before, pair.new):
            continue
        if fact == "components":
            before, after = _only_named(told, pair)
        if fact == "kind":
            old, new = (", ".join(filter(None, (text(r, "kind"), ratings_text(r)))) for r in (pair.old, pair.new))
            yield pair.says(fact, words, old, new), words.drawn
        else:
            for change in _fact(pair, fact, words, before, after):
                yield change, _is_drawn(pair, fact, words)
    if not rekinded:
        yield from _ratings(pair)
    yield from _words(pair)
    for words, old, new in waiver_words(pair.old, pair.new):
        yield replace(pair.says("waiver", words, old, new), partial=not (old and new)), False
    if pair.sort == "connector":
        for change in _fact(pair, "cavities", _CAVITIES, pair.old.get("cavities"), pair.new.get("cavities")):
            yield change, False
        yield from ((change, False) for change in _states(told, pair))


def _fact(pair: _Pair, fact: str, words: FactWords, before: Value | None, after: Value | None) -> Iterator[Change]:
    """The statements that a fact is another now; of a list, what came and what went."""
    name = fact.removeprefix(WORD)
    came_verb, went_verb = _SETS.get(fact) or _SETS.get(f"{pair.sort} {fact}", ("", ""))
    mine = before if isinstance(before, tuple) else ()
    theirs = after if isinstance(after, tuple) else ()
    came = [one for one in theirs if one not in mine]
    went = [one for one in mine if one not in theirs]
    if came_verb and (came or went):
        if fact in _REPLACED:
            for old, new in _replaced(went, came):
                yield pair.says(name, words, old, new)
                went.remove(old)
                came.remove(new)
        for verb, things in ((came_verb, came), (went_verb, went)):
            if things:
                said = printed(fact, tuple(things))
                own = FactWords(_one_or_more(words.noun, things), _one_or_more(verb, things))
                old, new = ("", said) if things is came else (said, "")
                yield replace(pair.says(name, own, old, new), partial=True)
    elif before != after and (not came_verb or fact in _ORDERED):
        yield stated(pair.says(name, words, printed(fact, pair.old.get(fact)), printed(fact, after)))


def _one_or_more(said: str, things: list[str]) -> str:
    """`cavity added` where there is one."""
    first, blank, rest = said.partition(" ")
    return f"{_SINGLE.get(first, first)}{blank}{rest}" if len(things) == 1 else said


def _replaced(went: list[str], came: list[str]) -> list[tuple[str, str]]:
    """What stands in the place of what: that which alone says something of the same thing."""

    def by_subject(said: list[str]) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for one in said:
            found.setdefault(one.partition(" ")[0], []).append(one)
        return found

    before, after = by_subject(went), by_subject(came)
    pairs = ((said, after.get(subject, [])) for subject, said in before.items())
    return [(old[0], new[0]) for old, new in pairs if len(old) == len(new) == 1]


def _only_named(told: Told, pair: _Pair) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The components of a sheet, before and after, without those that only one of the two names but both draw, because
    their wires stand there."""
    old, new = told.matched.old, told.matched.new
    named = told.before("components", pair.old)
    before, after = named if isinstance(named, tuple) else (), texts(pair.new, "components")
    went = [one for one in before if one in after or pair.key[1] not in new.wired_on(one)]
    came = [one for one in after if one in before or pair.key[0] not in old.wired_on(told.item_before(one))]
    return tuple(went), tuple(came)


def _is_drawn(pair: _Pair, fact: str, words: FactWords) -> bool:
    """Whether drawings show that a fact is another now."""
    both = (pair.old, pair.new)
    if pair.sort == "device" and fact in ("word type", "size"):
        return any(text(record, "kind") in PROTECTIVE for record in both)
    if fact == "word slot":
        return any(text(record, "block") or text(record, "bus") for record in both)
    if fact == "positions":
        return texts(pair.old, fact)[:1] != texts(pair.new, fact)[:1]  # the first is the one at rest
    return words.drawn


def _ratings(pair: _Pair) -> Iterator[tuple[Change, bool]]:
    """Ratings that are others now, that are given now, and that no longer are. Drawings show the current of a fuse."""
    names = [n for n in {*pair.old, *pair.new} if n.startswith(RATING) and pair.old.get(n) != pair.new.get(n)]
    came, went = ([n for n in names if n not in record] for record in (pair.old, pair.new))
    fuse = any(text(record, "kind") in PROTECTIVE for record in (pair.old, pair.new))
    for rated in ([n for n in names if n not in (*came, *went)], came, went):
        if rated:
            said = ratings_text(pair.old, rated), ratings_text(pair.new, rated)
            yield stated(pair.says("rating", _RATING, *said)), fuse and f"{RATING}current" in rated


def _words(pair: _Pair) -> Iterator[tuple[Change, bool]]:
    """Named words of a kind that FACTS does not list."""
    known = FACTS[pair.sort]
    for name in sorted({*pair.old, *pair.new}):
        if name.startswith(WORD) and name not in known and pair.old.get(name) != pair.new.get(name):
            noun = name.removeprefix(WORD)
            words = FactWords(noun.replace("-", " "), f"{noun.replace('-', ' ')} changed")
            old, new = printed(name, pair.old.get(name)), printed(name, pair.new.get(name))
            yield stated(pair.says(noun, words, old, new)), noun in _DRAWN_WORDS


def _inside(told: Told, pair: _Pair) -> None:
    """Parts of a component, by what they are and where they stand. A sheet shows those whose wires it draws."""
    if told.before("kind", pair.old) != pair.new.get("kind"):
        return  # another kind has other insides
    old, new = _parts(told.before("inside", pair.old)), _parts(pair.new.get("inside"))
    for part in dict.fromkeys((*old, *new)):
        if old.get(part) != new.get(part):
            terminals = set(part[0].split(" ")[1:])
            wires = {wire for at, wire in told.matched.new.wires_at.get(pair.key[1], ()) if at in terminals}
            circuits = {text(told.matched.new.of("wire")[wire], "circuit") for wire in wires}
            before, after = old.get(part, ""), new.get(part, "")
            verb = _INSIDE.verb if before and after else "now also has" if after else "no longer has"
            change = pair.says("inside", _INSIDE._replace(verb=verb), before, after)
            drawn = bool(circuits) and _visible(before) != _visible(after)
            told.add(replace(change, partial=not (before and after)), drawn=drawn, circuits=circuits)


def _visible(said: str) -> tuple[str, ...]:
    """What a drawing shows of a part: what it is and where, and when it is closed; of a pin also what it is called."""
    head, _, more = said.partition(": ")
    details = more.split(", ")
    if head.startswith("pin "):
        return head, *(one for one in details if not _QUANTITY.fullmatch(one))
    return head, *(one for one in details if one.startswith(("when ", "with-")))


def _parts(inside: Value | None) -> dict[tuple[str, int], str]:
    """(part and terminals, how many such before it) -> all that is said of it."""
    found: dict[tuple[str, int], str] = {}
    for said in inside if isinstance(inside, tuple) else ():
        head = said.partition(": ")[0]
        found[head, sum(known == head for known, _ in found)] = said
    return found


def _states(told: Told, pair: _Pair) -> Iterator[Change]:
    """Cavities without a wire that are marked otherwise now, and plugs that gave way to a wire or took its place."""
    old, new = _state(told, pair.old), _state(None, pair.new)
    groups: dict[tuple[str, str], list[str]] = {}
    for cavity in dict.fromkeys((*old, *new)):
        before, after = old.get(cavity, "wired"), new.get(cavity, "wired")
        # That a spare cavity is wired now is what the wire in it says.
        if before != after and ("wired" not in (before, after) or "plugged" in (before, after)):
            groups.setdefault((before, after), []).append(cavity)
    halves = texts(pair.new, "harnesses")
    for (before, after), found in groups.items():
        cavities = _by_cavity(found, halves)
        noun = f"{'cavity' if len(cavities) == 1 else 'cavities'} {' '.join(cavities)}"
        yield pair.says("cavity", FactWords(noun, noun), before, after)


def _state(told: Told | None, record: Record) -> dict[str, str]:
    """Half of a cavity (`8@body`; of a plug `8`) -> how it is marked; wired ones are not there."""
    halves = texts(record, "harnesses")
    found = {}
    for state in _STATES:
        for cavity in texts(record, state):
            name, _, half = cavity.rpartition("@") if halves and "@" in cavity else (cavity, "", "")
            for one in (half,) if half else halves or ("",):
                now = told.matched.now("harness", one) if told else one
                found[f"{name}@{now}" if one else name] = state
    return found


def _by_cavity(found: list[str], halves: tuple[str, ...]) -> list[str]:
    """`8` in the place of `8@body 8@tailgate`, where a thing holds for both halves."""
    cavities: dict[str, None] = {}
    for one in found:
        name = one.rpartition("@")[0] if halves else one
        whole = halves and all(f"{name}@{half}" in found for half in halves)
        cavities[name if whole else one] = None
    return list(cavities)


def _joined(told: Told, pair: _Pair) -> None:
    """The wires that a splice, ground or bus has gained or lost."""
    matched = told.matched
    pairs = matched.pairs["wire"]
    old = {wire for _, wire in matched.old.wires_at.get(pair.key[0], ())}
    new = {wire for _, wire in matched.new.wires_at.get(pair.key[1], ())}
    came = new - {pairs.get(wire) for wire in old}
    went = {wire for wire in old if pairs.get(wire) not in new}
    gained, lost = _JOINS[pair.sort]
    for verb, mine, theirs, wires in ((gained, "", listed(came), came), (lost, listed(went), "", went)):
        if wires:
            side = matched.new if wires is came else matched.old
            circuits = {text(side.of("wire")[wire], "circuit") for wire in wires}
            if wires is went:
                circuits = {matched.now("circuit", circuit) for circuit in circuits}
            change = pair.says("wires", FactWords("wires", verb), mine, theirs)
            told.add(replace(change, partial=True), circuits=circuits)


def _whole(told: Told, side: Side, sort: str, kept: set[str], action: Action) -> None:
    """Things that are on this side only. The plugs of a component that is new itself are told with it."""
    devices = set(told.matched.pairs["device"] if side is told.matched.old else told.matched.pairs["device"].values())
    for key in sorted(side.of(sort), key=natural):
        record = side.of(sort)[key]
        device = text(record, "device")
        if key in kept or (sort == "connector" and device in side.of("device") and device not in devices):
            continue
        if (sort == "offer" and _fitted(side, key)) or (sort == "colour" and not _matters(told.matched, key)):
            continue
        change = whole_change(sort, key, record, action, thing_text(sort, record))
        if sort == "device":
            plugs = texts(record, "connectors")
            change = replace(change, parts=tuple(("", plug) if action == "added" else (plug, "") for plug in plugs))
        if sort == "offer":
            change = replace(change, noun="offered in the line,", verb=OFFERED[action])
        sheets: set[str] | None = {key} if sort == "sheet" and action == "added" else None
        if sort == "device" and (homes := side.homes(key)):
            pairs = told.matched.pairs["sheet"]
            sheets = homes if action == "added" else {pairs[sheet] for sheet in homes if sheet in pairs}
        bundled = _bundled(side, sort, key) if sort in ("cable", "twist") else ()
        if side is told.matched.old:
            bundled = [told.matched.now("circuit", circuit) for circuit in bundled]
        told.add(change, drawn=sort != "sheet", circuits=bundled, sheets=sheets)


def _fitted(side: Side, option: str) -> bool:
    """Whether a variant has an option: that it came or went is then told of the vehicle."""
    return any(one.partition(" (")[0] == option for one in texts(side.inventory.variant, "options"))


def _matters(matched: Matched, code: str) -> bool:
    """Whether a colour is worth a word: of another table, only if a wire wears it."""
    sides = matched.old, matched.new
    one, other = (text(side.inventory.variant, "colours") for side in sides)
    return one == other or any(code in side.circuits_in for side in sides)
