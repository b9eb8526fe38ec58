"""Related symptoms: loads that share fuse, feed, relay or ground with the one complained of; a look needs no tool."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from compiler.isolation.board import Alive
from compiler.isolation.catalogue import Catalogue, Entry, looks
from compiler.isolation.outcomes import choice_of
from compiler.isolation.types import Related, Settings
from compiler.isolation.words import WORKS
from compiler.model.items import Behaviour

if TYPE_CHECKING:
    from compiler.isolation.case import Case

VISIBLE = frozenset("lamp headlamp led motor horn buzzer starter gauge".split())
"""Kinds of load that a person sees or hears working at once."""
_NAMED = 4  # parts named before `and more`
_BY_HAND = frozenset(("", "hand", "rotary", "key", "pedal", "push", "door", "gear"))


def related_looks(case: Case, make: Catalogue) -> list[Entry]:
    """A look at each related load worth it: one for each set of shared suspects, those that share most first."""
    bench = case.bench
    weights: dict[int, float] = {}
    for suspect in case.suspects:
        branch = suspect.fault.branch
        weights[branch] = weights.get(branch, 0.0) + suspect.weight
    observed = {o.subject for o in case.complaint.observations} | {case.complaint.subject}
    best: dict[frozenset[int], tuple[int, float, Settings, str, int]] = {}
    for consumer in bench.generic.loads():
        if consumer.part.kind not in VISIBLE:
            continue
        subject = bench.generic.subject(consumer)
        shared = frozenset(weights.keys() & {*consumer.feed, *consumer.back})
        if not subject or subject in observed or not shared or consumer.device.id in observed:
            continue
        settings = bench.generic.adapted(case.settings, consumer)
        if not all(_settable(case, subject) for subject, _ in set(settings) - set(case.settings)):
            continue
        if bench.generic.share(settings, consumer) < WORKS[0]:
            continue
        changes = sum(1 for setting in settings if setting not in case.settings)
        found = (changes, -sum(weights[n] for n in shared), settings, subject, consumer.branch)
        if shared not in best or found[0] < best[shared][0]:
            best[shared] = found
    ranked = sorted(best.values(), key=lambda row: (row[1], row[0]))
    states: list[Settings] = [case.settings]
    entries: list[Entry] = []
    for _, _, settings, subject, branch in ranked:
        if settings not in states:
            if len(states) > case.rules("limits", "related_states"):
                continue
            states.append(settings)
        if len(entries) >= case.rules("limits", "related"):
            break
        entries.append(_look(case, make, branch, settings, subject))
    return entries


def _settable(case: Case, subject: str) -> bool:
    """Whether a person can set it: a switch, and not one that pressure or heat moves."""
    device = case.network.variant.devices.get(subject)
    return device is not None and device.kind == "switch" and device.word("operated-by") in _BY_HAND


def _look(case: Case, make: Catalogue, branch: int, settings: Settings, subject: str) -> Entry:
    changed = [f"{name} {position}" for name, position in settings if (name, position) not in case.settings]
    kind = case.network.branches[branch].owner
    question = looks(getattr(kind, "kind", ""))
    words = f"Set {', '.join(changed)}. {subject}: {question}?" if changed else f"{subject}: {question}?"
    extra = f" @ {' '.join(c.replace(' ', '=') for c in changed)}" if changed else ""
    return make.look(branch, settings, subject, words, extra)


def shared_parts(case: Case, branch: int) -> tuple[str, ...]:
    """What a load shares with the suspects, in words, each part once: fuses, grounds, relays and switches first."""
    network = case.network
    suspected = {suspect.fault.branch for suspect in case.suspects}
    consumer = next((c for c in case.bench.flows.consumers if c.branch == branch), None)
    if consumer is None:
        return ()
    rank = {Behaviour.PROTECTION: 0, Behaviour.STRUCTURE: 1, Behaviour.CONTACT: 2, Behaviour.COIL: 2}
    shared = [n for n in (*reversed(consumer.feed), *reversed(consumer.back)) if n in suspected]
    shared.sort(key=lambda n: rank.get(network.branches[n].role, 3))
    return tuple(dict.fromkeys(network.place(n) for n in shared))


def related(case: Case, looks_: Sequence[Entry], alive: Alive) -> tuple[Related, ...]:
    """Looks as related symptoms: what is shared, what a sound vehicle does, what each answer would tell."""
    found = []
    for entry in looks_:
        number = case.board.number[entry.test.id]
        tells = []
        outcomes = choice_of(case, number, alive, 0).outcomes if alive else ()
        for outcome in outcomes:
            parts = list(dict.fromkeys(case.suspects[n].part for n in outcome.suspects))
            more = f" and {len(parts) - _NAMED} more" if len(parts) > _NAMED else ""
            tells.append((outcome.reading.words, f"leaves {', '.join(parts[:_NAMED])}{more}"))
        if len(outcomes) > 1:
            shares = shared_parts(case, entry.branch)[:_NAMED]
            found.append(Related(entry.test, shares, entry.test.sound.words, tuple(tells)))
    return tuple(found)
