"""The shop sheet as one HTML page that needs no network, for screen and for A4 or Letter paper.

Every text is escaped; a content security policy forbids scripts and anything from elsewhere, so
that a name from a file can do nothing, whatever it holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from wheelgeo.drawing.figure import markup, svg_text
from wheelgeo.shop.sheet import (
    SHORT_ROWS,
    Block,
    Heading,
    Listing,
    Notice,
    Pairs,
    Paragraph,
    Picture,
    Sheet,
    Table,
)

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

_STYLE = """
:root { color: #111; background: #fff; }
body { font: 10.5pt/1.45 Georgia, "Times New Roman", serif; max-width: 190mm; margin: 0 auto;
  padding: 8mm 4mm; }
h1, h2, caption, th, .tag { font-family: "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 19pt; line-height: 1.2; margin: 0 0 2mm; overflow-wrap: anywhere; }
.lead { font-size: 12pt; border-top: 0.6mm solid #111; border-bottom: 0.2mm solid #111;
  padding: 2mm 0; margin: 0 0 5mm; }
h2 { font-size: 13pt; margin: 8mm 0 2mm; border-bottom: 0.2mm solid #777; break-after: avoid; }
table { border-collapse: collapse; width: 100%; margin: 3mm 0 5mm; font-size: 9pt;
  table-layout: fixed; }
caption { text-align: left; font-size: 9pt; font-weight: bold; padding-bottom: 1mm;
  break-after: avoid; }
th, td { text-align: left; vertical-align: top; padding: 0.8mm 1.2mm;
  border-bottom: 0.15mm solid #999; overflow-wrap: break-word; }
thead th { border-bottom: 0.4mm solid #111; font-size: 8pt; hyphens: auto; }
tbody th { font-weight: bold; }
thead { display: table-header-group; }
tr, table.short { break-inside: avoid; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.8mm 5mm; margin: 2mm 0 4mm; }
dt { font-weight: bold; } dd { margin: 0; }
.notice { border: 0.7mm solid #111; padding: 2mm 4mm; margin: 4mm 0; break-inside: avoid; }
.notice h2 { border: 0; margin: 0 0 1mm; font-size: 11.5pt; }
.notice ul { margin: 0; padding-left: 5mm; }
figure { margin: 4mm 0; break-inside: avoid; }
figure svg { display: block; width: 100%; height: auto; margin: 0 auto; }
figcaption { font-size: 9pt; margin-top: 1mm; }
li { margin-bottom: 1mm; break-inside: avoid; }
.boxes { list-style-position: outside; }
.box { display: inline-block; width: 3mm; height: 3mm; border: 0.3mm solid #111;
  margin-right: 2mm; vertical-align: -0.3mm; }
@page { margin: 14mm 13mm; }
@media print {
  body { max-width: none; margin: 0; padding: 0; }
  a { color: inherit; text-decoration: none; }
}
@media screen and (max-width: 700px) {
  table { font-size: 8pt; }
  dl { grid-template-columns: 1fr; }
}
"""


def sheet_html(sheet: Sheet) -> str:
    """Return a sheet as one self-contained HTML page.

    Args:
        sheet: what stands on it.
    """
    body = "\n".join(_block(block) for block in sheet.blocks)
    title = markup(sheet.title)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n"
        f'<h1>{title}</h1>\n<p class="lead">{markup(sheet.lead)}</p>\n'
        f"{body}\n</main>\n</body>\n</html>\n"
    )


def _block(block: Block) -> str:
    write: Callable[[Any], str] = _WRITERS[type(block)]
    return write(block)


def _pairs(pairs: Pairs) -> str:
    rows = "\n".join(f"<dt>{markup(k)}</dt><dd>{markup(v)}</dd>" for k, v in pairs.rows)
    return f"<dl>\n{rows}\n</dl>"


def _notice(notice: Notice) -> str:
    items, title = "\n".join(_items(notice.items)), markup(notice.title)
    head = f'<section class="notice" aria-label="{title}">\n<h2>{title}</h2>'
    return f"{head}\n<ul>\n{items}\n</ul>\n</section>"


def _items(items: Iterable[str], before: str = "") -> list[str]:
    return [f"<li>{before}{markup(item)}</li>" for item in items]


def _listing(listing: Listing) -> str:
    tag = "ol" if listing.numbered else "ul"
    box = '<span class="box" aria-hidden="true"></span>' if listing.boxes else ""
    items = "\n".join(_items(listing.items, box))
    return f"<{tag}>\n{items}\n</{tag}>"


def _table(table: Table) -> str:
    whole = sum(table.shares)
    columns = "".join(f'<col style="width:{100.0 * s / whole:.1f}%">' for s in table.shares)
    head = "".join(f'<th scope="col">{markup(cell)}</th>' for cell in table.head)
    rows = "\n".join(_row(row) for row in table.rows)
    kind = ' class="short"' if len(table.rows) <= SHORT_ROWS else ""
    return (
        f"<table{kind}>\n<caption>{markup(table.caption)}</caption>\n<colgroup>{columns}</colgroup>\n"
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"
    )


def _row(row: tuple[str, ...]) -> str:
    cells = "".join(f"<td>{markup(cell)}</td>" for cell in row[1:])
    return f'<tr><th scope="row">{markup(row[0])}</th>{cells}</tr>'


def _picture(picture: Picture) -> str:
    width = f"max-width:{picture.figure.width_mm:.1f}mm"
    drawn = svg_text(picture.figure, standalone=False).replace("<svg ", f'<svg style="{width}" ', 1)
    return f"<figure>\n{drawn}<figcaption>{markup(picture.caption)}</figcaption>\n</figure>"


_WRITERS: Mapping[type[Block], Callable[[Any], str]] = {
    Heading: lambda block: f"<h2>{markup(block.text)}</h2>",
    Paragraph: lambda block: f"<p>{markup(block.text)}</p>",
    Pairs: _pairs,
    Table: _table,
    Listing: _listing,
    Notice: _notice,
    Picture: _picture,
}
