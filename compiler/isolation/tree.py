"""The whole decision tree of a complaint, for a printed chart. What is reached in several ways stands once."""

from __future__ import annotations

from hashlib import blake2b
from typing import TYPE_CHECKING

from compiler.isolation.board import Alive
from compiler.isolation.choose import Chooser
from compiler.isolation.outcomes import choice_of
from compiler.isolation.search import Search
from compiler.isolation.types import Answer, Complaint, Node, Tree

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.case import Case


def tree(bench: Bench, complaint: Complaint) -> Tree:
    """The decision tree of a complaint. Raises IsolationError, PlaceError, StateError."""
    search = Search.begin(bench, complaint)
    case = search.case
    grown = _Growing(case)
    if case.suspects:
        grown.grow(search.alive, 0)
    mean_tests, most_tests, mean_minutes, most_minutes = grown.figures()
    confirm = search.confirmation
    if confirm is not None:
        mean_tests = most_tests = 1
        mean_minutes = most_minutes = confirm.test.minutes + confirm.test.access_min
    return Tree(
        complaint,
        verify(complaint),
        search.related,
        case.suspects,
        search.groups,
        search.cleared,
        tuple(grown.nodes),
        (mean_tests, int(most_tests)),
        (mean_minutes, most_minutes),
        confirm,
    )


def verify(complaint: Complaint) -> str:
    """How to see the complaint, before and after the work."""
    head = ", ".join(f"{subject} to {position}" for subject, position in complaint.settings)
    seen = ", ".join(f"{o.subject} {' '.join(o.words).replace('-', ' ')}" for o in complaint.observations)
    start = f"Set {head}" if head else "Leave everything at rest"
    return f"{start}. Is it so: {seen}?" if seen else f"{start} and read the trouble code again."


class _Growing:
    def __init__(self, case: Case) -> None:
        self.case, self.board = case, case.board
        self.chooser = Chooser(case.board)
        self.nodes: list[Node] = []
        self._at: dict[tuple[Alive, int], int] = {}

    def grow(self, alive: Alive, opened: int) -> int:
        """The number of the node for some suspects left and places open. Places of no more use make no difference."""
        board = self.board
        key = (alive, opened & self.chooser.matters(alive))
        if key in self._at:
            return self._at[key]
        number = self._at[key] = len(self.nodes)
        test = self.chooser.next(alive, opened)
        groups = board.groups(alive)
        if test is None:
            left = tuple(n for group in groups for n in group)
            mark = _digest("leaf", *(self.case.suspects[n].says for n in left))
            self.nodes.append(Node(number, None, 0.0, (), left, 1, mark))  # nothing parts what is left
            return number
        choice = choice_of(self.case, test, alive, opened)
        self.nodes.append(Node(number, choice.test, choice.minutes, (), (), len(groups), ""))
        now = opened | board.opens[test]
        answers = tuple(Answer(o.reading, o.good, o.share, self.grow(o.suspects, now)) for o in choice.outcomes)
        below = (f"{a.reading.words}>{self.nodes[a.node].key}" for a in answers)
        mark = _digest(choice.test.id, f"{choice.minutes:g}", *below)
        self.nodes[number] = Node(number, choice.test, choice.minutes, answers, (), len(groups), mark)
        return number

    def figures(self) -> tuple[float, float, float, float]:
        """Mean and largest number of tests, then of minutes."""
        known: dict[int, tuple[float, float, float, float]] = {}
        if not self.nodes:
            return (0.0, 0.0, 0.0, 0.0)

        def of(number: int) -> tuple[float, float, float, float]:
            if number not in known:
                node = self.nodes[number]
                below = [(a.share, of(a.node)) for a in node.answers]
                if not below:
                    known[number] = (0.0, 0.0, 0.0, 0.0)
                else:
                    known[number] = (
                        1 + sum(share * found[0] for share, found in below),
                        1 + max(found[1] for _, found in below),
                        node.minutes + sum(share * found[2] for share, found in below),
                        node.minutes + max(found[3] for _, found in below),
                    )
            return known[number]

        return of(0)


def _digest(*words: str) -> str:
    return blake2b("\n".join(words).encode(), digest_size=8).hexdigest()
