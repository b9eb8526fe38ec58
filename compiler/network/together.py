"""Settling a state under many faults at once: those under which the same relays are in go on together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.network.columns import Numbers, Reals
from compiler.network.settle import Settling
from compiler.network.shifts import Shifts
from compiler.network.stage import Stage

if TYPE_CHECKING:
    from compiler.network.bases import Bases
    from compiler.network.faults import Fault
    from compiler.network.settle import Settled

_WORTH_IT = 3  # faults under which the same relays are in; fewer are settled one by one


class Answered(NamedTuple):
    """Rows, and where the rows of `shifts` have their readings."""

    rows: Numbers
    shifts: Shifts


class Together:
    """As `settle` for each of some faults alone, on top of those of `settled`.

    energised  the relays that are in, by row
    own        volts by potential, by row that was settled by itself
    answered   the others
    """

    def __init__(self, settled: Settled, faults: Sequence[Fault], bases: Bases) -> None:
        self._settled, self._faults, self._bases = settled, faults, bases
        self._network, self._state = settled.network, settled.state
        self.energised: dict[int, frozenset[str]] = {}
        self.own: dict[int, Reals] = {}
        self.answered: list[Answered] = []
        self._seen: dict[int, tuple[frozenset[str], ...]] = dict.fromkeys(range(len(faults)), ())
        base = Settling(self._network, self._state, settled.faults, fuses_hold=True, bases=bases)
        waiting: dict[frozenset[str], list[int]] = {base.held: list(range(len(faults)))}
        while waiting:
            now = next(iter(waiting))
            rows = waiting.pop(now)
            if len(rows) >= _WORTH_IT:
                self._step(base, now, rows, waiting)
            else:
                for row in rows:
                    self._alone(row, now)

    def _alone(self, row: int, now: frozenset[str]) -> None:
        together = [*self._settled.faults, self._faults[row]]
        settling = Settling(
            self._network, self._state, together, fuses_hold=False, bases=self._bases, home=self._settled.energised
        )
        end, _ = settling.run(now, self._seen[row])
        self.energised[row], self.own[row] = end, settling.solved(end).volts

    def _step(
        self, base: Settling, now: frozenset[str], rows: list[int], waiting: dict[frozenset[str], list[int]]
    ) -> None:
        """With these relays in, what the faults of some rows make of it: they stay so, or go on to other relays."""
        solution = base.solved(now)
        stage = Stage(self._network, solution, [self._faults[row] for row in rows])
        apart = np.isnan(solution.volts) & ~np.isnan(solution.potential)
        blown = stage.blown() >= 0
        stage.part_idle(blown)
        hard = stage.hard | blown | stage.turned() | bool(apart.any())
        volts, _ = stage.coils()
        columns, coils = self._network.columns, self._network.coils
        inside = np.asarray([coil.device in now for coil in coils], dtype=np.bool_)
        free = np.asarray([coil.device in base.scene.moving for coil in coils], dtype=np.bool_)
        moved = (volts >= np.where(inside, columns.drop_out_v, columns.pull_in_v)) & free
        moved &= solution.problem.there[columns.windings]
        known: dict[bytes, frozenset[str]] = {}
        stays: list[int] = []
        for place, row in enumerate(rows):
            if hard[place]:
                self._alone(row, now)
                continue
            key = moved[place].tobytes()
            if key not in known:
                known[key] = base.held.union(coils[n].device for n in np.flatnonzero(moved[place]).tolist())
            then = known[key]
            if then == now:
                stays.append(place)
                self.energised[row] = now
            elif then in self._seen[row] or len((then ^ now) & self._network.routes.tangled) > 1:
                self._alone(row, now)
            else:
                self._seen[row] = (*self._seen[row], now)
                waiting.setdefault(then, []).append(row)
        if stays:
            of = np.full(len(self._faults), -1, np.int64)
            of[[rows[place] for place in stays]] = stays
            self.answered.append(Answered(of, stage.shifts))
