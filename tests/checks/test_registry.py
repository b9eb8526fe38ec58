"""The registry: checks are found by standing in the folder, and what they say of themselves holds together."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from compiler import checks as package
from compiler.checks import READING, checks, known_names, page
from compiler.checks.base import Check, Subject
from grammar.finding import Severity

FAMILIES = {
    "names and references",
    "cavities and connectors",
    "wires, sizes, colours",
    "protection and feeds",
    "grounds and returns",
    "locations, sheets and index",
    "electrical behaviour",
    "testability",
}
FOLDER = Path(package.__file__).parent
FRAME = {"__init__", "base", "run"}


def module_of(check: Check) -> str:
    return type(check).__module__.rpartition(".")[2]


def test_every_module_is_a_check_and_every_check_a_module() -> None:
    modules = {p.stem for p in FOLDER.glob("*.py")} - FRAME
    assert {module_of(check) for check in checks().values()} == {m for m in modules if not m.startswith("_")}


def test_every_page_belongs_to_a_name_and_every_name_has_a_page() -> None:
    assert {p.stem for p in (FOLDER / "pages").iterdir()} == set(known_names())


@pytest.mark.parametrize("name", checks())
def test_a_check_says_what_it_is(name: str) -> None:
    check = checks()[name]
    assert check.name == name
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", name), "plain words, readable behind `allow`"
    assert module_of(check) == name.replace("-", "_"), "module and name are one"
    assert check.severity in Severity
    assert check.family in FAMILIES
    assert re.fullmatch(r"\d+\.\d+", check.since)
    assert f"pages/{name}.md" in (type(check).__doc__ or "")


def test_no_two_checks_share_a_name() -> None:
    names = [
        statement.value.value
        for path in FOLDER.glob("*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.ClassDef)
        for statement in node.body
        if isinstance(statement, ast.Assign) and ast.unparse(statement.targets[0]) == "name"
        if isinstance(statement.value, ast.Constant) and isinstance(statement.value.value, str)
    ]
    assert len(names) == len(checks())
    assert sorted(names) == sorted(set(names))
    assert not set(names) & set(READING)


def test_a_policy_stands_on_the_page_of_each_check_that_goes_by_it() -> None:
    owners = [(policy, name) for name, check in checks().items() for policy in check.policies]
    assert ("wires-per-cavity", "cavity-overfilled") in owners
    assert [(policy, name) for policy, name in owners if f"`{policy}`" not in page(name)] == []


def test_an_unknown_name_has_no_page() -> None:
    with pytest.raises(KeyError, match="no-such-check"):
        page("no-such-check")


def test_a_check_without_a_run_is_a_mistake_of_ours() -> None:
    class Empty(Check):
        name = "empty-check"

    subject = Subject.__new__(Subject)
    subject.variant = type("V", (), {"id": "S4"})()
    with pytest.raises(AssertionError, match="empty-check has no run for S4"):
        Empty().run(subject)
