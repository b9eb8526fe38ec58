"""The forms in which a pack is written, and what is wanted of them."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

from renderers.document import Pack
from renderers.store import Store, code_digest, digest

FORMATS: tuple[str, ...] = ("html", "pdf", "csv", "json")
EXTRA: tuple[str, ...] = ("png", "dot")  # written only if they are asked for


class FormError(Exception):
    """A form cannot be written; the message is one line for a person."""


class Wishes(NamedTuple):
    """How a pack is to be written.

    formats     forms, each once
    paper       `a4` or `us-letter`
    resolution  of PNG files, dots per inch
    date        seconds since 1970, or None
    """

    formats: tuple[str, ...]
    paper: str = "a4"
    resolution: int = 200
    date: int | None = None


def write_form(name: str, pack: Pack, wishes: Wishes, store: Store, jobs: int = 1) -> Mapping[str, bytes]:
    """The files of one form, made by up to `jobs` processes (0: one a core). Raises FormError.

    Writers are loaded when they are asked for: each brings its own libraries.
    """
    match name:
        case "html":
            from renderers.writers.html_folder import write_html

            return write_html(pack)
        case "pdf":
            from renderers.writers.print_engine import PrintError
            from renderers.writers.print_pdf import write_pdf

            try:
                return write_pdf(pack, "us-letter" if wishes.paper == "us-letter" else "a4", store, wishes.date, jobs)
            except PrintError as error:
                raise FormError(f"the print engine refused the pack: {error}") from error
        case "csv":
            from renderers.writers.csv_tables import write_csv

            return write_csv(pack)
        case "json":
            from renderers.writers.inventory import write_inventory
            from renderers.writers.json_data import write_json

            return {**write_json(pack), **write_inventory(pack)}
        case "png":
            return _pictures(pack, wishes.resolution, store)
        case _:
            return {f"dot/{_sheet_name(sheet)}.dot": f.dot.encode("utf-8") for sheet, f in pack.sheets.items()}


def _pictures(pack: Pack, resolution: int, store: Store) -> dict[str, bytes]:
    """Each sheet as a PNG; several at one time."""
    from renderers.sheets.png import png

    def drawn(sheet: str) -> bytes:
        figure = pack.sheets[sheet]
        facts = (str(resolution), str(figure.width_pt), str(figure.height_pt), figure.svg)
        return store.made(digest(("png", code_digest(), *facts)), lambda: png(figure, resolution))

    try:
        with ThreadPoolExecutor() as pool:
            made = list(pool.map(drawn, pack.sheets))
    except ValueError as error:
        raise FormError(str(error)) from error
    return {f"png/{_sheet_name(sheet)}.png": data for sheet, data in zip(pack.sheets, made, strict=True)}


def _sheet_name(sheet: str) -> str:
    """A sheet's name as a file name: `12 (2)` becomes `12-2`. No two sheets of a pack share one."""
    from renderers.text import anchor

    number, _, page = sheet.removesuffix(")").partition(" (")
    plain = number.isascii() and number.isalnum() and (not page or page.isdigit())
    return f"{number}-{page}" if plain and page else number if plain else anchor("sheet", sheet)
