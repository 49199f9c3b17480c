"""Workbooks written cell by cell, as small as can be: what a spreadsheet program saves, without one."""

import datetime as dt
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape

Cell = str | int | float | dt.date | None
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_ODF = "urn:oasis:names:tc:opendocument:xmlns"


def xlsx(path: Path, sheets: Mapping[str, Sequence[Sequence[Cell]]], merged: Sequence[str] = ()) -> str:
    """Write `.xlsx`; a cell that is None is left away, a day is a number shown as a day.

    Args:
        sheets: the rows by the sheet's name.
        merged: ranges such as `A2:A4`, of the first sheet.
    """
    types, links, listed = "", "", ""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for at, (name, rows) in enumerate(sheets.items(), 1):
            body = "".join(f'<row r="{row}">{_cells(row, cells)}</row>' for row, cells in enumerate(rows, 1))
            ranges = "".join(f'<mergeCell ref="{one}"/>' for one in merged) if at == 1 else ""
            ranges = f'<mergeCells count="{len(merged)}">{ranges}</mergeCells>' if ranges else ""
            file.writestr(
                f"xl/worksheets/sheet{at}.xml",
                f'<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData>{ranges}</worksheet>',
            )
            types += (
                f'<Override PartName="/xl/worksheets/sheet{at}.xml" ContentType="{_TYPES}.worksheet+xml"/>'
            )
            links += f'<Relationship Id="r{at}" Type="{_LINKS}/worksheet" Target="worksheets/sheet{at}.xml"/>'
            listed += f'<sheet name="{escape(name)}" sheetId="{at}" r:id="r{at}"/>'
        links += f'<Relationship Id="s" Type="{_LINKS}/styles" Target="styles.xml"/>'
        file.writestr(
            "xl/styles.xml",
            f'<styleSheet xmlns="{_MAIN}"><cellXfs count="2">'
            '<xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>',
        )
        file.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{_MAIN}" xmlns:r="{_LINKS}"><sheets>{listed}</sheets></workbook>',
        )
        file.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{_PACKAGE}/relationships">{links}</Relationships>',
        )
        file.writestr(
            "_rels/.rels",
            f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r" Type="{_LINKS}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>',
        )
        file.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
            'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override '
            f'PartName="/xl/workbook.xml" ContentType="{_TYPES}.sheet.main+xml"/>{types}<Override '
            f'PartName="/xl/styles.xml" ContentType="{_TYPES}.styles+xml"/></Types>',
        )
    return str(path)


def _cells(row: int, cells: Sequence[Cell]) -> str:
    out = ""
    for at, cell in enumerate(cells):
        place = f'r="{chr(65 + at)}{row}"'
        if isinstance(cell, str):
            out += f'<c {place} t="inlineStr"><is><t>{escape(cell)}</t></is></c>'
        elif isinstance(cell, dt.date):
            out += f'<c {place} s="1"><v>{(cell - dt.date(1899, 12, 30)).days}</v></c>'
        elif cell is not None:
            out += f"<c {place}><v>{cell!r}</v></c>"
    return out


def ods(path: Path, rows: Sequence[Sequence[Cell]]) -> str:
    """Write `.ods` with one sheet."""
    body = "".join(f"<table:table-row>{''.join(map(_ods_cell, cells))}</table:table-row>" for cells in rows)
    spaces = " ".join(f'xmlns:{one}="{_ODF}:{one}:1.0"' for one in ("office", "table", "text"))
    with zipfile.ZipFile(path, "w") as file:
        file.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        file.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{_ODF}:manifest:1.0"><manifest:file-entry manifest:full-path="/" '
            'manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>',
        )
        file.writestr(
            "content.xml",
            f"<office:document-content {spaces}><office:body><office:spreadsheet>"
            f'<table:table table:name="Sheet1">{body}</table:table></office:spreadsheet></office:body>'
            "</office:document-content>",
        )
    return str(path)


def _ods_cell(cell: Cell) -> str:
    if cell is None:
        return "<table:table-cell/>"
    if isinstance(cell, str):
        kind = 'office:value-type="string"'
    elif isinstance(cell, dt.date):
        kind = f'office:value-type="date" office:date-value="{cell}"'
    else:
        kind = f'office:value-type="float" office:value="{cell!r}"'
    return f"<table:table-cell {kind}><text:p>{escape(str(cell))}</text:p></table:table-cell>"
