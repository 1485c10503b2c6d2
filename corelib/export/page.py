"""What all HTML pages share: style, light and dark, and tables of escaped text."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

STYLE = """
:root{color-scheme:light dark;--ink:#1d2126;--soft:#5b6570;--line:#cfd5db;--page:#fff;--band:#f3f5f7;
--stop:#b3261e;--check:#8a5a00;--note:#2f5d8a;--area:#b98b4e}
@media (prefers-color-scheme:dark){:root{--ink:#e6e9ec;--soft:#a3adb8;--line:#3b444d;--page:#16191d;
--band:#1f2429;--stop:#ff8a80;--check:#ffc266;--note:#8fc1f2;--area:#d3a868}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:62rem;padding:1.5rem;background:var(--page);color:var(--ink);
font:15px/1.45 system-ui,"Segoe UI","DejaVu Sans",sans-serif;overflow-wrap:break-word}
h1{font-size:1.6rem;line-height:1.2;margin:0 0 .3rem}h2{font-size:1.15rem;margin:2rem 0 .6rem}
h3{font-size:1rem;margin:1rem 0 .4rem}p{margin:.4rem 0}.soft{color:var(--soft)}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th,td{padding:.3rem .6rem;border-bottom:1px solid var(--line);text-align:left;vertical-align:top}
th{font-weight:600}td:not(.n){min-width:9rem}td.n,th.n{text-align:right}td.n{white-space:nowrap}
dl.key{display:flex;flex-wrap:wrap;gap:.5rem;margin:1rem 0}
dl.key div{background:var(--band);padding:.5rem .7rem;border-radius:4px;flex:1 1 9rem}
dl.key dt{color:var(--soft);font-size:.85rem}dl.key dd{margin:0;font-size:1.15rem;font-weight:600}
.finding{border-left:4px solid var(--note);padding:.1rem .8rem;margin:.6rem 0}
.stop{border-color:var(--stop)}.check{border-color:var(--check)}
.finding b{color:var(--note)}.stop b{color:var(--stop)}.check b{color:var(--check)}
.banner{border:2px solid var(--stop);color:var(--stop);padding:.6rem .8rem;font-weight:600;border-radius:4px}
.caution{border:1px solid var(--check);padding:.4rem .8rem;margin:.5rem 0;border-radius:4px}
.caution b::before{content:"\\26A0\\FE0E\\00A0"}
details{border-bottom:1px solid var(--line);padding:.25rem 0}details details{margin-left:1.2rem}
summary{cursor:pointer;display:flex;gap:1rem;justify-content:space-between}
summary::before{content:"+";color:var(--soft);width:.8rem}details[open]>summary::before{content:"\\2212"}
summary span:first-of-type{flex:1}summary .n{white-space:nowrap}
code{font-family:ui-monospace,"DejaVu Sans Mono",monospace;font-size:.9em}
svg{width:100%;height:auto}svg text{fill:var(--soft);font-size:11px}img{max-width:100%}
.wide{overflow-x:auto}
@media print{@page{size:auto;margin:15mm}body{max-width:none;padding:0;font-size:10.5pt}
h2,h3{break-after:avoid}tr,.finding,.caution,svg,dl.key div{break-inside:avoid}}
"""


def safe(value: object) -> str:
    """Return a value as text that is safe inside HTML."""
    return html.escape(str(value), quote=True)


def html_table(heads: Sequence[tuple[str, bool]], rows: Iterable[Sequence[str]]) -> str:
    """Return a table; each head says whether its column holds numbers. Cells are text, escaped here."""
    shown_heads = "".join(f'<th scope="col"{right(is_number)}>{safe(name)}</th>' for name, is_number in heads)
    shown_rows = "".join(
        "<tr>"
        + "".join(
            f"<td{right(is_number)}>{safe(cell)}</td>"
            for (_, is_number), cell in zip(heads, row, strict=True)
        )
        + "</tr>\n"
        for row in rows
    )
    return (
        f'<div class="wide"><table>\n<thead><tr>{shown_heads}</tr></thead>\n'
        f"<tbody>\n{shown_rows}</tbody></table></div>"
    )


def right(is_number: bool) -> str:
    """Return the class of a cell that holds a number."""
    return ' class="n"' if is_number else ""


def html_page(title: str, parts: Iterable[str], language: str) -> str:
    """Return a whole page: `title` is text, `parts` are HTML."""
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{safe(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(part for part in parts if part)
        + "\n</body>\n</html>\n"
    )
