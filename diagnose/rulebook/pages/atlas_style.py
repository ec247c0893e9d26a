"""How the book looks: black on white, wide margins, thin rules, made to be printed."""

STYLE = """
:root { --measure: 46rem; --rule: 1px solid #000; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1.5rem 1.25rem 4rem; color: #000;
  background: #fff; font: 1rem/1.5 Charter, "Bitstream Charter", "DejaVu Serif", Georgia, serif; }
h1, h2, h3, h4, h5, th, dt, caption, nav, .id, .up { font-family: "DejaVu Sans", Verdana,
  sans-serif; }
h1 { font-size: 2rem; line-height: 1.2; margin: 0 0 .5rem; max-width: 30rem; }
h2 { font-size: 1.4rem; margin: .6rem 0; }
h3 { font-size: 1.15rem; margin: .4rem 0; letter-spacing: .02em; }
h4 { font-size: 1.05rem; margin: .2rem 0; }
.part { border-top: 6px solid #000; margin-top: 1.2rem; scroll-margin-top: 4.5rem; }
nav { border-top: var(--rule); margin-top: 1.2rem; }
h5 { font-size: .9rem; margin: 1.1rem 0 .25rem; }
p { margin: .35rem 0; max-width: var(--measure); }
a { color: inherit; text-decoration: underline; text-decoration-thickness: 1px;
  text-underline-offset: .15em; }
a:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
article { border-top: 1px solid #999; scroll-margin-top: 4.5rem; }
article > details[open] { padding-bottom: 1.6rem; }
article:target h4 { text-decoration: underline; text-decoration-thickness: 3px; }
.id { font-size: .75rem; margin: .1rem 0 .4rem; }
.up { font-size: .85rem; }
.lead { font-size: 1.08rem; }
[hidden] { display: none !important; }
body:not(:has(#numbers:checked)) article:not(:has(.more[open])) .n { display: none; }
summary { cursor: pointer; min-height: 3rem; display: flex; align-items: center; gap: .6rem; }
summary::before { content: "+"; font: bold 1.2rem "DejaVu Sans Mono", monospace; width: 1rem; }
details[open] > summary::before { content: "\\2212"; }
summary::-webkit-details-marker { display: none; }
summary small { font-weight: normal; }
summary:focus-visible, button:focus-visible, input:focus-visible { outline: 3px solid #000;
  outline-offset: 2px; }
.more > summary { font: .85rem "DejaVu Sans", Verdana, sans-serif; }
.group { border-top: var(--rule); }
.group > article { margin-left: 1.1rem; }
button, input[type=search] { font: inherit; min-height: 3rem; padding: .4rem .8rem; color: #000;
  background: #fff; border: 2px solid #000; border-radius: 0; }
button { cursor: pointer; }
.finder { position: sticky; top: 0; background: #fff; padding: .5rem 0; border-bottom: var(--rule);
  font-family: "DejaVu Sans", Verdana, sans-serif; }
#found { list-style: none; padding-left: 0; max-width: none; max-height: 45vh; overflow-y: auto; }
#found a { display: inline-flex; align-items: center; min-height: 2.6rem; }
input[type=search] { width: min(24rem, 70%); }
input[type=checkbox] { width: 1.4rem; height: 1.4rem; vertical-align: -.3rem; accent-color: #000; }
.tick { display: inline-flex; align-items: center; min-height: 3rem; gap: .6rem; }
.first { border: 2px solid #000; padding: .6rem .8rem; }
.side { display: flex; flex-wrap: wrap; gap: 1rem 3rem; }
figure { margin: .8rem 0; max-width: 26rem; }
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
nav li a { display: inline-flex; align-items: center; min-height: 2.6rem; }
.parts { columns: 18rem 2; }
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
  body { font-size: 1.06rem; padding: 1rem .9rem 3rem; }
  h1 { font-size: 1.6rem; }
  .group > article { margin-left: .5rem; }
  table { font-size: 1rem; }
  td:not(:first-child):not(:empty)::before { font-size: .85rem; }
  body:not(:has(#numbers:checked)) article:not(:has(.more[open])) td.n { display: none; }
}
@media print {
  @page { size: A4; margin: 15mm 15mm 16mm; }
  html { font-size: 8.2pt; }
  body { line-height: 1.35; max-width: none; padding: 0; --measure: none; }
  article { margin-top: .6rem; padding: .3rem 0 .5rem; }
  nav, .finder, button, summary::before, .more:not([open]), body.one > header {
    display: none !important; }
  summary { min-height: 0; }
  body.one .part:not(:has(.chosen)), body.one .group:not(:has(.chosen)),
    body.one article:not(.chosen) { display: none; }
  body.one .part { break-before: auto; }
  body.one tbody tr:nth-child(n+13), body.one .by-answer :is(td, th):nth-child(n+2),
    body.one .aside, body.one .part > details > p { display: none; }
  th, td { padding: .12rem .8rem .12rem 0; }
  .up { display: none; }
  a { text-decoration: none; }
  .part { break-before: page; }
  h2, h3, h4, h5, thead { break-after: avoid; }
  figure, tr, article li, dl div { break-inside: avoid; }
  figure { max-width: 6.5cm; }
}
"""
