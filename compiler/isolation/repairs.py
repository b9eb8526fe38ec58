"""What to do about faults that no test tells apart: each repair once, and which fault it is for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from compiler.isolation.types import Suspect


def repairs(suspects: Iterable[Suspect]) -> tuple[str, ...]:
    """The repairs of some faults. Where there are several, each begins with what it is for, in as few words as tell
    them apart: `Joint: ...`, `Backed out: ...`, `Wire 7A: ...`."""
    by_repair: dict[str, list[Suspect]] = {}
    for suspect in suspects:
        by_repair.setdefault(suspect.repair, []).append(suspect)
    if len(by_repair) < 2:
        return tuple(by_repair)
    heads = next(filter(_apart, (_heads(by_repair.values(), words) for words in _WORDS)), None)
    heads = heads or _heads(by_repair.values(), lambda suspect: suspect.says)
    return tuple(
        f"{head[0].upper()}{head[1:]}: {text[0].lower()}{text[1:]}"
        for head, text in zip(heads, by_repair, strict=True)
    )


def _says(suspect: Suspect) -> str:
    return suspect.says.removeprefix(suspect.part).strip()


def _noun(suspect: Suspect) -> str:
    return suspect.part.partition(" ")[0].replace("-", " ")


_WORDS: tuple[Callable[[Suspect], str], ...] = (_noun, _says, lambda suspect: suspect.part)


def _heads(groups: Iterable[Sequence[Suspect]], words: Callable[[Suspect], str]) -> list[str]:
    return [" or ".join(dict.fromkeys(map(words, group))) for group in groups]


def _apart(heads: Sequence[str]) -> bool:
    return len(set(" or ".join(heads).split(" or "))) == sum(len(head.split(" or ")) for head in heads)
