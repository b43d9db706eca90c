"""The report as one HTML file: no scripts, nothing fetched, every typed text escaped, ready to print."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

from costsim.report.blocks import Block, Chart, Facts, Heading, Items, Report, Signatures, Table, Text

STYLE = """
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;padding:1.5rem 1.2rem 3rem;max-width:62rem;background:#fff;color:#1a1a1a;font:15px/1.45 system-ui,sans-serif}
h1{font-size:1.6rem;margin:0 0 .2rem}h2{font-size:1.25rem;margin:2.2rem 0 .4rem}
h3{font-size:1rem;margin:1.3rem 0 .3rem;border-bottom:1px solid #8a8a8a;padding-bottom:.15rem}
p{margin:.35rem 0}.note,.small{font-size:.85rem;color:#444}
.answer{font-size:1.12rem;border-left:5px solid #0072b2;padding:.5rem .8rem;background:#eef5fa}
.wide{overflow-x:auto;margin:.6rem 0}table{border-collapse:collapse;width:100%;font-size:.88rem}
caption{text-align:left;font-weight:600;padding:.2rem 0}
th,td{padding:.22rem .5rem;border-bottom:1px solid #d0d0d0;vertical-align:top;text-align:left;overflow-wrap:break-word}
th.w,td.w{min-width:9rem}
th{border-bottom:1.5px solid #1a1a1a;font-weight:600}
td.r,th.r{text-align:right;font-variant-numeric:tabular-nums;overflow-wrap:normal}td.r{white-space:nowrap}
td.l{white-space:nowrap}.mark{font-weight:700;color:#a03c00}
dl{display:grid;grid-template-columns:minmax(8rem,15rem) 1fr;gap:.15rem .8rem;margin:.4rem 0;font-size:.92rem}
dt{color:#444;overflow-wrap:anywhere}dd{margin:0;overflow-wrap:anywhere}
figure{margin:.8rem 0}figcaption{font-weight:600;font-size:.92rem}figure svg{width:100%;height:auto;max-width:46rem;display:block}
ul.items{list-style:none;padding:0;margin:.4rem 0;font-size:.9rem}ul.items li{break-inside:avoid;margin:0 0 .5rem}
ul.two{columns:2;column-gap:1.6rem}.fine{color:#444;font-size:.92em}
.sign{display:grid;grid-template-columns:1fr 1fr 1fr;gap:1.2rem;margin-top:1.2rem;break-inside:avoid;font-size:.88rem}
.sign>div{display:flex;flex-direction:column}.sign p{margin:0}.line{border-bottom:1px solid #1a1a1a;height:2.4rem;margin-top:auto}
@media(max-width:40rem){ul.two{columns:1}.sign{grid-template-columns:1fr}dl{grid-template-columns:1fr}dt{font-weight:600}}
@media print{body{max-width:none;padding:0;font-size:9pt}.sheet{break-before:page}h2{margin-top:0}tr,figure,.sign{break-inside:avoid}
h3{break-after:avoid}.wide{overflow:visible}}
"""
_PARTS: dict[type[Any], Callable[[Any], str]] = {}


def _scenarios(kind: type[Any]) -> Callable[[Callable[[Any], str]], Callable[[Any], str]]:
    def put(function: Callable[[Any], str]) -> Callable[[Any], str]:
        _PARTS[kind] = function
        return function

    return put


def as_html(report: Report) -> str:
    """Draw a report as one HTML page.

    Parameters
    ----------
    report : Report

    Returns
    -------
    str
        Whole document; it may be opened from a disk without a network.
    """
    title = escape(report.title)
    policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}</style></head>\n<body><main>\n"
        f"<header><h1>{title}</h1>{f'<p>{escape(report.note)}</p>' if report.note else ''}"
        f'<p class="note">{escape(report.made_by)}</p></header>\n'
        f'<section class="page" aria-label="Page to sign">\n{_all(report.sign)}</section>\n'
        f'<section class="sheet"><h2>For the inspector</h2>\n{_all(report.inspect)}</section>\n'
        f'<section class="sheet"><h2>Calculation sheet</h2>\n{_all(report.sheet)}</section>\n</main></body></html>\n'
    )


def _all(blocks: tuple[Block, ...]) -> str:
    return "".join(f"{_PARTS[type(block)](block)}\n" for block in blocks)


@_scenarios(Heading)
def _heading(block: Heading) -> str:
    return f"<h3>{escape(block.text)}</h3>"


@_scenarios(Text)
def _text(block: Text) -> str:
    return f'<p class="{block.weight}">{escape(block.text)}</p>'


@_scenarios(Facts)
def _facts(block: Facts) -> str:
    return f"<dl>{''.join(f'<dt>{escape(what)}</dt><dd>{escape(value)}</dd>' for what, value in block.rows)}</dl>"


@_scenarios(Table)
def _table(block: Table) -> str:
    head = "".join(
        f'<th scope="col" class="{letter.lower()}">{escape(cell)}</th>'
        for letter, cell in zip(block.aligned, block.headings, strict=True)
    )
    body = "".join(
        f"<tr>{''.join(_cell(block, letter, cell) for letter, cell in zip(block.aligned, row, strict=True))}</tr>"
        for row in block.rows
    )
    caption = f"<caption>{escape(block.title)}</caption>" if block.title else ""
    note = f'<p class="note">{escape(block.note)}</p>' if block.note else ""
    table = f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    return f'<div class="wide" tabindex="0" role="region" aria-label="{escape(block.title or block.headings[0])}">{table}</div>{note}'


def _cell(block: Table, letter: str, cell: str) -> str:
    text = f'<span class="mark">{escape(cell)}</span>' if cell in block.marks else escape(cell)
    return f'<td class="{letter.lower()}">{text}</td>'


@_scenarios(Chart)
def _chart(block: Chart) -> str:
    return f'<figure><figcaption>{escape(block.title)}</figcaption>{block.svg}<p class="small">{escape(block.about)}</p></figure>'


@_scenarios(Items)
def _items(block: Items) -> str:
    rows = []
    for lead, text, fine in block.items:
        bold = f"<strong>{escape(lead)}.</strong> " if lead else ""
        small = f' <span class="fine">{escape(fine)}</span>' if fine else ""
        rows.append(f"<li>{bold}{escape(text)}{small}</li>")
    return f'<ul class="items{" two" if block.columns > 1 else ""}">{"".join(rows)}</ul>'


@_scenarios(Signatures)
def _signatures(block: Signatures) -> str:
    rows = "".join(
        f'<div><p><strong>{escape(who)}</strong>: {escape(what)}</p><div class="line"></div><p>name, date, signature</p></div>'
        for who, what in block.rows
    )
    return f'<div class="sign">{rows}</div>'
