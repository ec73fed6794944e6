"""Tables as CSV and XLSX. A text that a spreadsheet would run as a formula is made harmless."""

import csv
import re
from pathlib import Path

# What makes a spreadsheet take a text for a formula, also behind blanks and in wide letters.
_FORMULA = re.compile(r"^[\s\x00-\x20]*[=+\-@＝＋－＠\t\r]")
# Not allowed in XML 1.0, and so not in XLSX.
_NO_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
LONGEST_CELL = 32_767


def harmless(cell):
    """A cell that no spreadsheet runs: a text like a formula gets an apostrophe in front."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if _FORMULA.match(text) else text


def plain(cell):
    """A cell as it was before `harmless`."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell[1:]) else cell


def write_csv(path, columns, rows):
    """Write a table as UTF-8 CSV with a mark in front, so that spreadsheets read the letters."""
    with Path(path).open("w", encoding="utf-8-sig", newline="", errors="replace") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows([[harmless(cell) for cell in row] for row in rows])


def write_xlsx(path, sheets):
    """Write {title: (columns, rows)} as a workbook. Numbers stay numbers, all else is text."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    book = Workbook(write_only=True)
    for title, (columns, rows) in sheets.items():
        sheet = book.create_sheet(title[:31])
        sheet.freeze_panes = "A2"
        for place, width in enumerate(_widths(columns, rows)):
            sheet.column_dimensions[chr(ord("A") + place)].width = width
        head = [WriteOnlyCell(sheet, column) for column in columns]
        for cell in head:
            cell.font = Font(bold=True)
        sheet.append(head)
        for row in rows:
            sheet.append([_xlsx_cell(sheet, value) for value in row])
    book.save(path)


def _widths(columns, rows):
    sample = [columns, *rows[:200]]
    return [min(60, 2 + max(len(str(r[i])) for r in sample)) for i in range(min(len(columns), 26))]


def _xlsx_cell(sheet, value):
    from openpyxl.cell import WriteOnlyCell

    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    cell = WriteOnlyCell(sheet, _NO_XML.sub("\ufffd", harmless(value))[:LONGEST_CELL])
    cell.data_type = "s"  # a text, whatever it begins with
    return cell
