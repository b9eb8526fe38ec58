"""Numbers of pages found for parts that print them: set, look where things stand, set again until nothing moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from renderers.coding import decoded, encoded
from renderers.store import Store
from renderers.writers.print_engine import Extent, Part, PrintError, Setting
from renderers.writers.print_join import Place, places_of
from renderers.writers.print_workers import Task, Workers

Numbers = Mapping[str, str]

# A page that is not known yet has a number of three figures: all figures are of one width, so that most often nothing
# moves when the true one is put in.
_GUESS = "000"
# Rounds until numbers are held to one width, by spaces as wide as a figure: from then on nothing can move.
_FREE = 4
_FIGURE_SPACE = "\u2007"


def settled(parts: Sequence[Part], store: Store, workers: Workers) -> list[Setting]:
    """All parts set, the numbers of pages in them right. A part that is in the store is not set again. Raises
    PrintError."""
    setter = _Setter(store, workers)
    numbers, wide = _first(parts, setter), 0
    for turn in range(2 * _FREE):
        settings = setter.settings(parts, numbers)
        places = places_of([setting.extent for setting in settings])
        after: list[Numbers] = [{name: _page(places, name) for name in part.targets} for part in parts]
        if turn >= _FREE:
            wide = max(wide, *(len(text) for one in after for text in one.values()))
            after = [{name: text.rjust(wide, _FIGURE_SPACE) for name, text in one.items()} for one in after]
        if after == numbers:
            return settings
        numbers = after
    raise PrintError("numbers of pages do not come to rest")


def _page(places: Mapping[str, Place], name: str) -> str:
    if name not in places:
        raise PrintError(f"the page of {name} is wanted, which is nowhere in the pack")
    return str(places[name].number)


def _first(parts: Sequence[Part], setter: _Setter) -> list[Numbers]:
    """Numbers to begin with. A part that names only pages before it waits for these: so it is likely to be set once."""
    home = {name: at for at, part in enumerate(parts) for name in part.names}
    numbers: list[Numbers] = [dict.fromkeys(part.targets, _GUESS) for part in parts]
    waits = [
        at
        for at, part in enumerate(parts)
        if part.targets and all(home.get(name, len(parts)) < at for name in part.targets)
    ]
    begun = [at for at in range(len(parts)) if at not in waits]
    done = dict(zip(begun, setter.settings([parts[at] for at in begun], [numbers[at] for at in begun]), strict=True))
    while waits:
        # Of what stands before the first that waits, all is known.
        places = places_of([done[at].extent for at in range(waits[0])])
        ready = [at for at in waits if places.keys() >= set(parts[at].targets)] or waits[:1]
        for at in ready:
            numbers[at] = {name: _page(places, name) for name in parts[at].targets}
        made = setter.settings([parts[at] for at in ready], [numbers[at] for at in ready])
        done |= zip(ready, made, strict=True)
        waits = [at for at in waits if at not in ready]
    return numbers


class _Setter:
    """Sets parts, or takes them from the store."""

    def __init__(self, store: Store, workers: Workers) -> None:
        self.store = store
        self.workers = workers
        self.made: dict[str, Setting] = {}

    def settings(self, parts: Sequence[Part], numbers: Sequence[Numbers]) -> list[Setting]:
        """Each part, set with the numbers given. Raises PrintError."""
        keys = [part.key(own) for part, own in zip(parts, numbers, strict=True)]
        tasks: dict[str, Task] = {}
        for key, part, own in zip(keys, parts, numbers, strict=True):
            if key not in self.made:
                kept = self.store.get(key)
                if kept is None:
                    tasks[key] = Task(part, own)
                else:
                    self.made[key] = _read(kept)
        for key, setting in zip(tasks, self.workers.done(tasks.values()), strict=True):
            self.made[key] = setting
            self.store.put(key, _written(setting))
        return [self.made[key] for key in keys]


def _written(setting: Setting) -> bytes:
    return encoded(setting.extent) + b"\n" + setting.pdf


def _read(data: bytes) -> Setting:
    told, _, pdf = data.partition(b"\n")
    return Setting(pdf, decoded(Extent, told))
