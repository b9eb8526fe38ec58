"""The decision trees of a variant, made on all cores, and kept between runs as long as nothing they rest on changes."""

from __future__ import annotations

import gc
import os
import re
from collections.abc import Callable, Iterator, Sequence
from threading import Thread
from time import sleep
from typing import TYPE_CHECKING, NamedTuple

from compiler.forked import cores, forked
from renderers.coding import decoded, encoded
from renderers.store import Store, code_digest, digest

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.types import Complaint, Tree
    from compiler.model.variant import Variant

WISHES: tuple[str, ...] = ("none", "source", "loads")
"""Which charts a pack may have: none; of the source's complaints and trouble codes; these and four for each load."""
_LOOK_AFTER_S = 0.5
_WORTH_FORKING = 3  # trees for each core

# A quoted text, or a run of blanks and comments: what is left without the latter is what a source says.
_PIECE = re.compile(r'("(?:[^"\\\n]|\\.)*")|(?:\s|#[^\n]*)+')


class Made(NamedTuple):
    """What became of a complaint: its tree, or why there is none."""

    complaint: Complaint
    tree: Tree | None
    why: str = ""


def made(bench: Bench, complaints: Sequence[Complaint], store: Store, jobs: int = 1) -> tuple[Made, ...]:
    """The trees of some complaints, in their order. `jobs` are processes at most, 0 all cores."""
    from compiler.isolation.types import Tree

    keys = _keys(bench, complaints) if store.folder else [""] * len(complaints)
    found: dict[int, Made] = {}
    for place, complaint in enumerate(complaints):
        data = store.get(keys[place]) if store.folder else None
        if data is not None:
            try:
                tree, why = data.split(b"\n", 1)
                found[place] = Made(complaint, decoded(Tree, tree) if tree else None, why.decode("utf-8"))
            except ValueError:
                continue  # made anew
    missing = [place for place in range(len(complaints)) if place not in found]
    for place, one in zip(missing, _grown(bench, [complaints[n] for n in missing], jobs), strict=True):
        found[place] = one
        if store.folder:
            store.put(keys[place], b"\n".join((encoded(one.tree) if one.tree else b"", one.why.encode("utf-8"))))
    return tuple(found[place] for place in range(len(complaints)))


def said(variant: Variant) -> tuple[str, ...]:
    """What the sources of a variant say: their text without comments and blanks."""

    def kept(piece: re.Match[str]) -> str:
        return piece[1] or ("\n" if "\n" in piece[0] else " ")

    texts = ((source.name, _PIECE.sub(kept, source.text).strip()) for source in variant.sources)
    return tuple(part for pair in texts for part in pair)


def _keys(bench: Bench, complaints: Sequence[Complaint]) -> list[str]:
    variant = bench.network.variant
    world = bench.network.world
    conditions = repr((world.temperature_c, world.nominal_v, sorted(bench.rules.values.items())))
    rest = digest((code_digest(), variant.id, conditions, *said(variant)))
    return [digest(("tree", rest, repr(complaint))) for complaint in complaints]


# -- several at one time ----------------------------------------------------------------------------------------------
# Set before the processes part; they inherit it.
_work: list[Callable[[Sequence[int]], list[Made]]] = []


def _grown(bench: Bench, complaints: Sequence[Complaint], jobs: int) -> Iterator[Made]:
    from compiler.isolation.tree import tree
    from compiler.network.network import CannotSolve

    def grow(places: Sequence[int]) -> list[Made]:
        return [one(complaints[place]) for place in places]

    def one(complaint: Complaint) -> Made:
        try:
            return Made(complaint, tree(bench, complaint))
        except CannotSolve as error:
            return Made(complaint, None, str(error))
        finally:
            bench.forget()

    jobs = jobs or cores()
    together = _together(complaints)
    if jobs < 2 or len(complaints) < _WORTH_FORKING * jobs or not hasattr(os, "fork"):
        yield from (made for places in together for made in grow(places))
        gc.collect()
        return
    _work[:] = [grow]
    try:
        with forked(jobs, _begin, os.getpid()) as pool:
            for found in pool.map(_at, together):
                yield from found
    finally:
        _work.clear()


def _together(complaints: Sequence[Complaint]) -> list[list[int]]:
    """Places of complaints side by side about one load: they share what has to be solved."""
    from compiler.isolation.complaints import GENERIC

    found: list[list[int]] = []
    for place, complaint in enumerate(complaints):
        before = complaints[place - 1] if place else None
        if before is not None and complaint.sort in GENERIC and before.subject == complaint.subject:
            found[-1].append(place)
        else:
            found.append([place])
    return found


def _at(places: Sequence[int]) -> list[Made]:
    done = _work[0](places)
    gc.collect()  # the command line has switched the collector off, and a case goes round in circles
    return done


def _begin(first: int) -> None:
    """When the first process is killed, the others end."""
    Thread(target=_outlive, args=(first,), daemon=True).start()


def _outlive(first: int) -> None:
    while os.getppid() == first:
        sleep(_LOOK_AFTER_S)
    os._exit(1)
