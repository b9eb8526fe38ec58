"""The command line: which commands there are, and what becomes of errors. The work is in `loomwright.commands`."""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module

import click

from loomwright import __version__
from loomwright.cli import INTERRUPTED, PIPE_CLOSED
from loomwright.epoch import keep_apart

TRACEBACK = "LOOMWRIGHT_TRACEBACK"
_CANNOT_RUN = 2

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


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; its exit code. Errors are one line on standard error, never a traceback."""
    try:
        keep_apart()
        code = _done(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        code = PIPE_CLOSED
    return code


def _done(arguments: list[str] | None) -> int:
    try:
        result = cli.main(arguments, prog_name="loomwright", standalone_mode=False)
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx else "loomwright"
        return _say(f"{_first_lower(_one_line(error.format_message()))} See: {path} --help")
    except click.ClickException as error:
        return _say(_first_lower(error.format_message()))
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except SystemExit as stop:  # click's own answer to a closed pipe
        return PIPE_CLOSED if stop.code == 1 else _exit_code(stop.code)
    except Exception as error:  # noqa: BLE001 - the last one to ask: nothing may reach a user as a traceback
        return _answer(error)
    return result if isinstance(result, int) else 0


def _answer(error: Exception) -> int:
    """The exit code for an error, and its line on standard error."""
    from loomwright.errors import cannot_run

    if _by_interrupt(error):
        return INTERRUPTED
    if isinstance(error, OSError) and error.errno == errno.EPIPE:
        return PIPE_CLOSED
    if os.environ.get(TRACEBACK):
        raise error
    known = cannot_run(error)
    if known is not None:
        return _say(known)
    hint = f"set {TRACEBACK}=1 to see where it happened"
    return _say(f"this is our mistake, not yours: {type(error).__name__}: {error} ({hint})")


def _by_interrupt(error: BaseException) -> bool:
    """Whether an error only wraps an interrupt, as Python does with what goes wrong while a class is made."""
    cause = error.__cause__
    return cause is not None and (isinstance(cause, KeyboardInterrupt) or _by_interrupt(cause))


def _exit_code(code: object) -> int:
    return code if isinstance(code, int) else _CANNOT_RUN if code else 0


def _one_line(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "?", "!")) else text + "."


def _say(text: str) -> int:
    from loomwright.reports.clean import visible
    from loomwright.telling import tell

    tell(f"loomwright: {visible(text)}\n")
    return _CANNOT_RUN


def _first_lower(text: str) -> str:
    return text[:1].lower() + text[1:] if text[1:2].islower() else text
