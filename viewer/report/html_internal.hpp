// Why: how a page looks, and how a stranger's words get into it without becoming a part of it. Private to viewer/report.
#pragma once

#include <string>
#include <string_view>

namespace brookmark::viewer {

// For element text and for attributes in either kind of quotes.
std::string html_escaped(std::string_view text);

// Neither "<" nor "&" in it: the page is also read as XML. Words on grounds: at least 4.5 : 1 (WCAG 2.1, 1.4.3).
inline constexpr const char* kPageStyle = R"(
@page { size: A4; margin: 14mm 12mm; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { font: 16px/1.5 Roboto, "Helvetica Neue", Arial, "DejaVu Sans", sans-serif; color: #11181c; background: #fff; max-width: 56rem; margin: 0 auto; padding: 1rem; }
header { border-bottom: 3px solid #0d5c63; margin-bottom: 1rem; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: .5rem 0 .3rem; }
h2 { font-size: 1.3rem; line-height: 1.25; margin: 2rem 0 .5rem; color: #0d5c63; }
h3 { font-size: 1.05rem; margin: 1.4rem 0 .3rem; }
p { margin: .4rem 0 .7rem; max-width: 46rem; }
ul { padding-left: 1.2rem; margin: .4rem 0 .8rem; max-width: 46rem; } li { margin: .25rem 0; }
.subtitle, footer, figcaption { color: #4a545a; }
footer { border-top: 1px solid #969ea0; margin-top: 2rem; font-size: .85rem; }
.strong { border: 2px solid #8a1f11; border-radius: .3rem; padding: .6rem .8rem; font-weight: 600; }
nav { font-size: .92rem; } nav ol { columns: 10rem 2; padding-left: 1.4rem; margin: .4rem 0; } nav li { margin: 0; padding: .3rem 0; break-inside: avoid; }
a { color: #0b5394; }
.badge { display: inline-block; min-width: 1.35em; height: 1.35em; line-height: 1.25em; padding: 0 .2em; border-radius: .7em; border: 1px solid #11181c; font-weight: 700; font-size: .85em; text-align: center; }
.result { display: flex; gap: .9rem; align-items: center; margin: .6rem 0 1rem; }
.result .badge { font-size: 1.6rem; flex: none; border-width: 2px; line-height: 1.2em; } .result p { margin: 0; } .result .big { font-size: 1.4rem; font-weight: 700; line-height: 1.25; }
.figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 20rem), 1fr)); gap: 1.2rem; margin: .8rem 0; }
.figures.one { display: block; } .figures.one figure { max-width: 36rem; }
@media (min-width: 50rem) { .figures.one.keyed { display: grid; grid-template-columns: minmax(0, 36rem) 15rem; gap: 1.2rem; align-items: start; } .keyed .key { order: 2; flex-direction: column; } }
figure { margin: 0; break-inside: avoid; } figure svg { display: block; width: 100%; height: auto; }
.figure-title { font-weight: 700; margin: 0 0 .3rem; line-height: 1.3; } figcaption { font-size: .85rem; margin-top: .3rem; }
.key { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .3rem 1.1rem; font-size: .92rem; max-width: none; } .key li { display: flex; align-items: center; gap: .4rem; margin: 0; } .key svg { flex: none; }
.hint { display: none; }
.wide { overflow-x: auto; margin: .6rem 0 1.2rem; } .wide:focus-visible, a:focus-visible { outline: 3px solid #0b5394; outline-offset: 2px; }
table { border-collapse: collapse; width: 100%; font-size: .9rem; line-height: 1.35; }
caption { text-align: left; font-weight: 700; padding: .2rem 0 .4rem; }
th, td { border: 1px solid #969ea0; padding: .3rem .45rem; text-align: left; vertical-align: top; }
th { background: #e9eeec; } tbody th { font-weight: 700; background: #f6f8f7; } .n { text-align: right; font-variant-numeric: tabular-nums; }
td.blank { height: 1.6rem; }
@media (max-width: 40rem) { body { padding: .7rem; } h1 { font-size: 1.4rem; } table { min-width: 36rem; font-size: .85rem; } tbody th { position: sticky; left: 0; } nav ol { columns: 1; } }
@media screen and (max-width: 37rem) { .hint { display: block; margin: .6rem 0 0; font-size: .85rem; color: #4a545a; } }
@media print {
  body { font-size: 9.5pt; line-height: 1.35; max-width: none; padding: 0; } nav { display: none; }
  h1 { font-size: 16pt; } h2 { font-size: 12.5pt; break-after: avoid; margin-top: 1rem; } h3 { font-size: 10.5pt; break-after: avoid; }
  .new-page { break-before: page; } tr, .strong, .result { break-inside: avoid; } thead { display: table-header-group; }
  .wide { overflow: visible; } .figures.one figure { max-width: 12cm; } .figures.keyed { display: grid; grid-template-columns: 12cm 1fr; gap: .6cm; break-inside: avoid; } .keyed .key { order: 2; flex-direction: column; }
  table { font-size: 8pt; line-height: 1.25; } th, td { padding: .1rem .3rem; } .key { font-size: 8.5pt; } figcaption { font-size: 8pt; } p, ul { max-width: none; }
  .badge, th { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
)";

}  // namespace brookmark::viewer
