"""One look and one skeleton for the pages that grading writes: class report and feedback.

A page is one file: style inside, pictures inside, no script, nothing fetched.
"""

from __future__ import annotations

from typing import Final

from hvacr_lab.grading.markup import Html, element, joined

_POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

STYLE: Final = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem 1.25rem 4rem; max-width: 74rem; background: #fff; color: #1a1a1a;
  font: 1rem/1.5 system-ui, "Segoe UI", "DejaVu Sans", Arial, sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.75rem; line-height: 1.25; margin: 0 0 .25rem; }
h2 { font-size: 1.35rem; line-height: 1.3; margin: 2.75rem 0 .75rem; padding-top: .6rem;
  border-top: 3px solid #1a1a1a; }
h3 { font-size: 1.1rem; line-height: 1.35; margin: 1.75rem 0 .35rem; }
h4, h5, h6 { font-size: 1rem; margin: 1.25rem 0 .25rem; }
p, ul, ol, dl { margin: .5rem 0; max-width: 46rem; }
li { margin: .25rem 0; }
a { color: #00467a; }
a:focus-visible, [tabindex]:focus-visible { outline: 3px solid #1a1a1a; outline-offset: 2px; }
img { max-width: 100%; height: auto; }
.lead { font-size: 1.2rem; line-height: 1.45; margin: .75rem 0 1rem; }
.quiet { color: #4d4d4d; }
.small { font-size: .9rem; }
.box { border: 2px solid #1a1a1a; padding: .25rem 1rem; margin: 1.25rem 0; max-width: 46rem; }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .25rem 1.25rem; max-width: none; }
dl.facts { display: grid; grid-template-columns: max-content 1fr; gap: .3rem 1.25rem; }
dl.facts dt { font-weight: 600; }
dl.facts dd { margin: 0; min-width: 0; }
ol.again > li { margin: 1.1rem 0; padding-left: .4rem; }
ol.again > li::marker { font-weight: 700; font-size: 1.15rem; }
ol.again p { margin: .25rem 0; }
.pair { display: flex; flex-wrap: wrap; gap: 1rem 2rem; align-items: flex-start; }
.pair > .chart { flex: 1 1 40rem; margin: 0; max-width: 45rem; }
.chart { margin: 1rem 0; max-width: 45rem; }
.scroll { overflow-x: auto; margin: 1rem 0; max-width: 100%; }
.pair > .scroll { margin: 0; }
table { border-collapse: collapse; font-size: .95rem; line-height: 1.4; }
caption { text-align: left; font-weight: 600; padding: 0 0 .4rem; }
th, td { text-align: left; vertical-align: top; padding: .35rem .75rem .35rem 0; border-bottom: 1px solid #8c8c8c; }
thead th { border-bottom: 2px solid #1a1a1a; vertical-align: bottom; }
tbody th { font-weight: 600; }
.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; padding-right: 1.1rem; }
td small, th small { display: block; font-weight: 400; }
thead .number { white-space: normal; }
.names tbody th, .students tbody th, .students small, .students td:last-child { white-space: nowrap; }
pre { margin: .25rem 0; padding: .5rem .75rem; border: 1px solid #8c8c8c; background: #f5f5f5; white-space: pre-wrap;
  overflow-wrap: anywhere; font: .9rem/1.4 "DejaVu Sans Mono", Consolas, Menlo, monospace; }
code { font-family: "DejaVu Sans Mono", Consolas, Menlo, monospace; font-size: .92em; overflow-wrap: anywhere; }
pre code { font-size: inherit; }
.given { white-space: pre-wrap; }
pre.shown { background: #fff; border-style: dashed; }
blockquote { margin: .5rem 0; padding-left: 1rem; border-left: 4px solid #8c8c8c; }
.question { margin: 1.75rem 0; padding-left: 1rem; border-left: 7px solid #b3b3b3; }
.question.todo { border-left: 7px double #1a1a1a; }
h3 small { font-weight: 400; }
.question h3 { margin-top: 0; }
.cell { margin: 1rem 0; max-width: 58rem; }
.cell > .tag { font-size: .8rem; color: #4d4d4d; margin: .5rem 0 0; }
@media (max-width: 40rem) {
  dl.facts { grid-template-columns: 1fr; gap: 0; }
  dl.facts dd { margin-bottom: .5rem; }
}
@media print {
  html { font-size: 10pt; }
  body { max-width: none; padding: 0; }
  h2 { margin-top: 1.75rem; }
  nav { display: none; }
  h1, h2, h3, caption { break-after: avoid; }
  tr, figure, .question, ol.again > li, .box { break-inside: avoid; }
  thead { display: table-header-group; }
  .scroll { overflow: visible; }
  .pair { display: block; }
  .chart, .pair > .chart { max-width: 13cm; margin: 0 0 .75rem; }
  .students { font-size: 8pt; }
  .students td, .students th { padding-right: .3rem; }
  .students small { white-space: normal; }
  pre { background: #fff; }
  a { color: inherit; }
  @page { margin: 15mm; }
}
"""


def page(title: str, *body: object) -> str:
    """A whole page: one file that fetches nothing and runs nothing.

    Parameters
    ----------
    title : str, shown in the window's frame
    body : Html or text

    Returns
    -------
    str, HTML 5
    """
    policy = Html(f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">')
    head = element(
        "head",
        element("meta", charset="utf-8"),
        policy,
        element("meta", name="referrer", content="no-referrer"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        Html(f"<style>{STYLE}</style>"),
    )
    return "<!DOCTYPE html>\n" + element("html", head, element("body", element("main", joined(body, "\n"))), lang="en")
