"""Whole packs kept between runs: nothing is drawn again where nothing changed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from pathlib import PurePosixPath

from compiler.assembly.project import Settings
from compiler.model.variant import Variant
from renderers.around import Around
from renderers.forms import Wishes
from renderers.part import Part
from renderers.sheets.remembered import program_digest
from renderers.store import Store, code_digest, digest


def key_of(variant: Variant, settings: Settings, around: Around, dot: str | None, part: Part, wishes: Wishes) -> str:
    """One name for everything that a pack is made from: sources, settings, what stands around, code, and wishes.

    Raises DotError when there is no dot program.
    """
    texts = (text for source in variant.sources for text in (source.name, source.text))
    facts = (code_digest(), program_digest(dot), variant.id, repr(settings), repr(around), repr(part), repr(wishes))
    return digest(("pack", *facts, *texts))


def keep_files(store: Store, key: str, files: Mapping[str, bytes]) -> None:
    """Keep the files of a pack. Files that two packs have in common are kept once."""
    sums = {name: sha256(data).hexdigest() for name, data in files.items()}
    for name, data in files.items():
        store.put(sums[name], data)
    store.put(key, json.dumps(sums).encode("utf-8"))


def kept_files(store: Store, key: str) -> dict[str, bytes] | None:
    """The files of a pack that was made before, or None if any of them is not to be had whole."""
    listed = store.get(key)
    if listed is None:
        return None
    files: dict[str, bytes] = {}
    for name, own in json.loads(listed).items():
        data = store.get(own)
        if data is None or PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
            return None
        files[name] = data
    return files
