"""The way in. An interrupt ends the program with 130 and without a traceback, from the first line here to the last.

Exit codes: 0 clean, 1 findings at error level (with `--strict` also warnings) or differences, 2 cannot run, 130
interrupted.

What is imported here is little: the rest is imported when interrupts are answered.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from types import FrameType
    from typing import NoReturn

INTERRUPTED = 130
PIPE_CLOSED = 141  # what a shell sees of a program that the closed pipe has ended
_AGAIN_S = 0.002


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run the command line and exit. Without arguments those of the process; then its interrupts are ours as well."""
    watch = None
    try:
        if arguments is None:
            watch = _Watch()
            watch.begin()
        import gc

        from loomwright.program import run

        # Trees and models are large and free of cycles: looking for garbage among them costs a third of a check.
        gc.set_threshold(500_000, 20, 20)
        _open_streams()
        if watch:
            watch.working = True
        code = run(arguments)
    except KeyboardInterrupt:
        code = INTERRUPTED
    if watch:
        watch.end()
    if code == PIPE_CLOSED:
        # Whatever is still in the buffer has no reader; without this the interpreter complains as it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)


def _open_streams() -> None:
    """Whoever has closed a stream wants nothing of it; a terminal that cannot show a character is no reason to stop."""
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: PTH123, SIM115 - to the end of the run
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: PTH123, SIM115
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


class _Watch:
    """Answers interrupts: at once before the work begins, for what is imported then cannot tell of it; while it goes on
    with an exception, so that it cleans up behind itself; not at all when it is done.

    working  whether the work is being done
    """

    def __init__(self) -> None:
        self.working = False

    def begin(self) -> None:
        """From now on. Where interrupts are ignored, as in the background of a shell, they stay so."""
        import signal

        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            signal.signal(signal.SIGINT, self._interrupted)
            if hasattr(signal, "setitimer"):
                signal.signal(signal.SIGALRM, self._interrupted)
                sys.unraisablehook = self._lost

    def end(self) -> None:
        """Until the process is gone: the work is done, and its exit code is known."""
        import signal

        self.working = False
        if signal.getsignal(signal.SIGINT) == self._interrupted:
            signal.signal(signal.SIGINT, signal.SIG_IGN)

    def _interrupted(self, _number: int, _frame: FrameType | None) -> None:
        if not self.working:
            os._exit(INTERRUPTED)
        raise KeyboardInterrupt

    def _lost(self, what: sys.UnraisableHookArgs) -> None:
        """An interrupt that came while Python cleaned something away, where nobody can catch it, comes once more."""
        import signal

        if issubclass(what.exc_type, KeyboardInterrupt):
            signal.setitimer(signal.ITIMER_REAL, _AGAIN_S)
        else:
            sys.__unraisablehook__(what)
