"""One variant on the bench: its network with everything that several searches share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from compiler.isolation.access import Access
from compiler.isolation.case import Case
from compiler.isolation.complaints import Generic, find, of_code, of_source, slug
from compiler.isolation.guards import Guards
from compiler.isolation.policy import rules_of
from compiler.isolation.region import Regions
from compiler.isolation.rows import Ledger, Sound
from compiler.isolation.types import Complaint, Observation, Settings
from compiler.network.flows import Flows
from compiler.network.network import Network
from compiler.network.state import state_of

_LEDGERS = 8  # ledgers of limited networks that are kept
_WHOLE = 4_000  # branches up to which the network is taken as it is


class Bench:
    """The bench of a variant. `policy` are the settings of its project.

    Raises ValueError for a policy value that cannot be used.
    """

    def __init__(
        self, network: Network, policy: Mapping[str, object] | None = None, flows: Flows | None = None
    ) -> None:
        self.network = network
        self.rules = rules_of(policy or {})
        self.sound = Sound(network)
        self.ledger = Ledger(self.sound)
        self.regions = Regions(network)
        self.guards = Guards(network.graph)
        self.access = Access(network, self.rules)
        self.flows = flows or Flows(network)
        self.generic = Generic(network, self.flows, self.sound)
        self._cases: dict[Complaint, Case] = {}
        self._ledgers: dict[tuple[int, ...], Ledger] = {}

    @cached_property
    def source_complaints(self) -> tuple[Complaint, ...]:
        """The complaints that the source declares."""
        return tuple(of_source(s) for s in self.network.variant.scenarios if s.kind == "complaint")

    @cached_property
    def codes(self) -> tuple[Complaint, ...]:
        """The trouble codes of the source."""
        found = []
        for code in self.network.variant.trouble_codes.values():
            within = f"circuit {code.subject}" if code.about == "circuit" else code.subject
            found.append(of_code(code, self.generic.of_circuit(within)))
        return tuple(found)

    @cached_property
    def load_complaints(self) -> tuple[Complaint, ...]:
        """What every load of the variant may be complained of, as far as it makes sense for it."""
        return tuple(c for consumer in self.generic.loads() for c in self.generic.complaints(consumer))

    def complaints(self) -> tuple[Complaint, ...]:
        """Every complaint: of the source, trouble codes, then of each load."""
        return (*self.source_complaints, *self.codes, *self.load_complaints)

    def complaint(self, name: str) -> Complaint:
        """A complaint by id or title. Raises IsolationError."""
        return find(self.complaints(), name)

    def custom(
        self, settings: Iterable[tuple[str, str]], seen: Sequence[tuple[str, Sequence[str]]], title: str = ""
    ) -> Complaint:
        """A complaint of one's own: what is set, and what is seen then as subject and words.

        Raises StateError for settings that do not exist; what is seen is looked at when a search begins.
        """
        made: Settings = tuple(state_of(self.network, settings).set.items())
        observations = tuple(Observation(made, subject, tuple(words)) for subject, words in seen)
        title = title or ", ".join(map(str, observations))
        return Complaint(
            slug(title), title, made, observations, "custom", observations[0].subject if observations else ""
        )

    def ledger_of(self, branches: Iterable[int]) -> Ledger:
        """A ledger for faults in some branches: that of the network as it is, or where it is large of one whose rows of
        resistances elsewhere are drawn together. Readings are the same. The last few are kept."""
        if len(self.network.branches) <= _WHOLE:
            return self.ledger
        kept = tuple(sorted(set(branches)))
        ledger = self._ledgers.pop(kept, None) or Ledger(Sound(self.network.limited(kept)))
        self._ledgers[kept] = ledger
        while len(self._ledgers) > _LEDGERS:
            del self._ledgers[next(iter(self._ledgers))]
        return ledger

    def case(self, complaint: Complaint) -> Case:
        """The case of a complaint, kept. Raises IsolationError, PlaceError, StateError."""
        if complaint not in self._cases:
            self._cases[complaint] = Case(self, complaint)
        return self._cases[complaint]

    def forget(self) -> None:
        """Let go of the cases: where every complaint is worked through once, they would only take up memory."""
        self._cases.clear()
