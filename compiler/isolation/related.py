"""Related symptoms: loads that share fuse, feed, relay or ground with the one complained of; a look needs no tool."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from compiler.isolation.board import Alive
from compiler.isolation.catalogue import Catalogue, Entry, looks
from compiler.isolation.outcomes import choice_of
from compiler.isolation.types import Related, Settings
from compiler.isolation.words import WORKS
from compiler.model.items import Behaviour
from compiler.network.flows import Consumer

if TYPE_CHECKING:
    from compiler.isolation.case import Case

VISIBLE = frozenset("lamp headlamp led motor horn buzzer starter gauge heater outlet".split())
"""Kinds of load that a person sees, hears or feels working, without a meter."""
_SLOW = frozenset(("heater", "outlet"))  # a hand laid on for a minute, a lamp plugged in
_NAMED = 4  # parts named before `and more`
_BY_HAND = frozenset(("", "hand", "rotary", "key", "pedal", "push", "door", "gear"))


class Look(NamedTuple):
    """A load worth a look: its subject, and the settings in which a sound one works."""

    consumer: Consumer
    subject: str
    settings: Settings


def worth_a_look(case: Case) -> list[Look]:
    """Loads that share suspects with the complaint and work in settings that a person can make, those that share most
    first; at most twice as many as will be looked at. Whether they do work is not asked yet."""
    bench = case.bench
    weights: dict[int, float] = {}
    for suspect in case.suspects:
        branch = suspect.fault.branch
        weights[branch] = weights.get(branch, 0.0) + suspect.weight
    observed = {o.subject for o in case.complaint.observations} | {case.complaint.subject}
    found: list[tuple[float, int, frozenset[int], Look]] = []
    for consumer in bench.generic.loads():
        if consumer.part.kind not in VISIBLE:
            continue
        shared = frozenset(weights.keys() & {*consumer.feed, *consumer.back})
        if not shared or consumer.device.id in observed:
            continue
        subject = bench.generic.subject(consumer)
        if not subject or subject in observed:
            continue
        settings = bench.generic.adapted(case.settings, consumer)
        if not all(_settable(case, subject) for subject, _ in set(settings) - set(case.settings)):
            continue
        changes = sum(1 for setting in settings if setting not in case.settings)
        look = Look(consumer, subject, settings)
        found.append((-sum(weights[n] for n in shared), changes, shared, look))
    found.sort(key=lambda row: row[:2])
    once: dict[frozenset[int], list[Look]] = {}
    for _, _, shared, look in found:
        once.setdefault(shared, []).append(look)
    most = int(2 * case.rules("limits", "related"))
    return [look for looks_ in once.values() for look in looks_[:2]][:most]


def related_looks(case: Case, make: Catalogue) -> list[Entry]:
    """A look at each load worth it that does work when nothing is wrong: one for each set of shared suspects."""
    states: list[Settings] = [case.settings]
    entries: list[Entry] = []
    taken: set[frozenset[int]] = set()
    suspected = {suspect.fault.branch for suspect in case.suspects}
    for consumer, subject, settings in case.looks:
        shared = frozenset(suspected & {*consumer.feed, *consumer.back})
        if shared in taken or len(entries) >= case.rules("limits", "related"):
            continue
        if settings not in states and len(states) > case.rules("limits", "related_states"):
            continue
        if make.rows.share(settings, consumer.branch)[-1] < WORKS[0]:
            continue
        taken.add(shared)
        states += [settings] if settings not in states else []
        entries.append(_look(case, make, consumer.branch, settings, subject))
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
    rule = "look_slow" if getattr(kind, "kind", "") in _SLOW else "look"
    return make.look(branch, settings, subject, words, extra, case.rules("minutes", rule))


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
