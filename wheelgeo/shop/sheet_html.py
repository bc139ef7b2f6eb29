"""The shop sheet as one HTML page that needs no network, for screen, phone and A4 or Letter paper.

The template engine escapes every text by itself, wherever it comes from; a content security policy
forbids scripts and anything from elsewhere, so that a name from a file can do nothing, whatever it
holds.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from wheelgeo.drawing.figure import svg_text, without_forbidden
from wheelgeo.shop.sheet import SHORT_ROWS, Picture, Sheet

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
  h2.page { break-before: page; }
  body { max-width: none; margin: 0; padding: 0; }
  a { color: inherit; text-decoration: none; }
}
@media screen and (max-width: 700px) {
  dl { grid-template-columns: 1fr; gap: 0; } dd { margin: 0 0 2mm; }
  table, caption, tbody, tr, th, td { display: block; }
  thead, colgroup { position: absolute; width: 1px; height: 1px; overflow: hidden;
    clip-path: inset(50%); }
  tbody tr { border: 0.3mm solid #777; border-radius: 1.5mm; margin: 0 0 3mm; padding: 1mm 2mm; }
  tbody th, td { border: 0; padding: 0.5mm 0; font-size: 11pt; }
  tbody th { border-bottom: 0.2mm solid #999; }
  td:empty { display: none; }
  td::before { content: attr(data-head) ": "; font-family: "Helvetica Neue", Arial, sans-serif;
    font-size: 9pt; color: #444; }
}
"""

_COMPACT = """
body { font-size: 9pt; line-height: 1.25; }
h1 { font-size: 14pt; } h2 { font-size: 10.5pt; margin: 2mm 0 1mm; }
.lead { font-size: 10pt; padding: 1mm 0; margin: 0 0 2mm; }
dl { grid-template-columns: max-content 1fr max-content 1fr; gap: 0.3mm 3mm; margin: 1mm 0; }
.notice { padding: 1mm 3mm; margin: 2mm 0; } .notice h2 { font-size: 10pt; }
figure { margin: 1.5mm 0; } figcaption { font-size: 8pt; margin: 0; }
ol { margin: 1mm 0; } li { margin-bottom: 0.3mm; }
"""
"""So much smaller that what is one page of a PDF is one page of paper from a browser too."""

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{ policy }}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ sheet.title }}</title>
<style>{{ style }}</style>
</head>
<body>
<main>
<h1>{{ sheet.title }}</h1>
<p class="lead">{{ sheet.lead }}</p>
{% for block in sheet.blocks %}
{% set kind = block.__class__.__name__ %}
{% if kind == "Heading" %}
<h2{{ ' class="page"'|safe if block.new_page }}>{{ block.text }}</h2>
{% elif kind == "Paragraph" %}
<p>{{ block.text }}</p>
{% elif kind == "Pairs" %}
<dl>
{% for name, value in block.rows %}
<dt>{{ name }}</dt><dd>{{ value }}</dd>
{% endfor %}
</dl>
{% elif kind == "Table" %}
<table{{ ' class="short"'|safe if block.rows|length <= short_rows }}>
<caption>{{ block.caption }}</caption>
<colgroup>
{%- for share in block.shares %}
<col style="width:{{ "%.1f"|format(100.0 * share / block.shares|sum) }}%">
{%- endfor %}
</colgroup>
<thead><tr>{% for cell in block.head %}<th scope="col">{{ cell }}</th>{% endfor %}</tr></thead>
<tbody>
{% for row in block.rows %}
<tr><th scope="row">{{ row[0] }}</th>
{%- for cell in row[1:] %}<td data-head="{{ block.head[loop.index] }}">{{ cell }}</td>{% endfor %}
</tr>
{% endfor %}
</tbody>
</table>
{% elif kind == "Listing" %}
{% set tag = "ol" if block.numbered else "ul" %}
<{{ tag }}>
{% for item in block.items %}
<li>{% if block.boxes %}<span class="box" aria-hidden="true"></span>{% endif %}{{ item }}</li>
{% endfor %}
</{{ tag }}>
{% elif kind == "Notice" %}
<section class="notice" aria-label="{{ block.title }}">
<h2>{{ block.title }}</h2>
<ul>
{% for item in block.items %}
<li>{{ item }}</li>
{% endfor %}
</ul>
</section>
{% elif kind == "Picture" %}
<figure>
{{ drawn(block) }}<figcaption>{{ block.caption }}</figcaption>
</figure>
{% else %}
{{ unknown_block() }}
{% endif %}
{% endfor %}
</main>
</body>
</html>
"""


def sheet_html(sheet: Sheet, one_page: bool = False) -> str:
    """Return a sheet as one self-contained HTML page.

    Args:
        sheet: what stands on it.
        one_page: smaller type, so that a card prints on one sheet of paper.
    """
    style = Markup(_STYLE + _COMPACT if one_page else _STYLE)
    return _template().render(
        sheet=sheet, policy=_POLICY, style=style, short_rows=SHORT_ROWS, drawn=_drawn
    )


@cache
def _template() -> Template:
    """Return the template; what it does not know is an error, not an empty place."""
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_fit,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.from_string(_PAGE)


def _fit(value: Any) -> Any:
    """Return a text without what a page may not hold; escaping follows, and is not done here."""
    text = isinstance(value, str) and not isinstance(value, Markup)
    return without_forbidden(value) if text else value


def _drawn(picture: Picture) -> Markup:
    width = f"max-width:{picture.figure.width_mm:.1f}mm"
    drawn = svg_text(picture.figure, standalone=False)  # which escapes its own texts
    return Markup(drawn.replace("<svg ", f'<svg style="{width}" ', 1))
