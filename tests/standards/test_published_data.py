"""The data files as a whole: source and grade everywhere, and nothing read before it is asked for."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from compiler.standards.grades import as_grade, enforceable, grade_words

MODULES = ["colours", "drop", "fuses", "grades", "links", "protection", "repairs", "sizes", "swatches", "terminals"]


def data_files(root: Path) -> list[Path]:
    return sorted((root / "compiler" / "standards" / "data").rglob("*.toml"))


def tables(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from tables(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from tables(inner)


def test_every_file_names_a_source(root: Path) -> None:
    files = data_files(root)
    assert len(files) == 13
    for file in files:
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        assert any("source" in table for table in tables(data)), file


def test_every_grade_is_one_of_ours(root: Path) -> None:
    grades = [
        table["grade"]
        for file in data_files(root)
        for table in tables(tomllib.loads(file.read_text(encoding="utf-8")))
        if "grade" in table
    ]
    assert len(grades) > 50
    assert {as_grade(grade) for grade in grades} == {"A", "B", "C", "D", "common practice"}


def test_only_published_values_may_fail_a_check() -> None:
    judged = {grade: enforceable(as_grade(grade)) for grade in ("A", "B", "C", "D", "common practice")}
    assert judged == {"A": True, "B": True, "C": False, "D": False, "common practice": False}
    assert not enforceable(None)
    assert "memory" in grade_words("C")
    with pytest.raises(ValueError, match="grades are A, B"):
        as_grade("a")


def test_nothing_is_read_on_import(root: Path) -> None:
    imports = "\n".join(f"import compiler.standards.{name}" for name in MODULES)
    program = f"""
import sys
opened = []
sys.addaudithook(lambda event, args: opened.append(str(args[0])) if event == "open" else None)
{imports}
from compiler.standards import sizes
assert not [name for name in opened if name.endswith(".toml")], opened
assert "tomllib" not in sys.modules
sizes.read_size("14", "AWG")
sizes.read_size("16", "AWG")
assert len([name for name in opened if name.endswith(".toml")]) == 1, opened
"""
    result = subprocess.run(
        [sys.executable, "-c", program], cwd=root, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stderr


def test_only_the_table_asked_for_is_read(root: Path) -> None:
    program = """
import sys
opened = []
sys.addaudithook(lambda event, args: opened.append(str(args[0])) if event == "open" else None)
from compiler.standards.colours import builtin_table, read_colour
read_colour("BK/WH", builtin_table("iec-60757"))
names = sorted(name.rsplit("/", 1)[-1] for name in opened if name.endswith(".toml"))
assert names == ["iec-60757.toml", "swatches.toml"], names
"""
    result = subprocess.run(
        [sys.executable, "-c", program], cwd=root, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stderr
