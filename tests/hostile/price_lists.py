"""Price lists that mean harm, each made in a moment and small enough to be uploaded, and what is said to each."""

import io
import struct
import zipfile
from collections.abc import Callable, Mapping
from typing import Final

MB: Final = 1024 * 1024
_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_REL: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE: Final = "http://schemas.openxmlformats.org/package/2006"
_KIND: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"
HEAD: Final = (
    '<row r="1"><c r="A1" t="inlineStr"><is><t>item</t></is></c><c r="B1" t="inlineStr"><is><t>pack</t></is></c>'
    '<c r="C1" t="inlineStr"><is><t>price</t></is></c></row>'
)
LINE: Final = (
    '<row r="{0}"><c r="A{0}" t="inlineStr"><is><t>Flour</t></is></c><c r="B{0}" t="inlineStr"><is><t>50 lb</t></is>'
    '</c><c r="C{0}"><v>24.6</v></c></row>'
)
#: The parts of a workbook that are always the same.
_FIXED: Final = {
    "[Content_Types].xml": (
        f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels"'
        ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_KIND}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_KIND}.worksheet+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_KIND}.styles+xml"/>'
        f'<Override PartName="/xl/sharedStrings.xml" ContentType="{_KIND}.sharedStrings+xml"/></Types>'
    ),
    "_rels/.rels": (
        f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" Type="{_REL}/officeDocument"'
        ' Target="xl/workbook.xml"/></Relationships>'
    ),
    "xl/workbook.xml": (
        f'<workbook xmlns="{_MAIN}" xmlns:r="{_REL}"><sheets><sheet name="Prices" sheetId="1" r:id="r1"/></sheets>'
        "</workbook>"
    ),
    "xl/_rels/workbook.xml.rels": (
        f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" Type="{_REL}/worksheet"'
        f' Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="{_REL}/sharedStrings"'
        f' Target="sharedStrings.xml"/><Relationship Id="r3" Type="{_REL}/styles" Target="styles.xml"/>'
        "</Relationships>"
    ),
    "xl/sharedStrings.xml": f'<sst xmlns="{_MAIN}"/>',
    "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"/>',
}


def sheet(rows: str, before: str = "", after: str = "") -> str:
    """Return a sheet's XML with the given rows."""
    return f'<worksheet xmlns="{_MAIN}">{before}<sheetData>{rows}</sheetData>{after}</worksheet>'


def packed(parts: Mapping[str, str | bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Zip parts as a workbook; those that are not given are a workbook's usual ones."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how, compresslevel=9) as archive:
        for name, text in {**_FIXED, **parts}.items():
            archive.writestr(name, text)
    return out.getvalue()


def workbook(rows: str, before: str = "", after: str = "", **parts: str) -> bytes:
    """Zip a workbook with the given rows; ``parts`` stand under xl/."""
    named = {f"xl/{name}.xml": text for name, text in parts.items()}
    return packed({"xl/worksheets/sheet1.xml": sheet(rows, before, after), **named})


def _price_list() -> bytes:
    return workbook(HEAD + LINE.format(2))


def _nested() -> bytes:
    inner = packed({"xl/media/a.bin": bytes(30 * MB)})
    return packed({"xl/worksheets/sheet1.xml": sheet(HEAD), "xl/media/inner.xlsx": inner})


def _quoted_sizes(size: int) -> bytes:
    """Return a workbook whose sheet says, wherever it says it, that it unpacks to ``size`` bytes; it is 30 MB."""
    real = sheet(HEAD + LINE.format(2), after="<!--" + " " * 30 * MB + "-->")
    body = bytearray(packed({"xl/worksheets/sheet1.xml": real}))
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        place = -1
        while (place := body.find(mark, place + 1)) >= 0:
            if struct.unpack_from("<I", body, place + at)[0] == len(real):
                struct.pack_into("<I", body, place + at, size)
    return bytes(body)


def _flagged() -> bytes:
    body = bytearray(_price_list())
    place = -1
    while (place := body.find(b"PK\x01\x02", place + 1)) >= 0:
        body[place + 8] |= 1
    return bytes(body)


def _many_members() -> bytes:
    return packed({"xl/worksheets/sheet1.xml": sheet(HEAD), **{f"xl/a{at}": "" for at in range(30_000)}})


def _wide() -> bytes:
    cells = "<c/>" * 16_384
    return workbook(HEAD + f"<row>{cells}</row>" * 200)


def _wide_quietly() -> bytes:
    return workbook(HEAD + "<row>" + '<c t="n"><v>1</v></c>' * 16_384 + "</row>")


def _strings(count: int, text: str) -> str:
    return f'<sst xmlns="{_MAIN}">' + f"<si>{text}</si>" * count + "</sst>"


def _deep(levels: int) -> bytes:
    return workbook(HEAD, after="<a>" * levels + "</a>" * levels)


def _deep_string() -> bytes:
    return workbook(HEAD, sharedStrings=_strings(1, "<r>" * 100_000 + "</r>" * 100_000))


def _entities() -> bytes:
    levels = "".join(f'<!ENTITY a{at} "{f"&a{at - 1};" * 10}">' for at in range(1, 12))
    doctype = f'<!DOCTYPE worksheet [<!ENTITY a0 "Flour">{levels}]>'
    cell = '<row r="2"><c r="A2" t="inlineStr"><is><t>&a11;</t></is></c></row>'
    return packed({"xl/worksheets/sheet1.xml": doctype + sheet(HEAD + cell)})


def _outside_entity() -> bytes:
    doctype = '<!DOCTYPE worksheet [<!ENTITY a SYSTEM "http://127.0.0.1:9/a">]>'
    cell = '<row r="2"><c r="A2" t="inlineStr"><is><t>&a;</t></is></c></row>'
    return packed({"xl/worksheets/sheet1.xml": doctype + sheet(HEAD + cell)})


def _styles() -> bytes:
    formats = '<xf numFmtId="0" fontId="0"/>' * 400_000
    return workbook(HEAD, styles=f'<styleSheet xmlns="{_MAIN}"><cellXfs>{formats}</cellXfs></styleSheet>')


def _merged() -> bytes:
    return workbook(HEAD, after="<mergeCells>" + '<mergeCell ref="A1:B2"/>' * 400_000 + "</mergeCells>")


def _attributes() -> bytes:
    """One tag with as many attributes as fit: few tags, much memory."""
    return workbook(HEAD + "<row " + " ".join(f'a{at}=""' for at in range(2_000_000)) + "/>")


def _one_token() -> bytes:
    """One attribute of 35 MB: a parser that begins it anew with each piece never ends."""
    return workbook(HEAD + f'<row a="{"a" * 35 * MB}"/>')


def _far_row(number: str) -> bytes:
    return workbook(HEAD + LINE.format(number))


def _text(lines: str, encoding: str = "utf-8") -> bytes:
    return ("item,pack,price\n" + lines).encode(encoding)


Maker = Callable[[], bytes]
#: name -> how the file's name ends, how it is made, and the code of what is said; "" where it is read.
FILES: Final[Mapping[str, tuple[str, Maker, str]]] = {
    "no harm": ("xlsx", _price_list, ""),
    "a dimension of the whole sheet": (
        "xlsx",
        lambda: workbook(HEAD + LINE.format(2), '<dimension ref="A1:XFD1048576"/>'),
        "",
    ),
    "a dimension too small": ("xlsx", lambda: workbook(HEAD + LINE.format(9), '<dimension ref="A1:A1"/>'), ""),
    "rows far apart": ("xlsx", lambda: _far_row("1048576"), ""),
    "a row beyond all rows": ("xlsx", lambda: _far_row("9" * 18), "too_many_rows"),
    "a row with a number that is none": ("xlsx", lambda: _far_row("NaN"), "not_a_workbook"),
    "a column beyond all columns": (
        "xlsx",
        lambda: workbook(HEAD + '<row r="2"><c r="ZZZZ2"><v>1</v></c></row>'),
        "not_a_workbook",
    ),
    "zeros, 1000 to 1": ("xlsx", lambda: packed({"xl/worksheets/sheet1.xml": bytes(45 * MB)}), "too_large"),
    "a zip in a zip": ("xlsx", _nested, "heads_alone"),
    "30,000 members": ("xlsx", _many_members, "too_large"),
    "a size said too small": ("xlsx", lambda: _quoted_sizes(400), "not_a_workbook"),
    "a size said too large": ("xlsx", lambda: _quoted_sizes(4_000_000_000), "too_large"),
    "packed by a method without a limit": (
        "xlsx",
        lambda: packed({"xl/worksheets/sheet1.xml": " " * 35 * MB}, zipfile.ZIP_BZIP2),
        "not_a_workbook",
    ),
    "200 rows of 16,384 columns": ("xlsx", _wide, "too_large"),
    "a row of 16,384 columns": ("xlsx", _wide_quietly, "too_many_columns"),
    "a million shared strings": (
        "xlsx",
        lambda: workbook(HEAD, sharedStrings=_strings(1_000_000, "<t/>")),
        "too_large",
    ),
    "149,000 shared strings": (
        "xlsx",
        lambda: workbook(HEAD + LINE.format(2), sharedStrings=_strings(149_000, "<t>a</t>")),
        "",
    ),
    "a shared string of 50 MB": (
        "xlsx",
        lambda: workbook(HEAD, sharedStrings=_strings(1, f"<t>{'a' * 50 * MB}</t>")),
        "too_large",
    ),
    "a shared string of 35 MB": (
        "xlsx",
        lambda: workbook(HEAD, sharedStrings=_strings(1, f"<t>{'a' * 35 * MB}</t>")),
        "too_much",
    ),
    "rich text in a hundred thousand pieces": (
        "xlsx",
        lambda: workbook(HEAD, sharedStrings=_strings(1, "<r><rPr><b/></rPr><t>a</t></r>" * 80_000)),
        "too_much",
    ),
    "tags in tags, 250,000 deep": ("xlsx", lambda: _deep(250_000), "too_much"),
    "a string's tags in tags": ("xlsx", _deep_string, "heads_alone"),
    "entities of entities": ("xlsx", _entities, "not_a_workbook"),
    "an entity from outside": ("xlsx", _outside_entity, "not_a_workbook"),
    "400,000 formats": ("xlsx", _styles, "too_much"),
    "400,000 merged cells": ("xlsx", _merged, "too_much"),
    "two million attributes": ("xlsx", _attributes, "too_much"),
    "a token without an end": ("xlsx", _one_token, "too_much"),
    "a workbook of the old kind": ("xlsx", lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4000), "old_workbook"),
    "a locked workbook": (
        "xlsx",
        lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(400) + "EncryptedPackage".encode("utf-16-le"),
        "locked",
    ),
    "a workbook with locked parts": ("xlsx", _flagged, "locked"),
    "half a workbook": ("xlsx", lambda: _price_list()[:900], "not_a_workbook"),
    "a workbook that says it is text": ("csv", _price_list, ""),
    "a line of 5 MB": ("csv", lambda: _text("a" * 5_000_000), "line_too_long"),
    "a million columns": ("csv", lambda: _text("," * 1_000_000), "line_too_long"),
    "a thousand columns": ("csv", lambda: _text("1," * 1000), "too_many_columns"),
    "a row of many lines": ("csv", lambda: _text('"a\n",' * 900_000), "too_much"),
    "five million empty lines": ("csv", lambda: _text("\n" * 5_000_000), "too_many_rows"),
    "NULs": ("csv", lambda: _text("Flour\0,50 lb,24.60\n"), "not_text"),
    "a quote that never ends": ("csv", lambda: _text('"' + "Flour,50 lb,24.60\n" * 200_000), "not_a_table"),
    "two encodings": ("csv", lambda: _text("Crème,50 lb,24.60\n") + "Crème,1 lb,2\n".encode("cp1252"), ""),
    "UTF-16": ("csv", lambda: _text("Crème,50 lb,24.60\n", "utf-16"), ""),
    "UTF-16 with NULs": ("csv", lambda: _text("Flour\0,50 lb,24.60\n", "utf-16"), "not_text"),
    "UTF-16 that says nothing of it": ("csv", lambda: _text("Flour,50 lb,24.60\n", "utf-16-le"), "not_text"),
    "UTF-32": ("csv", lambda: _text("Flour,50 lb,24.60\n", "utf-32"), "not_text"),
    "line ends of an old machine": ("csv", lambda: b"item,pack,price\rFlour,50 lb,24.60\r", ""),
    "too many rows": ("csv", lambda: _text("Flour,50 lb,24.60\n" * 5001), "too_many_rows"),
}
