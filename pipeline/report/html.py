"""The report as one page: nothing is fetched, no script is run, it can be kept and printed.

What the plain report says, with the body outline and the bars; each drawing has its words and
its numbers in a table beside it. Light or dark as the reader's system is. All words of a
record are escaped: a record may come from anywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from ...lexicon.labels import site_name
from ..interpret import Interpretation, Sentence
from ..record import Record
from .bars import evidence, leading_sites, percent, report_bars
from .findings import UNRECORDED, finding_rows
from .layout import plain
from .outline import report_outline
from .signed import state_words
from .text import SECTIONS, facts, remarks

_STYLE = (
    ":root{color-scheme:light dark;--ink:#1d2733;--paper:#fff;--soft:#5a6570;--rule:#cfd6dd;"
    "--alarm:#8f2d00;--ground:#fff4ec}"
    "@media(prefers-color-scheme:dark){:root{--ink:#e8ebee;--paper:#15191e;--soft:#a4afba;"
    "--rule:#39424c;--alarm:#ffb27a;--ground:#2a1d14}}"
    "@media print{:root{--ink:#000;--paper:#fff;--soft:#444;--rule:#999;--alarm:#000;"
    "--ground:#fff}article{break-after:page}h2{break-after:avoid}figure,tr{break-inside:avoid}"
    "figure svg{min-width:0!important;max-height:12cm}}"
    "body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif}"
    "article{max-width:56rem;margin:0 auto;padding:1.5rem}"
    "h1{font-size:1.5rem;margin:0}h2{font-size:1.1rem;margin:1.8rem 0 .4rem;"
    "border-bottom:1px solid var(--rule)}"
    "p,ul{margin:.4rem 0}li{margin:.2rem 0}.soft{color:var(--soft)}"
    ".urgent{border:2px solid var(--alarm);background:var(--ground);padding:.6rem 1rem;"
    "margin:1rem 0}.urgent h2{border:0;margin:0;color:var(--alarm)}"
    "table{border-collapse:collapse;width:100%;font-size:.92rem}"
    "th,td{text-align:left;vertical-align:top;padding:.2rem .6rem .2rem 0;"
    "border-bottom:1px solid var(--rule)}th[scope=rowgroup]{padding-top:.8rem}"
    "td.number{text-align:right}td.middle{text-align:center}"
    "caption{text-align:left;color:var(--soft)}"
    "figure{margin:1rem 0;overflow-x:auto}figure svg{max-width:100%;min-width:38rem;height:auto}"
    ".state{border:1px solid;padding:.3rem .6rem;display:inline-block;font-weight:600}"
    "details{margin:.4rem 0}.standing{margin-top:2rem;padding-top:.6rem;"
    "border-top:2px solid var(--rule)}"
)
_HEAD = (
    '<!DOCTYPE html>\n<html lang="en-GB">\n<head>\n<meta charset="utf-8">\n'
    '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
    "style-src 'unsafe-inline'\">\n"
    '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    '<meta name="referrer" content="no-referrer">\n'
    f"<title>Neurological examination</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
)
_FOOT = "</body>\n</html>\n"


def html_page(articles: Iterable[str]) -> Iterator[str]:
    """A whole page, piece by piece, of one or more articles; none gives nothing."""
    begun = False
    for article in articles:
        if not begun:
            yield _HEAD
            begun = True
        yield article
    if begun:
        yield _FOOT


def report_html(record: Record, interpretation: Interpretation) -> str:
    """The report on ``record`` as one article, to be put into ``html_page``."""
    parts = (
        _header(record),
        _urgent(interpretation),
        _sentences("Interpretation", _of(interpretation, "summary")),
        _figure(report_outline(record, interpretation)) if record.findings else "",
        _sites(record, interpretation),
        _findings(record),
        *(_sentences(heading, _of(interpretation, kind)) for kind, heading in SECTIONS),
        _terms(interpretation),
        *(_remarks(heading, lines) for heading, lines in remarks(record, interpretation)),
        f'<p class="standing">{_safe(interpretation.caution)}</p>',
    )
    return "<article>\n" + "\n".join(part for part in parts if part) + "\n</article>\n"


def _safe(words: str) -> str:
    return escape(plain(words))


def _header(record: Record) -> str:
    lines = "".join(f'<p class="soft">{_safe(line)}</p>' for line in facts(record) if line)
    state = f'<p class="state">{_safe(state_words(record))}</p>'
    title = _safe(f"Examination {record.narration}".strip())
    return f"<header><h1>{title}</h1>{lines}{state}</header>"


def _urgent(interpretation: Interpretation) -> str:
    urgent = [s.text for s in interpretation.sentences if s.urgent]
    if not urgent:
        return ""
    items = "".join(f"<li>{_safe(words)}</li>" for words in urgent)
    return f'<section class="urgent"><h2>Urgent</h2><ul>{items}</ul></section>'


def _of(interpretation: Interpretation, kind: str) -> list[Sentence]:
    return [s for s in interpretation.sentences if s.kind == kind and not s.urgent]


def _sentences(heading: str, sentences: list[Sentence]) -> str:
    if not sentences:
        return ""
    if heading == "Interpretation":
        return _section(heading, f"<p>{_safe(' '.join(s.text for s in sentences))}</p>")
    return _section(heading, f"<ul>{''.join(f'<li>{_safe(s.text)}</li>' for s in sentences)}</ul>")


def _remarks(heading: str, lines: list[str]) -> str:
    return _section(heading, f"<ul>{''.join(f'<li>{_safe(line)}</li>' for line in lines)}</ul>")


def _section(heading: str, content: str) -> str:
    return f"<section><h2>{_safe(heading)}</h2>{content}</section>"


def _figure(drawing: str) -> str:
    return f"<figure>{drawing}</figure>"


def _findings(record: Record) -> str:
    rows = []
    for group, places in finding_rows(record.findings):
        rows.append(
            f'<tr><th scope="rowgroup" colspan="3">{_safe(group[:1].upper() + group[1:])}</th></tr>'
        )
        for label, cells, wide in places:
            if cells is not None:
                left, right = (_safe(cell or "–") for cell in cells)
                rows.append(
                    f'<tr><th scope="row">{_safe(label)}</th><td>{left}</td><td>{right}</td></tr>'
                )
            rows.extend(
                f'<tr><th scope="row">{_safe(label)}</th><td class="middle" colspan="2">'
                f"{_safe(cell)}</td></tr>"
                for cell in wide
            )
    if not rows:
        return _section("Findings", "<p>No findings were recorded.</p>")
    head = '<tr><td></td><th scope="col">Left</th><th scope="col">Right</th></tr>'
    return _section(
        "Findings",
        f"<table><caption>{_safe(UNRECORDED)}</caption><thead>{head}</thead>"
        f"<tbody>{''.join(rows)}</tbody></table>",
    )


def _sites(record: Record, interpretation: Interpretation) -> str:
    sites = leading_sites(interpretation)
    if not sites:
        return ""
    shares = "".join(
        f'<tr><th scope="row">{_safe(site_name(site.site, site.which, site.side))}</th>'
        f'<td class="number">{percent(site.probability)}</td></tr>'
        for site in sites
    )
    weights = "".join(
        f'<tr><th scope="rowgroup" colspan="2">{_safe(scale.heading)}</th></tr>'
        + "".join(
            f'<tr><td>{_safe(words)}</td><td class="number">{value:+.1f}</td></tr>'
            for words, value in scale.weights
        )
        for scale in evidence(record, interpretation)
    )
    head = (
        '<tr><th scope="col">Site; finding</th>'
        '<th scope="col">Probability; decibans for (+) or against (−)</th></tr>'
    )
    table = (
        "<details><summary>The same as a table</summary>"
        f"<table><thead>{head}</thead><tbody>{shares}{weights}</tbody></table></details>"
    )
    return _section("Leading sites", _figure(report_bars(record, interpretation)) + table)


def _terms(interpretation: Interpretation) -> str:
    terms = [
        f"{p.label} ({p.hp_id}{', possible' if p.certainty == 'possible' else ''})"
        for p in interpretation.phenotypes
    ]
    if not terms:
        return ""
    return _section("Human Phenotype Ontology terms", f"<p>{_safe('; '.join(terms))}</p>")
