"""`use`: what is read, once and in order, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.flatten import MAX_DEPTH, MAX_FRAGMENTS
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from tests.assembly.sources import assembled, said, variant_of, write


def test_a_fragment_is_read_relative_to_the_file_that_uses_it(tmp_path: Path) -> None:
    variant = variant_of(
        tmp_path,
        {
            "lines/S4.loom": 'variant S4\nuse "../shared/body.loom"\nharness own',
            "shared/body.loom": 'use "zones/cab.loom"\nharness body',
            "shared/zones/cab.loom": "harness cab",
        },
    )
    assert list(variant.harnesses) == ["cab", "body", "own"]
    assert {h.id: h.fragment for h in variant.harnesses.values()} == {
        "cab": "shared/zones/cab.loom",
        "body": "shared/body.loom",
        "own": "",
    }
    names = [source.name for source in variant.sources]
    assert names == ["lines/S4.loom", "shared/body.loom", "shared/zones/cab.loom"]


def test_a_fragment_used_twice_counts_once(tmp_path: Path) -> None:
    files = {
        "S4.loom": 'variant S4\nuse "a.loom"\nuse "b.loom"\nuse "./a.loom"',
        "a.loom": "harness a",
        "b.loom": 'use "a.loom"\nharness b',
    }
    variant = variant_of(tmp_path, files)
    assert list(variant.harnesses) == ["a", "b"]
    assert variant.duplicates == ()


def test_a_fragment_is_parsed_once_for_all_variants(tmp_path: Path) -> None:
    write(
        tmp_path, {"S4.loom": 'variant S4\nuse "a.loom"', "S5.loom": 'variant S5\nuse "a.loom"', "a.loom": "harness a"}
    )
    library = Library(find_project(tmp_path))
    first, second = (assemble(library, tmp_path / name).variant for name in ("S4.loom", "S5.loom"))
    assert first is not None
    assert second is not None
    assert first.harnesses["a"].at.source is second.harnesses["a"].at.source


@pytest.mark.parametrize(
    ("files", "check", "at"),
    [
        ({"S4.loom": 'variant S4\nuse "S4.loom"'}, "fragment-loop", "S4.loom:2:5"),
        ({"S4.loom": 'variant S4\nuse "a.loom"', "a.loom": 'use "./a.loom"'}, "fragment-loop", "a.loom:1:5"),
        (
            {"S4.loom": 'variant S4\nuse "a.loom"', "a.loom": 'use "b.loom"', "b.loom": 'use "S4.loom"'},
            "fragment-loop",
            "b.loom:1:5",
        ),
        ({"S4.loom": 'variant S4\nuse "gone.loom"'}, "fragment-missing", "S4.loom:2:5"),
        ({"S4.loom": 'variant S4\nuse ""'}, "fragment-missing", "S4.loom:2:5"),
        ({"S4.loom": 'variant S4\nuse "../S4.loom"'}, "outside-project", "S4.loom:2:5"),
        ({"S4.loom": 'variant S4\nuse "a/../../b.loom"'}, "outside-project", "S4.loom:2:5"),
    ],
)
def test_what_cannot_be_used_is_one_finding(tmp_path: Path, files: dict[str, str], check: str, at: str) -> None:
    done = assembled(tmp_path, files)
    assert [(name, place) for name, place, _ in said(done)] == [(check, at)]
    assert done.variant is not None
    assert done.complete is (check == "fragment-loop")


def test_the_notes_of_a_loop_show_the_way_round(tmp_path: Path) -> None:
    files = {"S4.loom": 'variant S4\nuse "a.loom"', "a.loom": 'use "b.loom"', "b.loom": 'use "a.loom"'}
    (finding,) = assembled(tmp_path, files).findings
    assert [(str(note.at), note.says) for note in finding.notes] == [("a.loom:1:5", "used from here")]


def test_an_absolute_path_is_refused_even_inside_the_project(tmp_path: Path) -> None:
    files = {"S4.loom": f'variant S4\nuse "{(tmp_path / "a.loom").as_posix()}"', "a.loom": "harness a"}
    assert [check for check, _, _ in said(assembled(tmp_path, files))] == ["outside-project"]


def test_nothing_outside_the_project_is_read_through_a_link(tmp_path: Path) -> None:
    outside, project = tmp_path / "outside", tmp_path / "project"
    outside.mkdir()
    project.mkdir()
    (outside / "secret.loom").write_text("harness hidden", "utf-8")
    (project / "file.loom").symlink_to(outside / "secret.loom")
    (project / "folder").symlink_to(outside)
    done = assembled(project, {"S4.loom": 'variant S4\nuse "file.loom"\nuse "folder/secret.loom"'})
    assert [check for check, _, _ in said(done)] == ["outside-project"] * 2
    assert done.variant is not None
    assert "hidden" not in done.variant.harnesses
    assert not any("hidden" in source.text for source in done.variant.sources)


def test_a_link_inside_the_project_is_followed(tmp_path: Path) -> None:
    (tmp_path / "a.loom").write_text("harness a", "utf-8")
    (tmp_path / "link.loom").symlink_to(tmp_path / "a.loom")
    variant = variant_of(tmp_path, {"S4.loom": 'variant S4\nuse "link.loom"\nuse "a.loom"'})
    assert list(variant.harnesses) == ["a"]


def test_a_link_to_itself_is_as_missing_as_a_file_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "ring.loom").symlink_to(tmp_path / "ring.loom")
    done = assembled(tmp_path, {"S4.loom": 'variant S4\nuse "ring.loom"'})
    assert [check for check, _, _ in said(done)] == ["fragment-missing"]


def test_a_name_that_no_path_can_hold_is_a_finding(tmp_path: Path) -> None:
    done = assembled(tmp_path, {"S4.loom": f'variant S4\nuse "{"a" * 5000}.loom"'})
    assert [check for check, _, _ in said(done)] == ["fragment-missing"]


def test_a_fragment_in_another_encoding_leaves_the_model_incomplete(tmp_path: Path) -> None:
    path = write(tmp_path, {"S4.loom": 'variant S4\nuse "a.loom"'})
    (tmp_path / "a.loom").write_bytes("harness a".encode("utf-16"))
    done = assemble(Library(find_project(path)), path)
    assert [(check, at) for check, at, _ in said(done)] == [("syntax", "a.loom:1:1")]
    assert not done.complete


def test_fragments_too_deep_are_refused(tmp_path: Path) -> None:
    files = {f"f{n}.loom": f'use "f{n + 1}.loom"\nharness h{n}' for n in range(MAX_DEPTH + 5)}
    done = assembled(tmp_path, {"S4.loom": 'variant S4\nuse "f0.loom"', **files})
    assert [check for check, _, _ in said(done)] == ["limit"]
    assert done.variant is not None
    assert len(done.variant.harnesses) == MAX_DEPTH


def test_too_many_fragments_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("compiler.assembly.flatten.MAX_FRAGMENTS", 10)
    assert MAX_FRAGMENTS > 1000
    files = {f"f{n}.loom": f"harness h{n}" for n in range(12)}
    uses = "\n".join(f'use "{name}"' for name in files)
    done = assembled(tmp_path, {"S4.loom": f"variant S4\n{uses}", **files})
    assert {check for check, _, _ in said(done)} == {"limit"}


def test_a_missing_fragment_is_guessed_from_its_neighbours(tmp_path: Path) -> None:
    done = assembled(tmp_path, {"S4.loom": 'variant S4\nuse "shared/zone.loom"', "shared/zones.loom": ""})
    assert done.findings[0].mend == "did you mean zones.loom?"


def test_a_file_without_a_variant_says_so_once(tmp_path: Path) -> None:
    done = assembled(tmp_path, {"S4.loom": "harness a"})
    assert done.variant is None
    assert [says for _, _, says in said(done)] == ["this file has no `variant` statement"]


@pytest.mark.parametrize("text", ['variant S4 "Utility truck\n', "variant\nharness a\n"])
def test_a_variant_that_cannot_be_read_is_not_called_missing_too(tmp_path: Path, text: str) -> None:
    done = assembled(tmp_path, {"S4.loom": text})
    assert done.variant is None
    assert len(done.findings) == 1
    assert "no `variant` statement" not in done.findings[0].says
