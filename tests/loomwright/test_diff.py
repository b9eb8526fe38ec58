"""`loomwright diff` and `publish --since`, as a user runs them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from compiler.changes.change import GROUPS
from loomwright.reports.changed_json import changed_json
from tests.changes.vehicles import demo_inventory
from tests.loomwright.conftest import CLEAN, FRAGMENT, Make, Run, variant

KEYS = {
    "what", "action", "group", "sort", "name", "title", "old_ids", "ids", "fact", "old", "new", "partial", "parts",
    "circuits", "items", "sheets", "says",
}  # fmt: skip


@pytest.fixture
def issues(make: Make) -> Path:
    """Two issues of S2 in project folders of their own: the old one and the new one."""
    files: dict[str, str | bytes] = {}
    for issue, colour in (("old", "BK/WH"), ("new", "BK/YE")):
        files[f"{issue}/loomwright.toml"] = ""
        files[f"{issue}/shared/body.loom"] = FRAGMENT
        files[f"{issue}/S2.loom"] = variant("S2", CLEAN.replace("BK/WH", colour))
    return make(files)


def test_what_changed_is_said_and_told_by_the_exit_code(run: Run, issues: Path) -> None:
    done = run("diff", issues / "old/S2.loom", issues / "new/S2.loom")
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout == (
        "Changes of S2\n"
        "  - S2, Truck S2\n"
        "  + S2, Truck S2\n"
        "\n"
        "Wires  1\n"
        "  ~ 48A 48B  recoloured: BK/WH -> BK/YE  [sheet 1]\n"
        "\n"
        "1 change; sheet changed: 1\n"
    )


def test_nothing_changed(run: Run, issues: Path) -> None:
    done = run("diff", issues / "old/S2.loom", issues / "old/S2.loom")
    assert (done.returncode, done.stdout) == (0, "nothing changed between the two issues of S2\n")
    assert json.loads(run("diff", "--format", "json", *[issues / "old/S2.loom"] * 2).stdout)["changes"] == []


def test_json_has_its_shape(run: Run, issues: Path) -> None:
    done = run("diff", "--format", "json", issues / "old/S2.loom", issues / "new/S2.loom")
    assert done.returncode == 1
    data = json.loads(done.stdout)
    assert {key: data[key] for key in ("version", "is_issue", "sheets")} == {
        "version": 1,
        "is_issue": True,
        "sheets": {"changed": ["1"], "added": [], "removed": [], "lit": {}},
    }
    (change,) = data["changes"]
    assert set(change) == KEYS
    assert change["says"] == "wires 48A 48B recoloured: BK/WH -> BK/YE"
    assert change["ids"] == ["48A", "48B"]


def test_every_statement_of_a_large_difference_has_the_shape() -> None:
    from compiler.changes.compare import compare

    data: dict[str, Any] = json.loads(changed_json(compare(demo_inventory("S2"), demo_inventory("S4"))))
    assert len(data["changes"]) > 100
    assert {frozenset(change) for change in data["changes"]} == {frozenset(KEYS)}
    groups = [GROUPS.index(change["group"]) for change in data["changes"]]
    assert groups == sorted(groups)


def test_an_issue_is_compared_with_the_pack_of_the_last(run: Run, issues: Path) -> None:
    pack = issues / "pack"
    assert run("publish", issues / "old/S2.loom", "--out", pack, "--formats", "json").returncode == 0
    for old in (pack, pack / "inventory.json"):
        done = run("diff", old, issues / "new/S2.loom")
        assert (done.returncode, done.stderr) == (1, "")
        assert "48A 48B  recoloured: BK/WH -> BK/YE" in done.stdout
    assert run("diff", pack, issues / "old/S2.loom").returncode == 0


def test_a_pack_says_what_changed_since(run: Run, issues: Path) -> None:
    pack = issues / "pack"
    run("publish", issues / "old/S2.loom", "--out", pack, "--formats", "json")
    done = run("publish", issues / "new/S2.loom", "--out", pack, "--formats", "json", "--since", pack)
    assert done.returncode == 0, done.stderr
    sections = json.loads((pack / "pack.json").read_text("utf-8"))["sections"]
    assert [s["title"] for s in sections if s["id"] == "changes"] == ["Changes since the last issue"]
    wires = next(b for s in sections for b in s["blocks"] if b.get("id") == "changes-wires")
    assert wires["rows"][0]["cells"]["before"] == "BK/WH"
    assert run("diff", pack, issues / "new/S2.loom").returncode == 0


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("none.json", None, "no such file"),
        ("none.loom", None, "no such file"),
        ("bad.json", b"{", "this is no JSON"),
        ("bad.json", b"\x80", "this is no JSON"),
        ("pack.json", b'{"schema": "loomwright-pack/1"}', "its schema is loomwright-pack/1"),
        ("odd.json", b'{"schema": "loomwright-inventory/\\u001b[31m9"}', "its schema is"),
        ("deep.json", b"[" * 200_000, "this is no JSON"),
        ("folder/readme", b"", "no inventory.json in this folder"),
        ("fragment.loom", b"harness a\n", "no variant can be read"),
    ],
)
def test_what_cannot_be_compared_is_one_line(run: Run, issues: Path, name: str, data: bytes | None, says: str) -> None:
    path = issues / name
    if data is not None:
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    old = path.parent if "/" in name else path
    for arguments in ((old, issues / "new/S2.loom"), (issues / "new/S2.loom", old)):
        done = run("diff", *arguments)
        assert (done.returncode, done.stdout) == (2, "")
        assert says in done.stderr
        assert done.stderr.count("\n") == 1
        assert "\x1b" not in done.stderr
    done = run("publish", issues / "new/S2.loom", "--out", issues / "out", "--formats", "json", "--since", old)
    assert done.returncode == 2
    assert not (issues / "out").exists()


def test_hostile_words_stay_words(run: Run, issues: Path) -> None:
    pack = issues / "pack"
    run("publish", issues / "old/S2.loom", "--out", pack, "--formats", "json")
    kept = json.loads((pack / "inventory.json").read_text("utf-8"))
    kept["variant"]["title"] = "a\x1b[2Jb\r\n\u202ec\ud800"
    kept["things"]["circuit"]["\x1b]0;x\x07"] = {"title": "<script>\x9b1m"}
    kept["things"]["wire"]["48A"]["colour"] = "\x1b[31mRD"
    (pack / "inventory.json").write_text(json.dumps(kept), "utf-8")
    for how in ("terminal", "json"):
        done = run("diff", "--format", how, pack, issues / "new/S2.loom", "--color", "never")
        assert (done.returncode, done.stderr) == (1, "")
        assert not set("\x1b\x07\x9b\r\u202e") & set(done.stdout)
    done = run("publish", issues / "new/S2.loom", "--out", issues / "out", "--formats", "html,json", "--since", pack)
    assert done.returncode == 0, done.stderr
    page = (issues / "out" / "index.html").read_text("utf-8")
    assert "&lt;script&gt;" in page
    assert "\x1b" not in page


def test_a_folder_of_packs_gives_the_one_of_the_variant(run: Run, issues: Path) -> None:
    run("publish", issues / "old/S2.loom", "--out", issues / "packs/S2", "--formats", "json")
    done = run(
        "publish", issues / "new/S2.loom", "--out", issues / "out", "--formats", "json", "--since", issues / "packs"
    )
    assert done.returncode == 0, done.stderr
    assert '"changes-wires"' in (issues / "out/pack.json").read_text("utf-8")


def test_a_variant_that_is_new_in_the_line_is_published_without_changes(run: Run, issues: Path) -> None:
    run("publish", issues / "old/S2.loom", "--out", issues / "packs/S2", "--formats", "json")
    (issues / "new/S9.loom").write_text(variant("S9", CLEAN), "utf-8")
    done = run("publish", issues / "new", "--out", issues / "out", "--formats", "json", "--since", issues / "packs")
    assert done.returncode == 0, done.stderr
    assert "S9: no earlier issue in" in done.stderr
    assert '"changes-wires"' in (issues / "out/S2/pack.json").read_text("utf-8")
    assert '"id": "changes"' not in (issues / "out/S9/pack.json").read_text("utf-8")


def test_an_issue_is_found_in_the_folder_that_publish_gave_its_pack(run: Run, issues: Path) -> None:
    for issue in ("old", "new"):
        text = (issues / issue / "S2.loom").read_text("utf-8")
        (issues / issue / "S2.loom").write_text(text.replace("variant S2", "variant A@b"), "utf-8")
        (issues / issue / "S3.loom").write_text(variant("S3", CLEAN), "utf-8")
    assert run("publish", issues / "old", "--out", issues / "packs", "--formats", "json").returncode == 0
    assert (issues / "packs/A_b/inventory.json").is_file()
    done = run("publish", issues / "new", "--out", issues / "out", "--formats", "json", "--since", issues / "packs")
    assert "no earlier issue" not in done.stderr
    assert '"changes-wires"' in (issues / "out/A_b/pack.json").read_text("utf-8")


def test_the_pack_of_another_variant_whose_folder_has_the_same_name_is_no_earlier_issue(run: Run, issues: Path) -> None:
    run("publish", issues / "old/S2.loom", "--out", issues / "packs/S_2", "--formats", "json")
    text = (issues / "new/S2.loom").read_text("utf-8").replace("variant S2", "variant S@2")
    (issues / "new/S2.loom").write_text(text, "utf-8")
    done = run("publish", issues / "new", "--out", issues / "out", "--formats", "json", "--since", issues / "packs")
    assert "S@2: no earlier issue in" in done.stderr


def test_packs_are_compared_by_their_drawings_too(run: Run, issues: Path) -> None:
    """The order of a sheet's circuits is no change of the vehicle, but what is drawn otherwise differs."""
    for issue in ("old", "new"):
        run("publish", issues / issue / "S2.loom", "--out", issues / f"{issue}-pack", "--formats", "json")
    same = run("diff", issues / "old-pack", issues / "old-pack")
    assert (same.returncode, same.stdout) == (0, "nothing changed between the two issues of S2\n")
    path = issues / "new-pack/inventory.json"
    kept = json.loads((issues / "old-pack/inventory.json").read_text("utf-8"))
    kept["drawn"]["pages"]["1"] = "0 0"
    path.write_text(json.dumps(kept), "utf-8")
    done = run("diff", issues / "old-pack", issues / "new-pack")
    assert done.returncode == 1
    assert done.stdout.endswith("0 changes; sheet changed: 1\n")
    data = json.loads(run("diff", "--format", "json", issues / "old-pack", issues / "new-pack").stdout)
    assert data["sheets"] == {"changed": ["1"], "added": [], "removed": [], "lit": {}}
