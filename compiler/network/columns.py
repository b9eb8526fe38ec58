"""The branches of a network as arrays, and which of them are there in a state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from compiler.network.elements import Sort

if TYPE_CHECKING:
    from compiler.network.chains import Rest
    from compiler.network.elements import Condition
    from compiler.network.network import Network

Reals: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
Numbers: TypeAlias = NDArray[np.int64]


class Columns:
    """Arrays over the branches of a network, or over some of them and what stands for the others (`limited`).

    a, b       potentials at the two ends
    ohm, cold  resistance with the power on and off, ohm
    volts      electromotive force or forward voltage
    source, diode, ideal
               which branches are sources, diodes, sources without resistance
    powered    which are there only under power
    plain      which are resistances that nothing moves: no contacts, coils, fuses with a rating
    windings   places of coils, with `pull_in_v` and `drop_out_v`
    index      branch -> its place in the columns; of a limited network not the same
    number     place in the columns -> branch, -1 for what stands for several
    fuses      places of fuses and breakers with a rating, `opens_a` the current in A at which each is sure to open
    """

    def __init__(self, network: Network) -> None:
        rows = network.branches
        of = np.asarray(network.of, dtype=np.int64)
        count = len(rows)
        self.a: Numbers = of[np.fromiter((row.a for row in rows), np.int64, count)] if count else of[:0]
        self.b: Numbers = of[np.fromiter((row.b for row in rows), np.int64, count)] if count else of[:0]
        elements = [row.element for row in rows]
        self.ohm: Reals = np.fromiter((e.ohm for e in elements), np.float64, count)
        self.cold: Reals = np.fromiter((e.cold_ohm or e.ohm for e in elements), np.float64, count)
        self.volts: Reals = np.fromiter((e.volts for e in elements), np.float64, count)
        sort = np.fromiter((e.sort for e in elements), np.int64, count)
        self.source: Flags = sort == Sort.SOURCE
        self.diode: Flags = sort == Sort.DIODE
        self.ideal: Flags = self.source & (self.ohm == 0)
        self.powered: Flags = np.fromiter((e.powered for e in elements), np.bool_, count)
        limit = network.world.value("protection", "opens_at")
        self.fuses: Numbers = np.fromiter(network.ratings, np.int64, len(network.ratings))
        self.opens_a: Reals = limit * np.fromiter(network.ratings.values(), np.float64, len(network.ratings))
        coils = network.coils
        self.windings: Numbers = np.fromiter((coil.branch for coil in coils), np.int64, len(coils))
        self.pull_in_v: Reals = np.fromiter((coil.pull_in_v for coil in coils), np.float64, len(coils))
        self.drop_out_v: Reals = np.fromiter((coil.drop_out_v for coil in coils), np.float64, len(coils))
        self.index: Numbers = np.arange(count)
        self.number: Numbers = self.index
        self._when = _When([(n, rows[n].element.when) for n in network.conditional])
        self._always: Flags = np.ones(count, np.bool_)
        self._always[network.conditional] = False
        self.plain: Flags = self._always & (sort == Sort.RESISTANCE) & ~self.powered & np.isfinite(self.ohm)
        self.plain[self.fuses] = self.plain[self.windings] = False

    def limited(self, rest: Rest, of: Numbers) -> Columns:
        """The columns of some branches, and after them of resistances that stand for the others; `of` numbers the
        potentials anew."""
        kept, count = rest.kept, len(rest.a)
        none, all_ = np.zeros(count, np.bool_), np.ones(count, np.bool_)
        other = copy(self)
        other.a, other.b = np.concatenate([of[self.a[kept]], rest.a]), np.concatenate([of[self.b[kept]], rest.b])
        other.ohm, other.cold = np.concatenate([self.ohm[kept], rest.ohm]), np.concatenate([self.cold[kept], rest.cold])
        other.volts = np.concatenate([self.volts[kept], np.zeros(count)])
        other.source, other.diode, other.ideal, other.powered = (
            np.concatenate([column[kept], none]) for column in (self.source, self.diode, self.ideal, self.powered)
        )
        other.plain, other._always = (np.concatenate([column[kept], all_]) for column in (self.plain, self._always))
        other.windings, other.fuses = rest.place[self.windings], rest.place[self.fuses]
        other._when = self._when.moved(rest.place)
        other.index, other.number = rest.place, np.concatenate([kept, np.full(count, -1)])
        return other

    def present(self, positions: Mapping[str, str], *, power: bool = True) -> Flags:
        """Which branches are there with everything in `positions`; without power, sources and outputs are not."""
        found = self._always.copy()
        self._when.fill(found, positions)
        if not power:
            found &= ~self.powered
        return found


class _When:
    """Branches that are there under conditions. Each condition is looked at once, however many branches share it."""

    def __init__(self, rows: Sequence[tuple[int, tuple[Condition, ...]]]) -> None:
        places: dict[Condition, int] = {}
        single = [(n, places.setdefault(when[0], len(places))) for n, when in rows if len(when) == 1]
        several = [(n, [places.setdefault(c, len(places)) for c in when]) for n, when in rows if len(when) > 1]
        self._conditions = list(places)
        self._numbers: Numbers = np.asarray([n for n, _ in single], dtype=np.int64)
        self._of: Numbers = np.asarray([place for _, place in single], dtype=np.int64)
        self._several = several

    def moved(self, index: Numbers) -> _When:
        """The same with other numbers of the branches."""
        other = copy(self)
        other._numbers = index[self._numbers]
        other._several = [(int(index[n]), of) for n, of in self._several]
        return other

    def fill(self, found: Flags, positions: Mapping[str, str]) -> None:
        """Say of each of these branches whether it is there."""
        held = np.asarray(
            [positions.get(subject, "") in wanted for subject, wanted in self._conditions], dtype=np.bool_
        )
        found[self._numbers] = held[self._of]
        for number, of in self._several:
            found[number] = held[of].all()
