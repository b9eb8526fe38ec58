"""`loomwright check`: what it runs on, what it says, how it ends."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.loomwright.conftest import CLEAN, DANGLING, FRAGMENT, Make, Run, variant


def found(run: Run, *arguments: str | Path, cwd: Path) -> dict[str, Any]:
    """The JSON report of a run."""
    data: dict[str, Any] = json.loads(run("check", *arguments, "--format", "json", cwd=cwd).stdout)
    return data


def checks(data: dict[str, Any]) -> list[tuple[str, str, list[str]]]:
    return [(f["check"], f["place"]["file"] if f["place"] else "", f["variants"]) for f in data["findings"]]


# -- exit codes --------------------------------------------------------------------------------------------------
def test_a_clean_variant_ends_with_0(project: Path, run: Run) -> None:
    done = run("check", "S2.loom", "--only", "dangling-cavity", cwd=project)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("no findings")
    assert "(1 variant, 2 files, " in done.stdout


def test_an_error_ends_with_1(project: Path, run: Run) -> None:
    done = run("check", "S4.loom", cwd=project)
    assert (done.returncode, done.stderr) == (1, "")
    assert "dangling-cavity" in done.stdout


def test_a_warning_ends_with_1_only_when_strict(project: Path, run: Run) -> None:
    (project / "loomwright.toml").write_text('[severity]\ndangling-cavity = "warning"\n', "utf-8")
    arguments = ("check", "S4.loom", "--only", "dangling-cavity")
    assert run(*arguments, cwd=project).returncode == 0
    assert run(*arguments, "--strict", cwd=project).returncode == 1


CANNOT_RUN = [
    (("check",), "missing argument 'PATH...'"),
    (("check", "nowhere.loom"), "nowhere.loom: no such file or directory"),
    (("check", "S2.loom/x"), "not a directory"),
    (("check", "empty"), "no .loom file in this folder"),
    (("check", "S2.loom", "--only", "dangling-cavty"), "did you mean dangling-cavity?"),
    (("check", "S2.loom", "--skip", "zzz"), "loomwright explain"),
    (("check", "S2.loom", "--format", "xml"), "'xml' is not one of"),
    (("check", "S2.loom", "--jobs", "-1"), "'--jobs'"),
    (("check", "bad/x.loom"), "loomwright.toml"),
    (("check", "unknown/x.loom"), "did you mean dangling-cavity?"),
    (("check", "deep/x.loom"), "loomwright.toml: nested too deep"),
    (("chek",), "no such command 'chek'"),
    (("check", "--frmat", "json"), "--format"),
]


@pytest.mark.parametrize(("arguments", "says"), CANNOT_RUN)
def test_what_cannot_run_ends_with_2_and_one_line(
    project: Path, run: Run, arguments: tuple[str, ...], says: str
) -> None:
    deep = "x = " + "[" * 5000 + "]" * 5000
    for folder, settings in (("bad", "[severity"), ("unknown", '[severity]\ndangling-cavty = "off"\n'), ("deep", deep)):
        (project / folder).mkdir()
        (project / folder / "loomwright.toml").write_text(settings, "utf-8")
        (project / folder / "x.loom").write_text(variant("X", ""), "utf-8")
    (project / "empty").mkdir()
    done = run(*arguments, cwd=project)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert done.stderr.startswith("loomwright: ")
    assert says in done.stderr


def test_a_file_that_may_not_be_read(project: Path, run: Run) -> None:
    # Root may read everything: a folder where a file is expected fails for everybody.
    (project / "shared/body.loom").unlink()
    (project / "shared/body.loom").mkdir()
    done = run("check", "S2.loom", cwd=project)
    assert done.returncode == 1
    assert "fragment shared/body.loom" in done.stdout or "plain file" in done.stdout
    assert done.stderr == ""


def test_a_pipe_in_the_folder_or_in_a_source_is_a_finding(project: Path, run: Run) -> None:
    os.mkfifo(project / "pipe.loom")
    done = run("check", ".", cwd=project)
    assert done.returncode == 1
    assert "not a plain file" in done.stdout
    with (project / "S2.loom").open("a") as file:
        file.write('use "pipe.loom"\n')
    done = run("check", "S2.loom", cwd=project)
    assert done.returncode == 1
    assert "not a plain file" in done.stdout


# -- which files -------------------------------------------------------------------------------------------------
def test_a_folder_is_every_variant_below_it(project: Path, run: Run) -> None:
    data = found(run, ".", cwd=project)
    assert data["variants"] == ["S2", "S4"]
    assert ("dangling-cavity", "S4.loom", ["S4"]) in checks(data)


def test_a_finding_in_a_fragment_is_told_once_with_its_variants(project: Path, run: Run) -> None:
    (project / "shared/body.loom").write_text(FRAGMENT + 'splice "unfinished\n', "utf-8")
    data = found(run, ".", "--only", "syntax", cwd=project)
    assert checks(data) == [("syntax", "shared/body.loom", ["S2", "S4"])]
    text = run("check", ".", "--only", "syntax", cwd=project).stdout
    assert text.count("shared/body.loom:7:8") == 1
    assert "in both variants" in text


def test_a_fragment_that_no_variant_uses_is_read_too(project: Path, run: Run) -> None:
    (project / "shared/lone.loom").write_text('splice "unfinished\n', "utf-8")
    assert ("syntax", "shared/lone.loom", []) in checks(found(run, ".", cwd=project))
    alone = run("check", "shared/body.loom", cwd=project)
    assert alone.returncode == 0
    assert "(1 file, " in alone.stdout


def test_hidden_folders_are_passed_by(project: Path, run: Run) -> None:
    (project / ".cache").mkdir()
    (project / ".cache/old.loom").write_text('splice "unfinished\n', "utf-8")
    assert all(".cache" not in file for _, file, _ in checks(found(run, ".", cwd=project)))


def test_a_link_out_of_the_project_is_not_followed(project: Path, run: Run, tmp_path: Path) -> None:
    outside = tmp_path / "secret.loom"
    outside.write_text("secret words {\n", "utf-8")
    (project / "link.loom").symlink_to(outside)
    (project / "folder").symlink_to(tmp_path)
    done = run("check", ".", cwd=project)
    assert "secret words" not in done.stdout
    assert "outside-project" in done.stdout
    assert done.returncode == 1


def test_a_link_to_nothing_is_told_and_the_rest_is_checked(project: Path, run: Run) -> None:
    (project / "shared/.#body.loom").symlink_to("me@host.1")  # the lock that an editor leaves while a file is open
    before = found(run, ".", cwd=project)["findings"]
    (project / "gone.loom").symlink_to("nowhere.loom")
    (project / "shared/round.loom").symlink_to("round.loom")
    after = found(run, ".", cwd=project)["findings"]
    told = [(f["check"], f["says"]) for f in after if f not in before]
    assert told == [
        ("fragment-missing", "the link gone.loom leads to nothing"),
        ("fragment-missing", "the link shared/round.loom leads to nothing"),
    ]
    assert len(before) == len(after) - 2 > 0
    assert run("publish", "S2.loom", "--out", "pack", "--formats", "json", cwd=project).returncode == 0


def test_a_file_named_twice_is_checked_once(project: Path, run: Run) -> None:
    assert found(run, "S2.loom", "./S2.loom", ".", cwd=project)["variants"] == ["S2", "S4"]


def test_paths_are_shown_from_where_the_command_runs(project: Path, run: Run) -> None:
    places = {
        where: [file for check, file, _ in checks(found(run, target, cwd=folder)) if check == "dangling-cavity"]
        for where, folder, target in (
            ("in", project, "S4.loom"),
            ("above", project.parent, "project/S4.loom"),
            ("below", project / "shared", "../S4.loom"),
        )
    }
    assert places == {"in": ["S4.loom"], "above": ["project/S4.loom"], "below": ["../S4.loom"]}


def test_several_projects_in_one_run(make: Make, run: Run) -> None:
    files: dict[str, str | bytes] = {}
    for name, level in (("one", "error"), ("two", "note")):
        files |= {
            f"{name}/loomwright.toml": f'[severity]\ndangling-cavity = "{level}"\n',
            f"{name}/shared/body.loom": FRAGMENT,
            f"{name}/S4.loom": variant("S4", DANGLING),
        }
    data = found(run, ".", "--only", "dangling-cavity", cwd=make(files))
    assert [(f["place"]["file"], f["severity"]) for f in data["findings"]] == [
        ("one/S4.loom", "error"),
        ("two/S4.loom", "note"),
    ]


# -- what is shown -----------------------------------------------------------------------------------------------
def test_only_and_skip(project: Path, run: Run) -> None:
    (project / "S4.loom").write_text(variant("S4", DANGLING) + 'splice "unfinished\n', "utf-8")
    only = {check for check, _, _ in checks(found(run, "S4.loom", "--only", "dangling-cavity", cwd=project))}
    assert only == {"dangling-cavity", "syntax"}  # what could not be read is told in any case
    skipped = {check for check, _, _ in checks(found(run, "S4.loom", "--skip", "dangling-cavity", cwd=project))}
    assert "dangling-cavity" not in skipped


def test_quiet_leaves_the_summary_out(project: Path, run: Run) -> None:
    assert run("check", "S2.loom", "--only", "dangling-cavity", "--quiet", cwd=project).stdout == ""
    assert run("check", "S4.loom", "--only", "dangling-cavity", "-q", cwd=project).stdout.endswith("on tailgate`\n\n")


@pytest.mark.parametrize(
    ("arguments", "env", "coloured"),
    [
        ((), {}, False),
        (("--color", "always"), {}, True),
        (("--colour", "always"), {"NO_COLOR": "1"}, True),
        (("--color", "never"), {}, False),
        ((), {"NO_COLOR": "1"}, False),
    ],
)
def test_colour_in_a_pipe_only_when_asked(
    project: Path, run: Run, arguments: tuple[str, ...], env: dict[str, str], coloured: bool
) -> None:
    assert ("\x1b[" in run("check", "S4.loom", *arguments, cwd=project, env=env).stdout) == coloured


@pytest.mark.parametrize("form", ["terminal", "json", "sarif", "github"])
def test_two_runs_print_the_same(project: Path, run: Run, form: str) -> None:
    first, second = (run("check", ".", "--quiet", "--format", form, cwd=project).stdout for _ in range(2))
    assert first == second
    assert first


@pytest.mark.parametrize("form", ["terminal", "json", "sarif", "github"])
def test_hostile_sources_steer_nothing(project: Path, run: Run, form: str) -> None:
    text = 'splice \x1b[2J\x1b]0;owned\x07 "x\u202e [bold]::error::" in nowhere\r\n'
    (project / "shared/body.loom").write_text(FRAGMENT + text, "utf-8")
    out = run("check", "S4.loom", "--format", form, cwd=project).stdout
    assert "\x1b" not in out
    assert "\x07" not in out
    assert "\u202e" not in out


def test_sarif_of_a_run_is_valid_and_carries_the_pages(project: Path, run: Run, root: Path) -> None:
    log = json.loads(run("check", ".", "--format", "sarif", cwd=project).stdout)
    schema = json.loads((root / "tests/data/sarif-2.1.0/sarif-schema-2.1.0.json").read_text("utf-8"))
    jsonschema.Draft7Validator(schema).validate(log)
    rules = {rule["id"]: rule for rule in log["runs"][0]["tool"]["driver"]["rules"]}
    assert rules["dangling-cavity"]["help"]["text"].startswith("# dangling-cavity")
    assert rules["dangling-cavity"]["shortDescription"]["text"] == "A cavity is wired on one half only."
    uris = {
        result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        for result in log["runs"][0]["results"]
        if "locations" in result
    }
    assert "S4.loom" in uris
    assert not any(uri.startswith(("/", "file:")) for uri in uris)


def test_github_lines_of_a_run(project: Path, run: Run) -> None:
    done = run("check", ".", "--format", "github", "--only", "dangling-cavity", cwd=project)
    assert done.stdout.startswith("::error file=S4.loom,line=4,endLine=4,col=12,endColumn=17,title=dangling-cavity::")


# -- many variants -----------------------------------------------------------------------------------------------
@pytest.fixture
def many(make: Make) -> Path:
    """Forty variants of one fragment; every fourth has a cavity wired on one half, the last one is no text."""
    files: dict[str, str | bytes] = {"loomwright.toml": "", "shared/body.loom": FRAGMENT + 'splice "unfinished\n'}
    for number in range(40):
        circuits = DANGLING if number % 4 == 0 else CLEAN
        files[f"variants/V{number:02}.loom"] = variant(f"V{number:02}", circuits).replace("shared", "../shared")
    files["variants/V39.loom"] = variant("V39", CLEAN).encode() + b"\xff\xfe\n"
    return make(files)


def test_processes_change_nothing(many: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    import loomwright.run
    from loomwright.reports.json import json_text

    monkeypatch.chdir(many)
    alone = loomwright.run.run([many], jobs=1)
    monkeypatch.setattr(loomwright.run, "_WORTH_FORKING_S", 0.0)
    together = loomwright.run.run([many], jobs=2)
    assert json_text(together, "x") == json_text(alone, "x")
    assert (together.files, together.waived, together.variants) == (alone.files, alone.waived, alone.variants)
    assert alone.files == 41


def test_every_fragment_is_parsed_once_and_variants_are_let_go(many: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import gc

    import loomwright.run
    from compiler.assembly import library
    from grammar.parser import Parsed, parse
    from grammar.source import Source
    from grammar.tree import SyntaxTree

    parsed: list[str] = []
    alive: list[int] = []

    def watched(source: Source) -> Parsed:
        gc.collect()
        parsed.append(source.name)
        alive.append(sum(isinstance(thing, SyntaxTree) for thing in gc.get_objects()))
        return parse(source)

    monkeypatch.setattr(library, "parse", watched)
    loomwright.run.run([many], jobs=1)
    assert parsed.count("shared/body.loom") == 1
    assert len(parsed) == 41
    # The fragment's tree, and what outlives one variant at most, however many there were before.
    assert alive[-1] - alive[2] <= 1


def test_what_goes_wrong_in_a_process_is_told_as_usual(many: Path, run: Run) -> None:
    (many / "variants/loomwright.toml").write_text("[policy]\nnothing-of-the-kind = 1\n", "utf-8")
    done = run("check", ".", "--jobs", "2", cwd=many)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
