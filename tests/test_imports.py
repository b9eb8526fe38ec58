"""Imports run one way, and never in a circle.

The contracts stand in pyproject.toml and nowhere else; they see every import, also one inside a function.
Circles are looked for here, among the imports that run when a module is loaded: only those can meet a
half-loaded module.
"""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import networkx as nx
import pytest

PACKAGES = ("grammar", "compiler", "renderers", "loomwright")
LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"


def contracts(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the contracts of the project in `folder` on the packages in `folder`."""
    return subprocess.run(
        [sys.executable, "-c", LINT], cwd=folder, capture_output=True, text=True, check=False
    )


def loaded_with(node: ast.AST) -> Iterator[ast.Import | ast.ImportFrom]:
    """The import statements below `node` that run when its module is loaded."""
    for child in ast.iter_child_nodes(node):
        match child:
            case ast.Import() | ast.ImportFrom():
                yield child
            case ast.FunctionDef() | ast.AsyncFunctionDef():
                pass
            case ast.If(
                test=ast.Name(id="TYPE_CHECKING") | ast.Attribute(attr="TYPE_CHECKING"), orelse=orelse
            ):
                yield from loaded_with(ast.Module(body=orelse, type_ignores=[]))
            case _:
                yield from loaded_with(child)


def targets(statement: ast.Import | ast.ImportFrom, package: str, names: frozenset[str]) -> Iterator[str]:
    """The modules among `names` that a statement in `package` asks for by name."""
    if isinstance(statement, ast.Import):
        yield from (alias.name for alias in statement.names if alias.name in names)
        return
    base = statement.module or ""
    if statement.level:
        parts = package.split(".")
        base = ".".join([*parts[: len(parts) - statement.level + 1], *filter(None, [base])])
    for alias in statement.names:
        below = f"{base}.{alias.name}"
        if below in names:
            yield below
        elif base in names:
            yield base


def circles(sources: Mapping[str, tuple[bool, str]]) -> list[list[str]]:
    """Groups of modules that load each other.

    sources  module name -> (is it a package's __init__, its text)
    """
    names = frozenset(sources)
    graph = nx.DiGraph()
    for name, (is_package, text) in sources.items():
        package = name if is_package else name.rpartition(".")[0]
        for statement in loaded_with(ast.parse(text)):
            graph.add_edges_from(
                (name, other) for other in targets(statement, package, names) if other != name
            )
    return sorted(sorted(group) for group in nx.strongly_connected_components(graph) if len(group) > 1)


def test_imports_run_one_way(root: Path) -> None:
    run = contracts(root)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "2 kept, 0 broken" in run.stdout


@pytest.mark.parametrize(
    ("module", "text", "broken"),
    [
        ("grammar/late.py", "def parse():\n    import compiler.late\n", "one way"),
        ("grammar/late.py", "import loomwright\n", "one way"),
        ("compiler/late.py", "from renderers import late\n", "one way"),
        ("renderers/late.py", "def draw():\n    from loomwright.late import main\n", "one way"),
        ("compiler/late.py", "def show():\n    from rich.table import Table\n", "no page"),
        ("grammar/late.py", "import jinja2\n", "no page"),
        ("compiler/late.py", "import typst\n", "no page"),
    ],
)
def test_a_wrong_import_is_found(root: Path, tmp_path: Path, module: str, text: str, broken: str) -> None:
    shutil.copyfile(root / "pyproject.toml", tmp_path / "pyproject.toml")
    for package in PACKAGES:
        (tmp_path / package).mkdir()
        (tmp_path / package / "__init__.py").touch()
        (tmp_path / package / "late.py").touch()
    assert contracts(tmp_path).returncode == 0
    (tmp_path / module).write_text(text, encoding="utf-8")
    run = contracts(tmp_path)
    assert run.returncode == 1, run.stdout + run.stderr
    assert [line for line in run.stdout.splitlines() if "BROKEN" in line and broken in line], run.stdout


def test_no_modules_load_each_other(root: Path, tree: tuple[Path, ...]) -> None:
    sources = {}
    for path in tree:
        if path.suffix == ".py" and path.parts[0] in PACKAGES:
            is_package = path.name == "__init__.py"
            name = ".".join(path.parent.parts if is_package else path.with_suffix("").parts)
            sources[name] = (is_package, (root / path).read_text(encoding="utf-8"))
    assert set(PACKAGES) <= set(sources)
    assert circles(sources) == []


@pytest.mark.parametrize(
    ("sources", "found"),
    [
        ({"p.a": "from p.b import x", "p.b": "def f():\n    from . import a"}, []),
        ({"p.a": "from p.b import x", "p.b": "if TYPE_CHECKING:\n    import p.a"}, []),
        ({"p.a": "from p.b import x", "p.b": "from . import a"}, [["p.a", "p.b"]]),
        ({"p.a": "class A:\n    from .b import x", "p.b": "import p.a"}, [["p.a", "p.b"]]),
        ({"p": "from .a import x", "p.a": "from p import y"}, [["p", "p.a"]]),
        (
            {"p.q.a": "try:\n    from ..b import x\nfinally:\n    pass", "p.b": "import p.q.a"},
            [["p.b", "p.q.a"]],
        ),
    ],
)
def test_a_circle_is_found(sources: dict[str, str], found: list[list[str]]) -> None:
    modules = {"p": (True, ""), "p.q": (True, "")}
    modules |= {name: (name == "p", text) for name, text in sources.items()}
    assert circles(modules) == found
