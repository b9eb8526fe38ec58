"""How the command ends when the world is against it: closed pipes, interrupts, odd terminals, our own mistakes."""

from __future__ import annotations

import os
import pty
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest

from loomwright.program import COMMANDS
from tests.loomwright.conftest import Run


def test_a_closed_pipe_is_no_error(project: Path, root: Path) -> None:
    command = f"{sys.executable} -m loomwright explain | head -n 1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=project, env={**os.environ, "PYTHONPATH": str(root)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] in ("0", "141")


def test_nobody_reads_at_all(project: Path, root: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "loomwright", "check", "S4.loom"],
        cwd=project, env={**os.environ, "PYTHONPATH": str(root)}, stdout=writing, stderr=subprocess.PIPE, check=False,
    )  # fmt: skip
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, b"")


@pytest.mark.parametrize(("closed", "code"), [(">&-", 1), ("2>&-", 1), (">&- 2>&- <&-", 1)])
def test_a_stream_that_is_closed_from_the_start_is_done_without(
    project: Path, root: Path, closed: str, code: int
) -> None:
    for words in ("check S4.loom", "publish S4.loom --out build"):
        done = subprocess.run(
            ["bash", "-c", f"{sys.executable} -m loomwright {words} {closed}"],
            cwd=project, env={**os.environ, "PYTHONPATH": str(root)}, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == code
        assert "Traceback" not in done.stderr
        assert "our mistake" not in done.stderr


def started(project: Path, root: Path, *arguments: str) -> subprocess.Popen[bytes]:
    """A process that is in the first line of `main`. What comes before is Python's own."""
    program = (
        "import os, signal, sys\n"
        # A shell that starts the tests in the background has interrupts ignored, and a child would inherit that.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from loomwright.cli import main\n"
        "os.write(2, b'.')\n"
        "main()\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", program, *arguments], cwd=project, env={**os.environ, "PYTHONPATH": str(root)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stderr is not None
    assert process.stderr.read(1) == b"."
    return process


def interrupted(process: subprocess.Popen[bytes], after_s: float) -> tuple[int, bytes, bytes]:
    """The exit code of a process that is interrupted after a while, and what it has written."""
    with process:
        time.sleep(after_s)
        process.send_signal(signal.SIGINT)
        try:
            out, error = process.communicate(timeout=30)
        finally:
            process.kill()
    return process.returncode, out, error.strip()  # a line feed goes after the terminal's ^C


def test_an_interrupt_ends_with_130_and_no_traceback(project: Path, root: Path) -> None:
    # It waits for somebody to type.
    assert interrupted(started(project, root, "format", "-"), 0.5) == (130, b"", b"")


def test_an_interrupt_at_any_moment_is_one(project: Path, root: Path) -> None:
    """From the first line on, through all that is imported, to the last."""
    demo = str(root / "samples" / "sandpiper" / "S4.loom")
    words = ["isolate", demo, "--complaint", "Rear screen stays cold, tell-tale lit", "--format", "json"]
    random, codes = Random("interrupts"), []
    for place in range(24):
        process = started(project, root, *(words if place % 3 else ["check", "S4.loom"]))
        code, _, error = interrupted(process, random.uniform(0, 0.6))
        assert error == b""
        codes.append(code)
    assert set(codes) <= {0, 1, 130}, "a run that was done before says what it found"
    assert codes.count(130) > 8


def ended(program: str, project: Path, root: Path) -> tuple[int, bytes]:
    """How a program in Python ends: its exit code and what it says of errors."""
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=project, env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True, check=False, timeout=15,
    )  # fmt: skip
    return done.returncode, done.stderr


def test_an_interrupt_that_nobody_could_catch_comes_again(project: Path, root: Path) -> None:
    """Where Python cleans up, an exception is lost; the interrupt must not be."""
    program = (
        "import os, signal, sys, time\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import loomwright.program\n"
        "class Gone:\n"
        "    def __del__(self): os.kill(os.getpid(), signal.SIGINT); time.sleep(0.01)\n"
        "def run(arguments):\n"
        "    gone = Gone()\n"
        "    del gone\n"
        "    time.sleep(20)\n"
        "loomwright.program.run = run\n"
        "from loomwright.cli import main\n"
        "main()\n"
    )
    assert ended(program, project, root) == (130, b"")


def test_an_interrupt_while_a_class_is_made_is_one(project: Path, root: Path) -> None:
    """Python wraps what goes wrong there in an error of its own."""
    program = (
        "import loomwright.program as program\n"
        "def main(*a, **k): raise RuntimeError('__set_name__') from KeyboardInterrupt()\n"
        "program.cli.main = main\n"
        "from loomwright.cli import main\n"
        "main()\n"
    )
    assert ended(program, project, root) == (130, b"")


@pytest.mark.parametrize("setting", [{}, {"LOOMWRIGHT_TRACEBACK": "1"}])
def test_a_mistake_of_ours_is_one_line_unless_asked(
    project: Path, root: Path, run: Run, tmp_path: Path, setting: dict[str, str]
) -> None:
    # A module that breaks stands in for one of ours.
    (tmp_path / "late").mkdir()
    (tmp_path / "late/sitecustomize.py").write_text(
        "import sys, types\nsys.modules['loomwright.run'] = types.ModuleType('loomwright.run')\n", "utf-8"
    )
    done = run("check", "S2.loom", cwd=project, env={"PYTHONPATH": f"{tmp_path / 'late'}:{root}", **setting})
    assert ("Traceback" in done.stderr) == bool(setting)
    if not setting:
        assert done.returncode == 2
        assert len(done.stderr.splitlines()) == 1
        assert "this is our mistake, not yours" in done.stderr


def test_a_terminal_without_the_characters_still_gets_the_words(project: Path, run: Run) -> None:
    text = (project / "S4.loom").read_text("utf-8").replace("Truck S4", "Fahrzeug für Öl 配線")
    (project / "S4.loom").write_text(text + 'splice "配線\n', "utf-8")
    done = run("check", "S4.loom", cwd=project, env={"PYTHONIOENCODING": "ascii", "LC_ALL": "C"})
    assert done.returncode == 1
    assert done.stderr == ""
    assert "\\u914d\\u7dda" in done.stdout


def test_on_a_real_terminal_colours_and_width(project: Path, root: Path) -> None:
    outer, inner = pty.openpty()
    env = {**os.environ, "PYTHONPATH": str(root), "COLUMNS": "60", "TERM": "xterm"}
    env.pop("NO_COLOR", None)
    process = subprocess.Popen(
        [sys.executable, "-m", "loomwright", "check", "S4.loom"], cwd=project, env=env, stdout=inner, close_fds=True
    )
    os.close(inner)
    text = b""
    try:
        while data := os.read(outer, 65536):
            text += data
    except OSError:  # the other end is closed
        pass
    os.close(outer)
    assert process.wait(timeout=60) == 1
    assert text.startswith(b"\x1b[1;31merror: \x1b[0m")
    lines = re.sub(r"\x1b\[[0-9;]*m", "", text.decode()).splitlines()
    summary = lines.pop()
    assert summary.startswith("1 error")
    assert max(map(len, lines)) <= 60


def test_version_and_help_load_nothing_of_the_compiler(root: Path) -> None:
    code = (
        "import sys\n"
        "from loomwright.cli import main\n"
        "try:\n    main(sys.argv[1:])\n"
        "except SystemExit:\n    pass\n"
        "print(sorted({m.split('.')[0] for m in sys.modules} & {'compiler', 'grammar', 'renderers', 'rich', 'typst'}))"
    )
    for arguments in (["--version"], ["--help"], ["check", "--help"]):
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], cwd=root, capture_output=True, text=True, check=True
        )
        assert done.stdout.splitlines()[-1] == "[]"


def test_a_clean_check_loads_no_page_and_no_terminal(project: Path, root: Path) -> None:
    code = (
        "import sys\nimport loomwright\n"
        f"report = loomwright.check({str(project / 'S2.loom')!r})\n"
        "print(report.variants, sorted({m.split('.')[0] for m in sys.modules} & {'renderers', 'rich', 'jinja2'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "('S2',) []"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help(run: Run, name: str) -> None:
    done = run(name, "--help")
    assert done.returncode == 0
    assert done.stdout.startswith(f"Usage: loomwright {name} ")


def test_the_version_is_that_of_the_package(run: Run, root: Path) -> None:
    import tomllib

    import loomwright

    declared = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    assert loomwright.__version__ == declared
    assert run("--version").stdout == f"loomwright {declared}\n"


def test_completion_is_offered(run: Run) -> None:
    done = run(env={"_LOOMWRIGHT_COMPLETE": "bash_complete", "COMP_WORDS": "loomwright ch", "COMP_CWORD": "1"})
    assert "plain,check" in done.stdout
