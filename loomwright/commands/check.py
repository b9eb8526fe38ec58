"""`loomwright check`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from loomwright.commands.output import colour_option, look


@click.command("check")
@click.argument("paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["terminal", "json", "sarif", "github"]),
    default="terminal",
    show_default=True,
    help="How findings are written.",
)
@click.option("--strict", is_flag=True, help="Fail on warnings too.")
@click.option("--only", multiple=True, metavar="NAME", help="Report this check only; may be given several times.")
@click.option("--skip", multiple=True, metavar="NAME", help="Leave this check out; may be given several times.")
@click.option("--testability", is_flag=True, help="Work through the complaints of the source too; takes longer.")
@click.option("--jobs", type=click.IntRange(0), default=0, metavar="N", help="Processes at most; 0 means all cores.")
@click.option("--quiet", "-q", is_flag=True, help="Findings only, no summary.")
@colour_option
def command(
    paths: tuple[Path, ...],
    form: str,
    strict: bool,
    only: tuple[str, ...],
    skip: tuple[str, ...],
    testability: bool,
    jobs: int,
    quiet: bool,
    colour: str,
) -> int:
    """Check variants.

    PATH is a variant's file or a folder, which stands for every variant below it. Fragments that no variant uses are
    read too. Exit code 0: clean; 1: errors (with --strict also warnings); 2: cannot run.
    """
    from loomwright.run import run

    if only or skip:
        from compiler.checks import READING
        from loomwright.rules import refuse_unknown

        refuse_unknown((*only, *skip))
        # What could not be read is told in any case: no check can speak for it.
        report = run(paths, jobs=jobs, testability=testability).without((*only, *READING) if only else (), skip)
    else:
        report = run(paths, jobs=jobs, testability=testability)
    if form == "terminal":
        from loomwright.reports.summary import summary

        if report.findings:
            from loomwright.reports.terminal import write_findings

            colours, width = look(sys.stdout, colour)
            write_findings(report, sys.stdout, colour=colours, width=width)
        if not quiet:
            print(summary(report))
    elif form == "json":
        from loomwright import __version__
        from loomwright.reports.json import json_text

        sys.stdout.write(json_text(report, __version__))
    elif form == "sarif":
        from loomwright import __version__
        from loomwright.reports.sarif import sarif_text
        from loomwright.rules import rules

        found = {finding.check for finding, _ in report.findings}
        sys.stdout.write(sarif_text(report, rules(found), __version__))
    else:
        from loomwright.reports.github import github_text

        sys.stdout.write(github_text(report))
    return 1 if report.failed(strict) else 0
