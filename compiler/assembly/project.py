"""The project: the folder that sources must stay inside, and its settings file `loomwright.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

SETTINGS_NAME = "loomwright.toml"
_SEVERITIES = ("error", "warning", "note", "off")


class ProjectError(Exception):
    """The project cannot be used at all; the message is one line for a person."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What a project sets.

    severity  check name -> `error`, `warning`, `note` or `off`
    policy    policy name -> value (`protection`, `wires-per-cavity` ...)
    name      name of the vehicle line, for titles
    """

    name: str = ""
    severity: Mapping[str, str] = field(default_factory=dict)
    policy: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Project:
    """The project folder (absolute, links resolved) and its settings."""

    root: Path
    settings: Settings

    def shown(self, path: Path) -> str:
        """A path as shown to people: relative to the project folder, forward slashes."""
        try:
            return path.relative_to(self.root).as_posix()
        except ValueError:
            return path.as_posix()


def find_project(path: Path) -> Project:
    """The project a source file belongs to: the nearest folder upward with a settings file, else the file's folder.

    Raises ProjectError for a settings file that cannot be read or says something unknown.
    """
    folder = path.resolve().parent if not path.is_dir() else path.resolve()
    for candidate in (folder, *folder.parents):
        settings = candidate / SETTINGS_NAME
        if settings.is_file():
            return Project(candidate, _read_settings(settings))
    return Project(folder, Settings())


def _read_settings(path: Path) -> Settings:
    try:
        data = tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ProjectError(f"{path.name}: {error}") from error
    except RecursionError as error:
        raise ProjectError(f"{path.name}: nested too deep") from error
    unknown = sorted(set(data) - {"project", "severity", "policy"})
    if unknown:
        raise ProjectError(f"{path.name}: unknown table [{unknown[0]}]; known are [project], [severity], [policy]")
    severity = _table(path, data, "severity")
    for check, level in severity.items():
        if level not in _SEVERITIES:
            raise ProjectError(f"{path.name}: severity of {check} is {level!r}; give one of {', '.join(_SEVERITIES)}")
    name = _table(path, data, "project").get("name", "")
    if not isinstance(name, str):
        raise ProjectError(f"{path.name}: [project] name is a text in quotes")
    return Settings(name, severity, _table(path, data, "policy"))


def _table(path: Path, data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    value = data.get(name, {})
    if not isinstance(value, dict):
        raise ProjectError(f"{path.name}: [{name}] is a table")
    return value
