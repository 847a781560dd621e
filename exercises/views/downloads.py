"""Tables to save: as CSV, and as a workbook in which nothing typed becomes a formula or a link."""

import io

import xlsxwriter
from django.http import HttpResponse

from ..exchange import tables


def download(content, content_type, name):
    """A file to save."""
    return HttpResponse(
        content,
        content_type=content_type,
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def csv_file(columns, records, name):
    """A table as CSV, with a byte order mark so that spreadsheets read it as UTF-8."""
    return download(
        "\ufeff" + tables.as_text(columns, records), "text/csv; charset=utf-8", f"{name}.csv"
    )


def workbook(columns, records, name, title):
    """A table as a workbook of one sheet."""
    stream = io.BytesIO()
    with xlsxwriter.Workbook(
        stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    ) as book:
        sheet = book.add_worksheet(title)
        sheet.freeze_panes(1, 0)
        sheet.write_row(0, 0, columns, book.add_format({"bold": True}))
        for line, record in enumerate(records, start=1):
            sheet.write_row(line, 0, record)
        sheet.autofit()
    return download(
        stream.getvalue(),
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        f"{name}.xlsx",
    )
