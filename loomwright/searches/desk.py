"""A search with the test that lies on the desk, and what a person may type about it. Every step gives a new desk.

2                       the second of the answers shown
11.8 V                  what the meter reads; also `open`, `floating`, `yes`, `no`, or an answer in its words
volts C40.7 = 11.8 V    a reading of another test, by its id
skip                    this test cannot be done: never offer it again
test 3                  take the third of the other tests instead
seen E15 lit            something else that was seen, with things set as in the complaint
seen E15 lit with S1=run S24=open        ... or with other things set
undo                    without the last step
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from compiler.isolation.policy import IsolationError
from compiler.isolation.types import Choice, Observation, Settings
from compiler.network.state import state_of
from compiler.units import read_quantity

if TYPE_CHECKING:
    from compiler.isolation.search import Search

# word -> the number that it stands for, and the units of the tests that it answers
_PLAIN = {
    "yes": (1.0, ("seen", "share")),
    "no": (0.0, ("seen", "share")),
    "open": (inf, ("ohm",)),
    "floating": (0.0, ("V",)),
}
_DIMENSION = {"V": "voltage", "ohm": "resistance"}


@dataclass(frozen=True, slots=True)
class Desk:
    """A search, and the test that was taken instead of the one it offers (its id, or empty)."""

    search: Search
    taken: str = ""

    @property
    def choice(self) -> Choice | None:
        """The test at hand, or None when none is left that would tell more."""
        return self.search.choice(self.taken) if self.taken else self.search.next

    @property
    def others(self) -> tuple[Choice, ...]:
        """The other tests that would tell something, the best first."""
        at_hand = self.choice
        return tuple(c for c in self.search.choices if at_hand is None or c.test.id != at_hand.test.id)

    def after(self, typed: str) -> Desk:
        """The desk after what was typed. Raises IsolationError, PlaceError, StateError with a line for the person."""
        word, _, rest = typed.strip().partition(" ")
        rest = rest.strip()
        if word == "undo" and not rest:
            if not self.search.events:
                raise IsolationError("there is nothing to undo")
            return Desk(self.search.undo())
        if word == "skip":
            return Desk(self.search.refuse(self._named(rest)))
        if word == "test" and rest.isdecimal():
            others = self.others
            if not 1 <= int(rest) <= len(others):
                raise IsolationError(f"there is no test {rest}; `tests` lists {len(others)}")
            return Desk(self.search, others[int(rest) - 1].test.id)
        if word == "seen":
            search = self.search
            for observation in self._seen(rest):
                search = search.observe(observation)
            return Desk(search)
        test, equals, answer = typed.partition(" = ")
        if equals:
            return Desk(self._answered(self.search.choice(test.strip()), answer.strip()))
        choice = self.choice
        if choice is None:
            raise IsolationError(f"{typed.strip()}: no test is at hand that this would answer")
        return Desk(self._answered(choice, typed.strip()))

    def _named(self, test: str) -> str:
        if test:
            return test
        choice = self.choice
        if choice is None:
            raise IsolationError("no test is at hand to skip")
        return choice.test.id

    def _answered(self, choice: Choice, answer: str) -> Search:
        test, outcomes = choice.test, choice.outcomes
        if answer.isdecimal():
            number = int(answer)
            if not 1 <= number <= len(outcomes):
                told = f"it has answers 1 to {len(outcomes)}; a reading takes its unit" if outcomes else "it has none"
                raise IsolationError(f"{test.id} has no answer {number}: {told}")
            return self.search.answer(test.id, number - 1)
        for number, outcome in enumerate(outcomes):
            if answer.casefold() == outcome.reading.words.casefold():
                return self.search.answer(test.id, number)
        return self.search.answer(test.id, _reading(answer, choice))

    def _seen(self, typed: str) -> list[Observation]:
        facts, _, setting = typed.partition(" with ")
        settings = self._settings(setting) if setting else self.search.case.complaint.settings
        found = [observation(fact, settings) for fact in facts.split(",") if fact.strip()]
        if not found:
            raise IsolationError("say what is seen: seen E15 lit")
        return found

    def _settings(self, typed: str) -> Settings:
        pairs = [setting(word) for word in typed.replace(",", " ").split()]
        return tuple(state_of(self.search.case.network, pairs).set.items())


def observation(typed: str, settings: Settings) -> Observation:
    """`E15 lit`, `C40.7 above 11.5 V`. Raises IsolationError."""
    subject, *words = typed.split()
    if not words:
        raise IsolationError(f"{typed.strip()}: say what is seen of it, for example `{subject} dead`")
    return Observation(settings, subject, tuple(_joined(words)))


def setting(typed: str) -> tuple[str, str]:
    """`S1=run`. Raises IsolationError."""
    name, equals, position = typed.partition("=")
    if not (equals and name and position):
        raise IsolationError(f"{typed}: write it as NAME=POSITION")
    return name, position


def _joined(words: list[str]) -> list[str]:
    """A number and its unit as one word: `above 11.5 V` has two words, as in a source."""
    found: list[str] = []
    for word in words:
        if found and word.isalpha() and _is_number(found[-1]):
            found[-1] = f"{found[-1]} {word}"
        else:
            found.append(word)
    return found


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _reading(typed: str, choice: Choice) -> float:
    """The number that a test's answer stands for, in the test's unit. Raises IsolationError."""
    test = choice.test
    plain, units = _PLAIN.get(typed.casefold(), (0.0, ()))
    if test.unit in units:
        return plain
    expected = ", ".join(f"`{outcome.reading.words}`" for outcome in choice.outcomes)
    if test.unit in _DIMENSION:
        try:
            quantity = read_quantity(typed)
        except ValueError:
            quantity = None
        if quantity is not None and quantity.dimension == _DIMENSION[test.unit]:
            return float(quantity.value)
        expected = f"a reading in {test.unit}, or the number of an answer ({expected})"
    else:
        expected = f"the number of an answer ({expected})" if expected else "nothing more"
    raise IsolationError(f"{typed}: no answer to `{test.id}`, which takes {expected}")
