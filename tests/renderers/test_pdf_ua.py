"""The check of PDF/UA-1: it is silent about sound files, and each of its rules speaks when just that is broken."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
import typst
from pikepdf import Array, Dictionary, Name, Pdf, String

from compiler.fonts import font_folder
from renderers.document import Pack
from renderers.writers.print_pdf import write_pdf
from tests.renderers.pdf_ua import violations
from tests.renderers.pdf_ua.__main__ import main
from tests.renderers.pdf_ua.fonts import unicodes

SPECIMEN = """
#set document(title: "Specimen")
#set text(font: "Arimo", lang: "en", region: "GB", size: 10pt)
#set page("a6", numbering: "1", header: [Specimen])
#set heading(numbering: "1")
#outline()
= First <first>
Text with *weight* and a link to #link(<second>)[the second].
#pagebreak()
== Second <second>
+ one
+ two
#table(columns: 3,
  table.header([a], [b], [c]),
  [1], table.cell(colspan: 2)[2 and 3],
  table.cell(rowspan: 2)[4], [5], [6], [7], [8])
#figure(alt: "A square", rect(width: 2cm, height: 2cm)[Square], caption: [Drawn])
= Third
Back to #link(<first>)[the first], and to #link("https://example.org/")[somewhere else].
"""


@pytest.fixture(scope="module")
def specimen(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A small file with something for every rule, made by the engine alone."""
    path = tmp_path_factory.mktemp("specimen") / "specimen.typ"
    path.write_text(SPECIMEN)
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
    data = typst.compile(path, format="pdf", font_paths=fonts, pdf_standards=["ua-1"], timestamp=0)
    assert isinstance(data, bytes)
    return data


def rules(data: bytes) -> set[str]:
    return {one.rule for one in violations(data)}


def test_a_sound_file_breaks_no_rule(specimen: bytes) -> None:
    assert violations(specimen) == []


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_pack_on_paper_breaks_no_rule(small_pack: Pack, paper: str) -> None:
    (data,) = write_pdf(small_pack, "us-letter" if paper == "us-letter" else "a4").values()
    assert violations(data) == []


# -- planted faults ----------------------------------------------------------------------------------------------------


def elements(pdf: Pdf, kind: str) -> list[Dictionary]:
    found = [one for one in pdf.objects if isinstance(one, Dictionary) and one.get("/S") == f"/{kind}" and "/P" in one]
    assert found, kind
    return found


def element(pdf: Pdf, kind: str) -> Dictionary:
    return elements(pdf, kind)[0]


def link(pdf: Pdf) -> Dictionary:
    """The first annotation of the file."""
    found = next(note for page in pdf.pages for note in page.get("/Annots", []))
    assert isinstance(found, Dictionary)
    return found


def first_row(tree: pikepdf.Object) -> pikepdf.Object:
    """The first array of entries of a name or number tree."""
    while "/Kids" in tree:
        tree = tree.Kids[0]
    return tree["/Nums" if "/Nums" in tree else "/Names"]


def parents(pdf: Pdf) -> dict[int, pikepdf.Object]:
    return dict(pikepdf.NumberTree(pdf.Root.StructTreeRoot.ParentTree).items())


def content(pdf: Pdf, old: bytes, new: bytes, page: int = 1) -> None:
    """Puts other words into the content of a page, once."""
    stream = pdf.pages[page].Contents
    data = stream.read_bytes()
    assert old in data, old
    stream.write(data.replace(old, new, 1))


def added(pdf: Pdf, operators: bytes, page: int = 1) -> None:
    stream = pdf.pages[page].Contents
    stream.write(stream.read_bytes() + b"\n" + operators)


def of_table(cell: Dictionary) -> Dictionary:
    found = next(one for one in cell.A if one.O == "/Table")
    assert isinstance(found, Dictionary)
    return found


def font(pdf: Pdf) -> Dictionary:
    found = next(iter(pdf.pages[1].Resources.Font.values()))
    assert isinstance(found, Dictionary)
    return found


def set_to(thing: Callable[[Pdf], pikepdf.Object], name: str, value: object) -> Callable[[Pdf], None]:
    """An edit that gives an entry another value."""

    def edit(pdf: Pdf) -> None:
        thing(pdf)[name] = value

    return edit


def without(thing: Callable[[Pdf], pikepdf.Object], name: str) -> Callable[[Pdf], None]:
    """An edit that takes an entry away."""

    def edit(pdf: Pdf) -> None:
        del thing(pdf)[name]

    return edit


def replaced(data: bytes, old: bytes, new: bytes) -> bytes:
    assert old in data
    return data.replace(old, new)


def metadata(old: bytes, new: bytes) -> Callable[[Pdf], None]:
    return lambda pdf: pdf.Root.Metadata.write(replaced(pdf.Root.Metadata.read_bytes(), old, new))


def form(pdf: Pdf, marked: bool, times: int = 1, inside: bool = False) -> None:
    """A form painted on a page, its text in a numbered piece or not."""
    piece = b"/Span <</MCID 0>> BDC 0 0 m 9 9 l S EMC" if marked else b"0 0 m 9 9 l S"
    made = pdf.make_stream(piece, Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 9, 9], Resources=Dictionary())
    pdf.pages[1].Resources.XObject = Dictionary(F=pdf.make_indirect(made))
    paint = b"/F Do\n" * times
    added(pdf, b"/Artifact BMC\n" + paint + b"EMC" if inside else paint)


def swapped(row: pikepdf.Object) -> None:
    row[0], row[2] = row[2], row[0]


def twice(pdf: Pdf) -> None:
    """An element that two hold."""
    element(pdf, "L").K.append(element(pdf, "L").K[0])


def other_parent(pdf: Pdf) -> None:
    """The parent tree tells the first piece of a page to belong elsewhere."""
    key = int(pdf.pages[1].StructParents)
    parents(pdf)[key][0] = element(pdf, "Document")


def loose_piece(pdf: Pdf) -> None:
    """An element lets go of a piece, which the parent tree still gives to it."""
    element(pdf, "H2").K = Array()


def stranger(pdf: Pdf) -> None:
    """An element that is in no tree."""
    pdf.Root.Stranger = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.P, P=element(pdf, "Document")))


def short_row(pdf: Pdf) -> None:
    del element(pdf, "TR").K[-1]


def into(kind: str, other: str) -> Callable[[Pdf], None]:
    return lambda pdf: setattr(element(pdf, kind), "S", Name(f"/{other}"))


def dead_bookmark(pdf: Pdf) -> None:
    first = pdf.Root.Outlines.First
    first.Dest = Array([pdf.make_indirect(Dictionary(Type=Name.Page)), Name.Fit])


def named_link(pdf: Pdf) -> None:
    note = link(pdf)
    if "/A" in note:
        del note.A
    note.Dest = String("nowhere")


def dead_name(pdf: Pdf) -> None:
    pdf.Root.Names = Dictionary(Dests=Dictionary(Names=[String("a"), Array([pdf.Root, Name.Fit])]))


def names_out_of_order(pdf: Pdf) -> None:
    goal = Array([pdf.pages[0].obj, Name.Fit])
    pdf.Root.Names = Dictionary(Dests=Dictionary(Names=[String("b"), goal, String("a"), goal]))


def two_heads(pdf: Pdf) -> None:
    """The body of a table called a second head."""
    element(pdf, "TBody").S = Name.THead


def headless(pdf: Pdf) -> None:
    for head in elements(pdf, "TH"):
        head.S = Name.TD


def split(pdf: Pdf) -> None:
    """A marked piece that ends within a text object that it began before."""
    added(pdf, b"/Artifact BMC BT EMC ET")


PLANTED: list[tuple[str, Callable[[Pdf], object]]] = [
    # the document
    ("language", without(lambda pdf: pdf.Root, "/Lang")),
    ("language", set_to(lambda pdf: pdf.Root, "/Lang", String("english please"))),
    ("language", set_to(lambda pdf: element(pdf, "P"), "/Lang", String("?"))),
    ("marked", set_to(lambda pdf: pdf.Root.MarkInfo, "/Marked", False)),
    ("suspects", set_to(lambda pdf: pdf.Root.MarkInfo, "/Suspects", True)),
    ("display-title", set_to(lambda pdf: pdf.Root.ViewerPreferences, "/DisplayDocTitle", False)),
    ("metadata", without(lambda pdf: pdf.Root, "/Metadata")),
    ("metadata", metadata(b"</rdf:RDF>", b"")),
    ("identifier", metadata(b"<pdfuaid:part>1<", b"<pdfuaid:part>2<")),
    ("title", metadata(b"Specimen", b"Other")),
    ("title", metadata(b"Specimen", b" ")),
    ("active-content", set_to(lambda pdf: pdf.Root, "/AcroForm", Dictionary(XFA=String("")))),
    ("active-content", set_to(lambda pdf: pdf.Root, "/OpenAction", Dictionary(S=Name.JavaScript, JS=String("")))),
    ("page-labels", set_to(lambda pdf: pdf.Root, "/PageLabels", Dictionary(Nums=[1, Dictionary(S=Name.D)]))),
    ("page-labels", set_to(lambda pdf: pdf.Root, "/PageLabels", Dictionary(Nums=[0, Dictionary(S=Name.Z)]))),
    ("page-labels", set_to(lambda pdf: pdf.Root, "/PageLabels", Dictionary(Nums=[0, Dictionary(), 99, Dictionary()]))),
    ("page-tree", lambda pdf: setattr(pdf.pages[1].obj, "Parent", pdf.pages[0].obj)),
    # bookmarks and named places
    ("bookmark", dead_bookmark),
    ("bookmark", set_to(lambda pdf: pdf.Root.Outlines, "/Count", 99)),
    ("bookmark", set_to(lambda pdf: pdf.Root.Outlines.First, "/Count", -7)),
    ("bookmark", without(lambda pdf: pdf.Root.Outlines.Last, "/Prev")),
    ("bookmark", set_to(lambda pdf: pdf.Root.Outlines.First, "/Title", String(" "))),
    (
        "bookmark",
        lambda pdf: setattr(pdf.Root.Outlines.Last, "Next", pdf.Root.Outlines.First),
    ),
    ("bookmark", lambda pdf: setattr(pdf.Root.Outlines.Last, "Parent", pdf.Root.Outlines.First)),
    ("bookmark", lambda pdf: setattr(pdf.Root.Outlines, "Last", pdf.Root.Outlines.First)),
    ("named-destination", dead_name),
    ("named-destination", names_out_of_order),
    # content
    ("unmarked-content", lambda pdf: added(pdf, b"0 0 m 9 9 l S")),
    ("unmarked-content", lambda pdf: added(pdf, b"/Span BMC 0 0 m 9 9 l S EMC")),
    ("unmarked-content", lambda pdf: form(pdf, marked=False)),
    ("unmarked-content", lambda pdf: added(pdf, b"q BI /W 1 /H 1 /CS /G /BPC 8 ID x EI Q")),
    ("balance", lambda pdf: added(pdf, b"/Artifact BMC")),
    ("balance", lambda pdf: added(pdf, b"EMC")),
    ("balance", split),
    ("number-twice", lambda pdf: added(pdf, b"/P <</MCID 0>> BDC EMC")),
    ("tagged-in-artifact", lambda pdf: added(pdf, b"/Artifact BMC /P <</MCID 990>> BDC EMC EMC")),
    ("artifact-in-tagged", lambda pdf: added(pdf, b"/P <</MCID 990>> BDC /Artifact BMC EMC EMC")),
    ("nested-pieces", lambda pdf: added(pdf, b"/P <</MCID 990>> BDC /P <</MCID 991>> BDC EMC EMC")),
    ("nested-pieces", lambda pdf: form(pdf, marked=True, inside=True)),
    ("form-twice", lambda pdf: form(pdf, marked=True, times=2)),
    ("content", lambda pdf: added(pdf, b"Q")),
    ("content", lambda pdf: added(pdf, b"/Artifact BMC BT /none 9 Tf (a) Tj ET EMC")),
    # the structure tree and what must agree with it
    ("root", without(lambda pdf: pdf.Root, "/StructTreeRoot")),
    (
        "root",
        lambda pdf: pdf.Root.StructTreeRoot.K.append(
            pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=pdf.Root.StructTreeRoot))
        ),
    ),
    ("parent", lambda pdf: setattr(element(pdf, "H2"), "P", element(pdf, "Table"))),
    ("kids", twice),
    ("kids", lambda pdf: element(pdf, "L").K.append(Dictionary(S=Name.LI, P=element(pdf, "L")))),
    ("orphan", stranger),
    ("orphan", lambda pdf: element(pdf, "L").K.__delitem__(0)),
    ("role-map", lambda pdf: setattr(element(pdf, "H2"), "S", Name("/Head"))),
    ("role-map", set_to(lambda pdf: pdf.Root.StructTreeRoot, "/RoleMap", Dictionary(P=Name.Span))),
    ("content-page", without(lambda pdf: element(pdf, "H2"), "/Pg")),
    ("content-page", lambda pdf: setattr(element(pdf, "H2"), "Pg", pdf.make_indirect(Dictionary(Type=Name.Page)))),
    ("no-content", lambda pdf: element(pdf, "H2").K.append(990)),
    ("held-twice", lambda pdf: element(pdf, "H2").K.append(element(pdf, "H2").K[0])),
    ("parent-tree", other_parent),
    ("parent-tree", loose_piece),
    ("parent-tree", lambda pdf: parents(pdf)[int(pdf.pages[1].StructParents)].append(element(pdf, "P"))),
    ("parent-tree", lambda pdf: added(pdf, b"/P <</MCID 990>> BDC EMC")),
    ("parent-tree", without(lambda pdf: pdf.pages[1].obj, "/StructParents")),
    ("parent-tree", lambda pdf: setattr(pdf.pages[1].obj, "StructParents", pdf.pages[0].StructParents)),
    ("parent-tree", lambda pdf: swapped(first_row(pdf.Root.StructTreeRoot.ParentTree))),
    ("parent-tree", set_to(lambda pdf: pdf.Root.StructTreeRoot, "/ParentTreeNextKey", 0)),
    ("parent-tree", lambda pdf: first_row(pdf.Root.StructTreeRoot.ParentTree).extend(Array([990, element(pdf, "P")]))),
    ("id-tree", without(lambda pdf: pdf.Root.StructTreeRoot, "/IDTree")),
    ("id-tree", lambda pdf: swapped(first_row(pdf.Root.StructTreeRoot.IDTree))),
    ("id-tree", without(lambda pdf: element(pdf, "TH"), "/ID")),
    ("id-twice", lambda pdf: setattr(elements(pdf, "TH")[1], "ID", elements(pdf, "TH")[0].ID)),
    # what stands in what
    ("nesting", into("TBody", "Sect")),
    ("nesting", into("LI", "P")),
    ("nesting", into("LBody", "TD")),
    ("nesting", into("TOCI", "LI")),
    ("nesting", into("L", "Div")),
    ("nesting", lambda pdf: setattr(element(pdf, "P"), "S", Name.Span)),
    ("heading", into("H1", "H2")),
    ("heading", into("H2", "H4")),
    ("heading", into("H1", "H")),
    ("heading", lambda pdf: setattr(element(pdf, "H2"), "K", Array())),
    ("note", into("P", "Note")),
    ("table-parts", two_heads),
    ("table-regular", short_row),
    ("table-regular", lambda pdf: of_table(element(pdf, "TD")).__setitem__("/RowSpan", 2)),
    (
        "table-headers",
        lambda pdf: [of_table(element(pdf, "TH")).__delitem__("/Scope"), element(pdf, "TH").__delitem__("/ID")],
    ),
    ("table-headers", lambda pdf: setattr(of_table(element(pdf, "TD")), "Headers", Array([String("nowhere")]))),
    ("table-headers", headless),
    ("list", without(lambda pdf: element(pdf, "L"), "/A")),
    ("figure-words", without(lambda pdf: element(pdf, "Figure"), "/Alt")),
    ("figure-box", without(lambda pdf: element(pdf, "Figure"), "/A")),
    ("figure-box", lambda pdf: setattr(element(pdf, "Figure").A[0], "BBox", Array([0, 0, 9999, 9999]))),
    # links
    ("tabs", without(lambda pdf: pdf.pages[0].obj, "/Tabs")),
    ("link-words", without(link, "/Contents")),
    ("link-target", named_link),
    ("link-target", lambda pdf: [link(pdf).__delitem__(name) for name in ("/A", "/Dest") if name in link(pdf)]),
    ("link-tag", into("Link", "Span")),
    ("link-tag", lambda pdf: setattr(element(pdf, "Link"), "K", Array())),
    ("annotation", lambda pdf: setattr(link(pdf), "Rect", Array([9, 9, 9, 20]))),
    ("annotation", lambda pdf: setattr(link(pdf), "Rect", Array([-900, 9, -800, 20]))),
    ("annotation", lambda pdf: pdf.pages[1].obj.__setitem__("/Annots", pdf.pages[0].Annots)),
    ("annotation-parent", without(link, "/StructParent")),
    ("annotation-parent", lambda pdf: setattr(link(pdf), "StructParent", 990)),
    ("annotation-parent", lambda pdf: pdf.pages[0].Annots.__delitem__(0)),
    ("annotation", lambda pdf: setattr(link(pdf), "Subtype", Name.Movie)),
    ("annotation", lambda pdf: setattr(link(pdf), "P", pdf.pages[1].obj)),
    # fonts
    ("font-embedded", lambda pdf: font(pdf).DescendantFonts[0].FontDescriptor.__delitem__("/FontFile2")),
    ("font-unicode", without(font, "/ToUnicode")),
    (
        "font-unicode",
        lambda pdf: font(pdf).ToUnicode.write(font(pdf).ToUnicode.read_bytes().replace(b"<0001>", b"<7001>")),
    ),
    ("font-unicode", lambda pdf: font(pdf).ToUnicode.write(b"1 beginbfrange <0001> <00ff> <0000> endbfrange")),
    ("font-glyph", without(lambda pdf: font(pdf).DescendantFonts[0], "/CIDToGIDMap")),
    ("font-glyph", lambda pdf: added(pdf, b"/Artifact BMC BT /f0 9 Tf <7777> Tj ET EMC")),
    ("font-codes", set_to(font, "/Encoding", Name("/Other-H"))),
]


def broken(data: bytes, plant: Callable[[Pdf], object]) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        plant(pdf)
        pdf.save(out, fix_metadata_version=False)
    return out.getvalue()


@pytest.mark.parametrize("place", range(len(PLANTED)), ids=[f"{n}-{rule}" for n, (rule, _) in enumerate(PLANTED)])
def test_a_planted_fault_is_told(specimen: bytes, place: int) -> None:
    rule, plant = PLANTED[place]
    assert rule in {one.rule for one in violations(broken(specimen, plant))}


def test_a_file_that_had_to_be_mended_is_told(specimen: bytes) -> None:
    assert "syntax" in {one.rule for one in violations(specimen.replace(b"startxref\n", b"startxref\n9"))}


def test_a_locked_file_is_told(specimen: bytes) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(specimen)) as pdf:
        pdf.save(out, encryption=pikepdf.Encryption(owner="owner"))
    assert "encrypted" in {one.rule for one in violations(out.getvalue())}


def test_every_rule_has_a_planted_fault() -> None:
    folder = Path(__file__).parent / "pdf_ua"
    text = "".join(path.read_text() for path in folder.glob("*.py"))
    named = set(re.findall(r'(?:Violation|fault)\(\s*"([a-z-]+)"', text)) | set(
        re.findall(r'yield "([a-z-]+)", f?"', text)
    )
    assert len(named) > 40
    assert named - {rule for rule, _ in PLANTED} == {"syntax", "encrypted"}


def test_meanings_of_codes_are_read_in_all_their_forms() -> None:
    told = unicodes(
        b"2 beginbfchar <0001> <0041> <0002> <D83DDE00> endbfchar"
        b"2 beginbfrange <0010> <0012> <0061> <0020> <0021> [<0030> <00660069>] endbfrange"
    )
    assert told == {1: "A", 2: "\U0001f600", 16: "a", 17: "b", 18: "c", 32: "0", 33: "fi"}


def test_the_command_prints_what_it_finds(specimen: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sound, unsound = tmp_path / "sound.pdf", tmp_path / "unsound.pdf"
    sound.write_bytes(specimen)
    unsound.write_bytes(broken(specimen, without(lambda pdf: pdf.Root, "/Lang")))
    assert main([str(sound)]) == 0
    assert main([str(sound), str(unsound)]) == 1
    assert "language: document: Lang is ''" in capsys.readouterr().out
