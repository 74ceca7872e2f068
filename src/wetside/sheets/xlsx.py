"""A table as an XLSX workbook of one sheet: the few parts that the format asks for, zipped."""

import io
import zipfile
from collections.abc import Sequence
from xml.sax.saxutils import escape

Cell = str | int | float | None

_TYPES = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
)
_RELS = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}" '
    'Target="{target}"/></Relationships>'
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_BOOK = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    '<workbook xmlns="{main}" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
    '<sheets><sheet name="{name}" sheetId="1" r:id="rId1"/></sheets></workbook>'
)


def xlsx(name: str, rows: Sequence[Sequence[Cell]], widths: Sequence[float] = ()) -> bytes:
    """A workbook with one sheet; text cells are text and nothing else, so that none is taken for a formula.

    The same rows give the same bytes.

    :param widths: of the columns, in characters
    """
    cols = "".join(f'<col min="{i}" max="{i}" width="{w}" customWidth="1"/>' for i, w in enumerate(widths, start=1))
    body = "".join(
        f'<row r="{r}">{"".join(_cell(f"{column(c)}{r}", x) for c, x in enumerate(row))}</row>'
        for r, row in enumerate(rows, start=1)
    )
    sheet = (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?><worksheet xmlns="{_MAIN}">'
        f"{f'<cols>{cols}</cols>' if cols else ''}<sheetData>{body}</sheetData></worksheet>"
    )
    parts = {
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _RELS.format(kind="officeDocument", target="xl/workbook.xml"),
        "xl/workbook.xml": _BOOK.format(main=_MAIN, name=escape(name[:31], {'"': "&quot;"})),
        "xl/_rels/workbook.xml.rels": _RELS.format(kind="worksheet", target="worksheets/sheet1.xml"),
        "xl/worksheets/sheet1.xml": sheet,
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for part, text in parts.items():
            info = zipfile.ZipInfo(part, (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            book.writestr(info, text.encode("utf-8"))
    return out.getvalue()


def column(index: int) -> str:
    """``A`` for 0, ``Z`` for 25, ``AA`` for 26."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _cell(ref: str, value: Cell) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, str):
        plain = "".join(c for c in value if c in "\t\n" or c >= " ")
        return f'<c r="{ref}" t="inlineStr"><is><t xml:space="preserve">{escape(plain)}</t></is></c>'
    return f'<c r="{ref}"><v>{value}</v></c>'
