"""A search at a terminal, question by question."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from compiler.network.network import CannotSolve
from loomwright.commands.output import Look
from loomwright.reports import isolated
from loomwright.reports.clean import visible
from loomwright.searches.desk import Desk
from loomwright.searches.saved import save

_HELP = """\
  1, 2 ...       the number of an answer        11.8 V         what the meter reads; also open, floating, yes, no
  skip           this test cannot be done       undo           take back the last step
  tests          list other tests               test 3         take one of them
  left           what may still be the cause    cleared        what is out of suspicion, and why
  seen E15 lit   something else that was seen; `seen E15 lit with S1=run` where things are set otherwise
  save FILE      keep the search                quit           end here"""
_FEW = 12
_PROMPT = "answer, or help: "


def talk(desk: Desk, out: TextIO, how: Look, ask: Callable[[str], str], kept: Path | None) -> Desk:
    """Ask until the fault is found or the person quits. Returns the desk as it was left.

    ask   reads a line after showing a prompt; raises EOFError at the end of the input
    kept  file in which the search is kept after each step, or None
    """
    isolated.write_lines(isolated.standing(desk), out, how)
    while True:
        try:
            typed = ask(_PROMPT).strip()
        except EOFError:
            out.write("\n")
            return desk
        if typed in ("quit", "q", "exit"):
            return desk
        if not typed or _shown(desk, typed, out, how):
            continue
        try:
            if typed.startswith("save "):
                kept = Path(typed[5:].strip()).expanduser()
                save(kept, desk.search)
                out.write(visible(f"  kept in {kept}") + "\n")
                continue
            desk = desk.after(typed)
            if kept is not None:
                save(kept, desk.search)
        except CannotSolve as error:
            out.write(visible(f"  {error}") + "\n")
            continue
        except OSError as error:
            from loomwright.errors import said_by_system

            out.write(visible(f"  {said_by_system(error)}") + "\n")
            continue
        isolated.write_lines(isolated.standing(desk), out, how)


def _shown(desk: Desk, typed: str, out: TextIO, how: Look) -> bool:
    """Whether something was only to be shown."""
    if typed in ("help", "?"):
        out.write(_HELP + "\n")
    elif typed in ("tests", "tests all"):
        isolated.write_lines(isolated.others(desk, None if typed.endswith("all") else _FEW), out, how)
    elif typed == "left":
        isolated.write_lines(isolated.left(desk.search), out, how)
    elif typed in ("cleared", "why"):
        isolated.write_lines(isolated.cleared(desk.search), out, how)
    else:
        return False
    return True
