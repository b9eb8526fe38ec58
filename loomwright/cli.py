"""The command line: which commands there are, and what becomes of errors. The work is in `loomwright.commands`.

Exit codes: 0 clean, 1 findings at error level (with `--strict` also warnings) or differences, 2 cannot run, 130
interrupted.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
from importlib import import_module
from pathlib import Path
from typing import NoReturn, TextIO

import click

from loomwright import __version__

TRACEBACK = "LOOMWRIGHT_TRACEBACK"
_CANNOT_RUN = 2
_INTERRUPTED = 130
_PIPE_CLOSED = 141  # what a shell sees of a program that the closed pipe has ended

# command -> module below loomwright.commands; a module is imported only when its command runs or help lists it
COMMANDS = {
    "check": "check",
    "explain": "explain",
    "publish": "publish",
    "diff": "diff",
    "trace": "trace",
    "measure": "measure",
    "isolate": "isolate",
    "format": "format_files",
    "import": "import_list",
    "kinds": "kinds",
    "new": "new",
}


class Commands(click.Group):
    """A group that imports a command when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - as click asks
        """The commands in the order in which they are used."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of a name, or None."""
        module = COMMANDS.get(cmd_name)
        if module is None:
            return None
        command: click.Command = import_module(f"loomwright.commands.{module}").command
        return command


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, message="%(prog)s %(version)s")
def cli() -> None:
    """Wiring for a vehicle service manual, from plain text: check it, follow a circuit, publish the pack."""


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run the command line and exit. Errors are one line on standard error, never a traceback."""
    # Trees and models are large and free of cycles: looking for garbage among them costs a third of a check.
    gc.set_threshold(500_000, 20, 20)
    # Whoever has closed a stream wants nothing of it.
    sys.stdout = sys.stdout or _nowhere()
    sys.stderr = sys.stderr or _nowhere()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal that cannot show a character is no reason to stop.
            stream.reconfigure(errors="backslashreplace")
    try:
        code = _run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        code = _PIPE_CLOSED
    except KeyboardInterrupt:
        code = _INTERRUPTED
    if code == _PIPE_CLOSED:
        # Whatever is still in the buffer has no reader; without this the interpreter complains as it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)


def _nowhere() -> TextIO:
    """A stream that leads nowhere, open to the end of the run."""
    return Path(os.devnull).open("w")


def _run(arguments: list[str] | None) -> int:
    try:
        result = cli.main(arguments, prog_name="loomwright", standalone_mode=False)
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx else "loomwright"
        return _say(f"{_one_line(error.format_message())} See: {path} --help")
    except click.ClickException as error:
        return _say(error.format_message())
    except (click.Abort, KeyboardInterrupt):
        return _INTERRUPTED
    except SystemExit as stop:  # click's own answer to a closed pipe
        return _PIPE_CLOSED if stop.code == 1 else _exit_code(stop.code)
    except Exception as error:  # noqa: BLE001 - the last one to ask: nothing may reach a user as a traceback
        return _answer(error)
    return result if isinstance(result, int) else 0


def _answer(error: Exception) -> int:
    """The exit code for an error, and its line on standard error."""
    from loomwright.errors import cannot_run

    if isinstance(error, OSError) and error.errno == errno.EPIPE:
        return _PIPE_CLOSED
    if os.environ.get(TRACEBACK):
        raise error
    known = cannot_run(error)
    if known is not None:
        return _say(known)
    hint = f"set {TRACEBACK}=1 to see where it happened"
    return _say(f"this is our mistake, not yours: {type(error).__name__}: {error} ({hint})")


def _exit_code(code: object) -> int:
    return code if isinstance(code, int) else _CANNOT_RUN if code else 0


def _one_line(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "?", "!")) else text + "."


def _say(text: str) -> int:
    from loomwright.reports.clean import visible

    print(f"loomwright: {visible(_first_lower(text))}", file=sys.stderr)
    return _CANNOT_RUN


def _first_lower(text: str) -> str:
    return text[:1].lower() + text[1:] if text[1:2].islower() else text
