"""`loomwright isolate`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, format_option, look

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.search import Search
    from loomwright.searches.desk import Desk


@click.command("isolate")
@click.argument("variant", type=click.Path(path_type=Path))
@click.option("--complaint", metavar="NAME", help="Begin from a complaint or trouble code of the source, or of a load.")
@click.option("--list", "listed", is_flag=True, help="List the complaints to begin from.")
@click.option("--state", "states", multiple=True, metavar="NAME", help="Set what a state of the source sets.")
@click.option("--set", "settings", multiple=True, metavar="NAME=POSITION", help="Move a switch, hold a relay.")
@click.option("--seen", "facts", multiple=True, metavar="FACT", help='What is seen then: "R3 dead", "E15 lit".')
@click.option("--answer", "answers", multiple=True, metavar="STEP", help="A step, as typed at the terminal; in order.")
@click.option("--resume", "resumed", type=click.Path(path_type=Path), metavar="FILE", help="Go on with a kept search.")
@click.option("--save", "kept", type=click.Path(path_type=Path), metavar="FILE", help="Keep the search here.")
@click.option("--all-tests", is_flag=True, help="List the other tests too.")
@format_option("the search is")
@colour_option
def command(
    variant: Path,
    complaint: str | None,
    listed: bool,
    states: tuple[str, ...],
    settings: tuple[str, ...],
    facts: tuple[str, ...],
    answers: tuple[str, ...],
    resumed: Path | None,
    kept: Path | None,
    all_tests: bool,
    form: str,
    colour: str,
) -> int:
    """Find a fault, test by test.

    Begin with --complaint, or with --state, --set and --seen, or --resume. At a terminal the search asks on; in a
    script --answer takes the steps: the number of an answer, a reading (`11.8 V`), `skip`, `seen E15 lit`, `undo`, or
    a reading of a named test (`volts C40.7 body side = 11.8 V`).
    """
    from compiler.network.network import CannotSolve
    from loomwright.errors import CannotRun

    bench = _bench(variant)
    try:
        if listed:
            return _list(bench, form, colour)
        search = _begun(bench, complaint, states, settings, facts, resumed)
        desk = _stepped(search, answers)
    except CannotSolve as error:
        raise CannotRun(str(error)) from error
    if kept is not None:
        from loomwright.searches.saved import save

        save(kept, desk.search)
    if form == "json":
        from loomwright.reports.isolated_json import isolated_json

        sys.stdout.write(isolated_json(desk))
    else:
        _write(desk, kept, all_tests, colour)
    return 0


def _bench(path: Path) -> Bench:
    from compiler.assembly.project import find_project
    from compiler.circuit.graph import Graph
    from compiler.isolation.bench import Bench
    from compiler.network.electrical import Electrical
    from loomwright.commands.models import model_of
    from loomwright.errors import CannotRun

    model = model_of(path, "searched")
    policy = find_project(path).settings.policy
    try:
        return Bench(Electrical(Graph(model), policy).network, policy)
    except ValueError as error:
        raise CannotRun(str(error)) from error


def _begun(
    bench: Bench,
    complaint: str | None,
    states: tuple[str, ...],
    settings: tuple[str, ...],
    facts: tuple[str, ...],
    resumed: Path | None,
) -> Search:
    """The search that the options begin. Raises CannotRun for none, or for two at once; IsolationError and its kin."""
    from compiler.isolation.search import Search
    from compiler.network.state import find_state, settings_of
    from loomwright.errors import CannotRun
    from loomwright.searches.desk import observation, setting

    own = bool(states or settings or facts)
    ways = (complaint is not None) + (resumed is not None) + own
    if ways > 1:
        raise CannotRun("--complaint, --resume, and --seen with --state and --set are three ways to begin: give one")
    if not ways:
        raise CannotRun("begin with --complaint, or with --seen (and --state, --set), or with --resume; see --list")
    if resumed is not None:
        from loomwright.searches.saved import resume

        return resume(resumed, bench)
    if complaint is not None:
        return Search.begin(bench, bench.complaint(complaint))
    seen = [observation(fact, ()) for text in facts for fact in text.split(",") if fact.strip()]
    if not seen:
        raise CannotRun('say what is seen with things set so: --seen "R3 dead"')
    variant = bench.network.variant
    made = [pair for name in states for pair in settings_of(find_state(variant, name).set)]
    made += [setting(text) for text in settings]
    return Search.begin(bench, bench.custom(made, [(o.subject, o.words) for o in seen]))


def _stepped(search: Search, answers: tuple[str, ...]) -> Desk:
    from loomwright.searches.desk import Desk

    desk = Desk(search)
    for answer in answers:
        desk = desk.after(answer)
    return desk


def _write(desk: Desk, kept: Path | None, all_tests: bool, colour: str) -> None:
    from loomwright.reports import isolated

    out, how = sys.stdout, look(sys.stdout, colour)
    isolated.write_lines(isolated.begun(desk.search), out, how)
    isolated.write_lines(isolated.related(desk.search), out, how)
    if how.width is not None and sys.stdin.isatty():
        from loomwright.searches.talk import talk

        talk(desk, out, how, input, kept)
        return
    isolated.write_lines(isolated.standing(desk), out, how)
    if all_tests:
        out.write("\nother tests\n")
        isolated.write_lines(isolated.others(desk), out, how)


def _list(bench: Bench, form: str, colour: str) -> int:
    rows = bench.complaints()
    if form == "json":
        from loomwright.reports.isolated_json import complaints_json

        told = tuple((row.id, row.sort, row.title) for row in rows)
        sys.stdout.write(complaints_json(bench.network.variant.id, told))
    else:
        from loomwright.reports.isolated import complaints, write_lines

        write_lines(complaints(rows), sys.stdout, look(sys.stdout, colour))
    return 0
