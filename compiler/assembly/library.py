"""Files of a project, each read and parsed once, however many variants use it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from compiler.assembly.project import Project
from grammar.finding import Finding
from grammar.parser import Parsed, parse
from grammar.reading import read_source
from grammar.source import Source
from grammar.tree import SyntaxTree


class Library:
    """Parsed files by resolved path. One library serves all variants of a run."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self._parsed: dict[Path, Parsed] = {}

    def read(self, path: Path) -> Parsed:
        """The parsed file. Raises OSError when it cannot be read; bad bytes are a finding with an empty tree."""
        path = path.resolve()
        found = self._parsed.get(path)
        if found is None:
            found = self._parsed[path] = self._load(path)
        return found

    def with_texts(self, texts: Mapping[Path, str]) -> Library:
        """A library in which some files have another text (an editor's buffers); all others stay parsed."""
        other = Library(self.project)
        other._parsed = dict(self._parsed)
        for path, text in texts.items():
            resolved = path.resolve()
            other._parsed[resolved] = parse(Source(self.project.shown(resolved), text))
        return other

    def _load(self, path: Path) -> Parsed:
        source = read_source(path, self.project.shown(path))
        if isinstance(source, Finding):
            empty = SyntaxTree(source.at.source if source.at else Source(self.project.shown(path), ""), (), ())
            return Parsed(empty, (source,))
        return parse(source)
