"""`explain`, `kinds`, `format`, `new`, `import`, `publish`: what they print, write and refuse."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from compiler.checks import known_names
from compiler.kinds import kinds
from loomwright import format_text
from loomwright.rules import first_sentence
from tests.loomwright.conftest import Make, Run

UGLY = "splice   SP1   in body\nharness body\n"
NEAT = format_text(UGLY)


# -- explain and kinds -------------------------------------------------------------------------------------------
def test_explain_lists_every_name_with_its_family_and_severity(run: Run) -> None:
    lines = run("explain").stdout.splitlines()
    told = {line.split()[0]: line.split()[1] for line in lines if line.startswith("  ")}
    assert sorted(told) == sorted(known_names())
    assert told["dangling-cavity"] == "error"
    assert "cavities and connectors" in lines
    assert any(line.endswith("A cavity is wired on one half only.") for line in lines)
    assert all(line == line.rstrip() for line in lines)


def test_explain_prints_the_page_as_it_stands_in_a_pipe(run: Run, root: Path) -> None:
    page = (root / "compiler/checks/pages/dangling-cavity.md").read_text("utf-8")
    assert run("explain", "dangling-cavity").stdout.strip() == page.strip()


def test_explain_lays_the_page_out_in_colour(run: Run) -> None:
    text = run("explain", "dangling-cavity", "--color", "always").stdout
    assert "\x1b[" in text
    assert "## " not in text


@pytest.mark.parametrize("name", ["dangling-cavty", "zzz", "../pages/dangling-cavity", "base"])
def test_explain_knows_what_it_does_not_know(run: Run, name: str) -> None:
    done = run("explain", name)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"loomwright: no check is called {name}; ")


@pytest.mark.parametrize(
    ("page", "sentence"),
    [
        ("# a\n\nOne line.\n\n## What\n\nMore.", "One line."),
        ("# a\n\nTwo\nlines.\n\nMore.", "Two lines."),
        ("# a\n## b\n", ""),
        ("no title", "no title"),
    ],
)
def test_the_first_sentence_of_a_page(page: str, sentence: str) -> None:
    assert first_sentence(page) == sentence


def test_kinds_lists_every_kind_and_shows_one(run: Run) -> None:
    lines = run("kinds").stdout.splitlines()
    assert [line.split()[0] for line in lines] == list(kinds())
    relay = run("kinds", "relay").stdout
    assert "87a" in relay
    assert "stands as" in relay
    missed = run("kinds", "relais")
    assert missed.returncode == 2
    assert "did you mean relay?" in missed.stderr


# -- format ------------------------------------------------------------------------------------------------------
def test_format_writes_the_file_and_keeps_its_rights(make: Make, run: Run) -> None:
    folder = make({"a.loom": UGLY, "b.loom": NEAT})
    (folder / "a.loom").chmod(0o640)
    done = run("format", ".", cwd=folder)
    assert done.returncode == 0
    assert done.stderr == "1 file laid out anew, 1 file already in order\n"
    assert (folder / "a.loom").read_text("utf-8") == NEAT
    assert stat.S_IMODE((folder / "a.loom").stat().st_mode) == 0o640
    assert sorted(path.name for path in folder.iterdir()) == ["a.loom", "b.loom"]


@pytest.mark.parametrize("option", ["--check", "--diff"])
def test_format_can_leave_files_alone(make: Make, run: Run, option: str) -> None:
    folder = make({"a.loom": UGLY, "b.loom": NEAT})
    done = run("format", ".", option, cwd=folder)
    assert done.returncode == 1
    assert (folder / "a.loom").read_text("utf-8") == UGLY
    assert ("-splice   SP1   in body\n+splice SP1" in done.stdout) == (option == "--diff")
    assert "b.loom:" not in done.stdout + done.stderr
    (folder / "a.loom").unlink()
    assert run("format", ".", option, cwd=folder).returncode == 0


def test_format_leaves_a_broken_file_and_does_the_others(make: Make, run: Run) -> None:
    folder = make({"a.loom": UGLY, "broken.loom": 'splice "x\n' + UGLY})
    done = run("format", ".", cwd=folder)
    assert done.returncode == 1
    assert (folder / "a.loom").read_text("utf-8") == NEAT
    assert (folder / "broken.loom").read_text("utf-8").startswith('splice "x')
    assert "broken.loom:1:8" in done.stderr


def test_format_from_standard_input(run: Run) -> None:
    done = run("format", "-", text=UGLY)
    assert (done.returncode, done.stdout, done.stderr) == (0, NEAT, "")
    broken = run("format", "-", text='splice "x\n')
    assert (broken.returncode, broken.stdout) == (1, "")
    assert "standard input:1:8" in broken.stderr


def test_format_keeps_a_link_a_link(make: Make, run: Run) -> None:
    folder = make({"real/a.loom": UGLY})
    (folder / "link.loom").symlink_to("real/a.loom")
    assert run("format", "link.loom", cwd=folder).returncode == 0
    assert (folder / "link.loom").is_symlink()
    assert (folder / "real/a.loom").read_text("utf-8") == NEAT


def test_a_diff_of_hostile_text_steers_nothing(make: Make, run: Run) -> None:
    folder = make({"a.loom": '# x \u200f \u00ad y\nsplice   SP1 "\u200d"  in body\n'})
    done = run("format", "a.loom", "--diff", cwd=folder)
    assert "\u200f" not in done.stdout
    assert "<U+200F>" in done.stdout


# -- new ---------------------------------------------------------------------------------------------------------
def test_a_new_project_is_clean_and_in_order(run: Run, tmp_path: Path) -> None:
    assert run("new", "trucks").returncode == 0
    checked = run("check", "trucks", "--strict")
    assert (checked.returncode, checked.stdout.split(" (")[0]) == (0, "no findings; 1 waived")
    assert run("format", "trucks", "--check").returncode == 0
    again = run("new", "trucks")
    assert again.returncode == 2
    assert "is there already" in again.stderr


def test_a_new_project_fills_an_empty_folder_only(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").touch()
    assert run("new", "empty").returncode == 0
    assert run("new", "file").returncode == 2
    assert run("new", "file/below").returncode == 2


# -- import ------------------------------------------------------------------------------------------------------
WIRES = "wire,from,to,colour,length\n1,A:1,B:2,sw/gn,100\n2,A:2,B:3,zz,200\n"


def test_import_writes_a_source_and_tells_what_it_could_not_read(make: Make, run: Run) -> None:
    folder = make({"wires.csv": WIRES, "top.txt": "Our wires\nLicence: ours\n"})
    arguments = (
        "import",
        "wires.csv",
        "--out",
        "out.loom",
        "--colours",
        "german",
        "--header",
        "top.txt",
        "--variant",
        "T1",
    )
    done = run(*arguments, cwd=folder)
    assert (done.returncode, done.stdout) == (0, "")
    assert "  wires.csv:3 colour: 'zz' is not a colour code" in done.stderr
    assert done.stderr.splitlines()[-1].startswith("out.loom: 2 wires, 2 circuits, 2 components, 1 sheet")
    text = (folder / "out.loom").read_text("utf-8")
    assert text.startswith('# Our wires\n# Licence: ours\n\nvariant T1 "Imported from wires.csv" {\n')
    assert run("format", "out.loom", "--check", cwd=folder).returncode == 0
    assert run(*arguments, cwd=folder).returncode == 2
    assert run(*arguments, "--force", "--strict", cwd=folder).returncode == 1


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("wires.csv", "--out", "two words.loom"), "--variant"),
        (("wires.csv", "--out", "x.loom", "--harness", "a b"), "no legal name for a harness"),
        (("wires.csv", "--out", "x.loom", "--colours", "rainbow"), "no colour table is called rainbow"),
        (("nothing.csv", "--out", "x.loom"), "nothing.csv: no such file"),
        (("out", "--out", "x.loom"), "'out' is a directory"),
        (("other.csv", "--out", "x.loom"), "no column for from item"),
        (("wires.csv", "--items", "other.csv", "--out", "x.loom"), "no column for item"),
        (("wires.csv", "--out", "nowhere/x.loom"), "no such file or directory"),
        (("wires.csv", "--out", "out"), "'out' is a directory"),
    ],
)
def test_import_refuses_in_one_line_and_writes_nothing(
    make: Make, run: Run, arguments: tuple[str, ...], says: str
) -> None:
    folder = make({"wires.csv": WIRES, "other.csv": "p,q\n1,2\n", "out/keep": ""})
    done = run("import", *arguments, cwd=folder)
    assert done.returncode == 2
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert not list(folder.glob("**/*.loom"))


def test_what_is_said_of_many_lines_is_said_once_unless_asked(make: Make, run: Run) -> None:
    rows = "".join(f"{n},A:{n},B:{n},zz,1\n" for n in range(50))
    rows += "".join(f"{n},A:{n},B:{n},z{n},1\n" for n in range(100, 150))
    folder = make({"wires.csv": "wire,from,to,colour,length_mm\n" + rows})
    short = run("import", "wires.csv", "--out", "a.loom", cwd=folder).stderr
    assert "wires.csv:2 and 49 more lines colour: 'zz' is not a colour code" in short
    assert "and 31 more; --all shows them" in short
    long = run("import", "wires.csv", "--out", "b.loom", "--all", cwd=folder).stderr
    assert long.count("is not a colour code") == 100


# -- publish -----------------------------------------------------------------------------------------------------
def test_publish_refuses_errors_unless_forced(project: Path, run: Run) -> None:
    done = run("publish", "S4.loom", "--out", "pack", "--formats", "json", cwd=project)
    assert (done.returncode, done.stdout) == (1, "")
    assert "dangling-cavity" in done.stderr
    assert "not published: 1 error; --force publishes all the same" in done.stderr
    assert not (project / "pack").exists()
    forced = run("publish", "S4.loom", "--out", "pack", "--formats", "json", "--force", cwd=project)
    assert forced.returncode == 0
    assert json.loads((project / "pack/pack.json").read_text("utf-8"))


def test_publish_writes_the_forms_asked_for(project: Path, run: Run) -> None:
    done = run("publish", "S2.loom", "--out", "pack", "--formats", "csv, json", cwd=project)
    assert (done.returncode, done.stdout) == (0, "")
    assert "S2: " in done.stderr
    assert "\x1b" not in done.stderr
    assert (project / "pack/pack.json").exists()
    assert list((project / "pack/csv").glob("*.csv"))
    assert not (project / "pack/index.html").exists()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--formats", "doc"), "no format 'doc'"),
        (("--formats", ""), "no format asked for"),
        (("--paper", "napkin"), "no paper 'napkin'"),
        (("--dot", "no-such-program"), "no-such-program"),
        (("--sheets", ","), "--sheets: the list names nothing"),
        (("--sections", ""), "--sections: the list names nothing"),
        (("--date", "1.1.2026"), "--date 1.1.2026: write a day as year, month and day, such as 2026-"),
        (("--cache", "S4.loom"), "--cache S4.loom: this is a file"),
        (("--cache", "pack/kept"), "--cache pack/kept: this lies in pack"),
        (("--cache", "kept", "--no-cache"), "--cache and --no-cache exclude each other"),
        (("--out", "S4.loom/a/b"), "S4.loom is a file; name a folder"),
        (("--out", "."), "is the folder that this runs in"),
        (("--out", "No.thing", "Nowhere.loom"), "Nowhere.loom: no such file"),
    ],
)
def test_publish_that_cannot_run(project: Path, run: Run, arguments: tuple[str, ...], says: str) -> None:
    done = run("publish", "S2.loom", "--out", "pack", *arguments, cwd=project)
    assert done.returncode == 2
    assert says in done.stderr.splitlines()[-1]
    assert "Traceback" not in done.stderr
    assert not (project / "pack").exists()


@pytest.mark.parametrize("epoch", ["", "soon", "1e9", "-5", "9" * 14])
def test_a_date_of_the_surroundings_that_is_none_stops_only_a_pack(project: Path, run: Run, epoch: str) -> None:
    env = {"SOURCE_DATE_EPOCH": epoch}
    check = run("check", "S2.loom", cwd=project, env=env)
    assert (check.returncode, "crashed" in check.stdout) == (0, False)
    measured = run("measure", "S2.loom", cwd=project, env=env)
    assert (measured.returncode, measured.stderr) == (0, "")
    order = ("publish", "S2.loom", "--out", "pack", "--formats", "json")
    done = run(*order, cwd=project, env=env)
    assert done.returncode == (2 if epoch else 0)
    assert (f"SOURCE_DATE_EPOCH is {epoch!r}: it must be whole seconds" in done.stderr) is bool(epoch)
    assert run(*order, "--date", "2026-09-30", cwd=project, env=env).returncode == 0


def test_a_full_place_for_messages_leaves_the_exit_code(project: Path, root: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        for words, code in (("check nowhere", 2), ("publish S2.loom --out pack --formats json", 0), ("check", 2)):
            done = subprocess.run(
                [sys.executable, "-m", "loomwright", *words.split()], cwd=project, stdout=subprocess.DEVNULL,
                stderr=full, check=False, env={**os.environ, "PYTHONPATH": str(root)},
            )  # fmt: skip
            assert done.returncode == code, words


def test_a_folder_that_is_no_pack_is_left_alone(project: Path, run: Run) -> None:
    done = run("publish", "S2.loom", "--out", "shared", "--formats", "json", cwd=project)
    assert done.returncode == 2
    assert (project / "shared/body.loom").exists()


@pytest.mark.parametrize(
    "words",
    [
        "check PIPE",
        "check /dev/zero",
        "format PIPE",
        "diff PIPE S4.loom",
        "diff S4.loom PIPE.json",
        "diff PIPE.json S4.loom",
        "measure PIPE F1",
        "trace PIPE A B",
        "isolate PIPE --list",
        "isolate S4.loom --resume PIPE.json",
        "publish PIPE --out x",
        "publish PIPE --out x --watch",
        "publish S4.loom PIPE --out x --combined",
        "publish S2.loom --out x --since PIPE.json",
        "import PIPE --out y.loom",
        "import list.csv --items PIPE --out y.loom",
        "import list.csv --fuses /dev/zero --out y.loom",
        "import list.csv --header PIPE --out y.loom",
    ],
)
def test_a_pipe_or_a_device_in_place_of_a_file_is_refused_at_once(project: Path, run: Run, words: str) -> None:
    """Nobody writes into the pipe: who waits for it waits for ever."""
    for name in ("pipe.loom", "pipe.json"):
        os.mkfifo(project / name)
    (project / "list.csv").write_text("Wire,From,To\n1,A.1,B.1\n", "utf-8")
    before = sorted(project.rglob("*"))
    done = run(*words.replace("PIPE.json", "pipe.json").replace("PIPE", "pipe.loom").split(), cwd=project)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.splitlines()[-1].endswith(": is no plain file")
    assert sorted(path for path in project.rglob("*") if "cache" not in path.parts) == before


def test_what_is_no_file_in_a_pack_of_old_is_no_inventory(project: Path, run: Run) -> None:
    (project / "old").mkdir()
    os.mkfifo(project / "old" / "inventory.json")
    done = run("diff", "old", "S4.loom", cwd=project)
    assert done.returncode == 2
    assert "no inventory.json in this folder" in done.stderr
