"""How the book looks: black on white, wide margins, thin rules, made to be printed."""

STYLE = """
:root { --measure: 46rem; --rule: 1px solid #000; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1.5rem 1.25rem 4rem; color: #000;
  background: #fff; font: 1rem/1.5 Charter, "Bitstream Charter", "DejaVu Serif", Georgia, serif; }
h1, h2, h3, h4, h5, th, dt, caption, nav, .id, .up { font-family: "DejaVu Sans", Verdana,
  sans-serif; }
h1 { font-size: 2rem; line-height: 1.2; margin: 0 0 .5rem; max-width: 30rem; }
h2 { font-size: 1.5rem; margin: 3rem 0 1rem; padding-top: .5rem; border-top: 6px solid #000; }
h3 { font-size: 1.15rem; margin: 2.5rem 0 .5rem; letter-spacing: .02em; }
h4 { font-size: 1.1rem; margin: 0; }
h5 { font-size: .9rem; margin: 1.1rem 0 .25rem; }
header h2 { font-size: 1.1rem; border-top: var(--rule); margin-top: 1.5rem; }
p { margin: .35rem 0; max-width: var(--measure); }
a { color: inherit; text-decoration: underline; text-decoration-thickness: 1px;
  text-underline-offset: .15em; }
a:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
article { border-top: var(--rule); padding: .9rem 0 1.6rem; margin-top: 1.2rem; }
article:target h4 { text-decoration: underline; text-decoration-thickness: 3px; }
.id { font-size: .75rem; margin: .1rem 0 .4rem; }
.up { float: right; }
.lead { font-size: 1.08rem; }
.first { border: 2px solid #000; padding: .6rem .8rem; }
.side { display: flex; flex-wrap: wrap; gap: 1rem 3rem; }
figure { margin: .8rem 0; max-width: 46rem; }
figure svg { width: 100%; height: auto; display: block; }
dl { margin: .6rem 0; max-width: var(--measure); }
dl div { display: grid; grid-template-columns: 9.5rem 1fr; gap: .75rem; padding: .12rem 0; }
dt { font-size: .8rem; padding-top: .15rem; }
dd { margin: 0; }
ul, ol { margin: .25rem 0; padding-left: 1.4rem; max-width: var(--measure); }
table { border-collapse: collapse; width: 100%; font-size: .9rem; line-height: 1.4; }
.side table { width: auto; }
caption { text-align: left; font-size: .8rem; padding-bottom: .2rem; }
th, td { text-align: left; vertical-align: top; padding: .28rem .8rem .28rem 0;
  border-bottom: 1px solid #999; overflow-wrap: break-word; }
thead th { font-size: .75rem; border-bottom: var(--rule); }
tbody th { font-weight: normal; }
.by-seen td:first-child { width: 36%; }
.by-seen td:nth-child(2) { width: 14%; }
.by-seen td:last-child { width: 13%; }
.by-answer td:first-child { width: 22%; }
.by-answer td:nth-child(2) { width: 7%; }
.by-cause td:first-child, .by-with td:first-child { width: 34%; }
.by-cause td:nth-child(2) { width: 18%; }
code { font: .9em "DejaVu Sans Mono", monospace; }
nav ul { list-style: none; padding-left: 0; max-width: none; }
nav > ul > li { margin: 0 0 1rem; }
nav > ul > li > a { font-weight: bold; }
nav li li { font-size: .85rem; margin: .3rem 0 .3rem 1rem; }
nav li li span { font-weight: bold; }
nav li li a { text-decoration: none; }
nav li li a:hover { text-decoration: underline; }
@media (max-width: 40rem) {
  dl div { grid-template-columns: 1fr; gap: 0; }
  table, thead, tbody, tr, td { display: block; width: auto !important; }
  thead { display: none; }
  tr { border-bottom: 1px solid #999; padding: .3rem 0; }
  td { border: 0; padding: .1rem 0; }
  td:first-child { font-weight: bold; }
  td:not(:first-child):not(:empty)::before { content: attr(data-head) ": ";
    font: .75rem "DejaVu Sans", Verdana, sans-serif; }
  .side td::before { content: none !important; }
  .side table, .side tr, .side td { display: revert; }
}
@media print {
  @page { size: A4; margin: 15mm 15mm 16mm; }
  html { font-size: 8.2pt; }
  body { line-height: 1.35; max-width: none; padding: 0; --measure: none; }
  article { margin-top: .6rem; padding: .6rem 0 .8rem; }
  th, td { padding: .12rem .8rem .12rem 0; }
  .up { display: none; }
  a { text-decoration: none; }
  .part { break-before: page; }
  h2, h3, h4, h5, thead { break-after: avoid; }
  figure, tr, article li, dl div { break-inside: avoid; }
  figure { max-width: 11cm; }
}
"""
