#include "reports/style.hpp"

namespace dripleg::reports {
Literal page_style() {
  return R"css(:root{--paper:#fff;--ink:#16202a;--quiet:#55606b;--rule:#c9cfd4;--hair:#e4e7ea;--wash:#f4f6f7;
--accent:#0b5563;--breaks:#a3170f;--open:#7a5200;--accepted:#3f4a8a}
@media (prefers-color-scheme:dark){:root{--paper:#12171c;--ink:#e6eaed;--quiet:#a2adb6;--rule:#46515a;--hair:#2a333b;--wash:#1a2128;
--accent:#7cc7d3;--breaks:#ff8a7d;--open:#e9b44c;--accepted:#a9b4ff}}
*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,"Segoe UI",Roboto,"Noto Sans","DejaVu Sans",sans-serif;
font-variant-numeric:tabular-nums;-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:1.5rem clamp(1rem,3vw,3rem) 4rem;max-width:80rem}
p{margin:.5rem 0;max-width:46rem}
a{color:var(--accent);text-decoration-thickness:1px;text-underline-offset:.15em}
a:focus-visible,summary:focus-visible,.wide:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
.skip{position:absolute;left:-99rem}
.skip:focus{left:1rem;top:.5rem;background:var(--paper);padding:.4rem .8rem;border:2px solid var(--accent)}
.small{font-size:.85rem;color:var(--quiet)}
.strong{font-weight:700}
header.title{border-top:6px solid var(--ink);padding-top:.8rem;margin-bottom:1.2rem}
h1{font-size:1.75rem;line-height:1.2;margin:0;letter-spacing:-.01em}
.subtitle{font-size:1.05rem;color:var(--quiet);margin:.2rem 0 0}
h2{font-size:1.3rem;line-height:1.25;margin:2.4rem 0 .6rem;padding-bottom:.25rem;border-bottom:2px solid var(--ink)}
h3{font-size:1.08rem;margin:1.6rem 0 .4rem}
h4,h5,h6{font-size:1rem;margin:1.2rem 0 .3rem}
dl{margin:.6rem 0}dt{color:var(--quiet);font-size:.82rem}dd{margin:0}
dl.head{display:flex;flex-wrap:wrap;gap:.15rem 1.8rem;margin:.8rem 0 0;padding:.5rem 0;border-top:1px solid var(--rule);border-bottom:1px solid var(--rule)}
dl.head div{min-width:6rem}dl.head dd{font-weight:600}
dl.keys div{display:grid;grid-template-columns:minmax(6.5rem,9rem) 1fr;gap:0 1rem;padding:.14rem 0}
dl.keys dt{padding-top:.12rem}
nav.contents{margin:1rem 0;font-size:.92rem}
nav.contents p{color:var(--quiet);font-size:.82rem;margin:0}
nav.contents ul{columns:3 16rem;list-style:none;margin:.2rem 0;padding:0}
nav.contents .l2{padding-left:1rem}nav.contents .l3{padding-left:2rem}nav.contents .l4{padding-left:3rem}
.banner{display:flex;flex-wrap:wrap;align-items:baseline;gap:.1rem 1.4rem;margin:.7rem 0;padding:.55rem 1rem;border:2px solid var(--ink);border-left-width:12px}
.banner p{margin:0}.banner .words{font-size:1.75rem;line-height:1.2;font-weight:800;letter-spacing:.005em}
.banner .note{font-size:1.02rem}
.banner.breaks{border-color:var(--breaks)}.banner.breaks .words{color:var(--breaks)}
.banner.open{border-color:var(--open);border-style:dashed;border-left-style:double}.banner.open .words{color:var(--open)}
.banner.holds,.banner.plain{border-width:1px;border-left-width:4px}
.wide{overflow-x:auto;margin:.7rem 0 1rem}
table{border-collapse:collapse;font-size:.9rem;line-height:1.35;min-width:40%}
caption{text-align:left;font-weight:700;padding:0 0 .35rem;caption-side:top}
th,td{padding:.3rem .7rem;vertical-align:top;text-align:left;border-bottom:1px solid var(--hair)}
th:first-child,td:first-child{padding-left:.4rem}
thead th{vertical-align:bottom;border-bottom:2px solid var(--ink);font-weight:600;font-size:.82rem;line-height:1.25}
.unit{display:block;font-weight:400;color:var(--quiet)}
tbody th{font-weight:600}tbody th.r{font-weight:400}
tbody tr:hover{background:var(--wash)}
.r{text-align:right}.c{text-align:center}
tr.total>*{border-top:2px solid var(--ink);font-weight:700}
tr.group th{padding-top:.8rem;border-bottom:1px solid var(--ink);font-size:.95rem}
tr.row-breaks>:first-child{box-shadow:inset 6px 0 0 var(--breaks);padding-left:.9rem}
tr.row-open>:first-child{box-shadow:inset 2px 0 0 var(--open),inset 4px 0 0 var(--paper),inset 6px 0 0 var(--open);padding-left:.9rem}
tr.row-tight>:first-child{box-shadow:inset 2px 0 0 var(--ink);padding-left:.9rem}
ul.notes{list-style:none;margin:-.6rem 0 1rem;padding:0;font-size:.85rem;color:var(--quiet)}
.mark{display:inline-block;padding:0 .4em;border:1px solid currentColor;border-radius:2px;font-size:.8em;font-weight:700;white-space:nowrap;letter-spacing:.02em}
.mark.plain{border:0;padding:0;font-weight:400;color:var(--quiet)}
.mark.breaks{background:var(--breaks);border-color:var(--breaks);color:var(--paper)}
.mark.open{border-style:dashed;color:var(--open)}
.mark.holds{border:0;padding:0}
.mark.tight{border-width:0 0 2px;border-radius:0;padding:0 .1em}
.mark.accepted{color:var(--accepted)}
.finding{display:grid;grid-template-columns:7.5rem 1fr;gap:0 1.2rem;margin:.9rem 0;padding:.6rem 0 .7rem .9rem;border-left:4px solid var(--rule);border-bottom:1px solid var(--hair)}
.finding.breaks{border-left:10px solid var(--breaks)}
.finding.open{border-left:10px double var(--open)}
.finding.tight{border-left:4px solid var(--ink)}
.finding.plain,.finding.holds,.finding.tight,.finding.accepted{padding-left:calc(.9rem + 6px)}
.finding.accepted{border-left:4px dotted var(--accepted)}
.finding .call{font-weight:800;margin:0;letter-spacing:.02em}
.finding.breaks .call{color:var(--breaks)}.finding.open .call{color:var(--open)}.finding.accepted .call{color:var(--accepted)}
.finding .sentence{font-weight:600;margin:0 0 .35rem;font-size:1.03rem}
.finding .remedy{margin:.35rem 0;padding:.3rem .7rem;background:var(--wash);border-left:3px solid var(--accent)}
.finding .caution{margin:.35rem 0;padding:.3rem .7rem;border:2px solid var(--ink)}
.finding .remedy b,.finding .caution b{margin-right:.4rem}
.finding dl.keys{font-size:.92rem}
.margin{display:flex;flex-wrap:wrap;align-items:center;gap:.2rem .9rem;font-weight:700;margin:.2rem 0}
table.margins td,table.margins th{vertical-align:middle}
table.margins td.bar{padding:.1rem .7rem}
.margin.breaks span,table.margins td.breaks{color:var(--breaks);font-weight:800}
table.margins td.tight{font-weight:700}
table.margins td .small{font-weight:400;color:var(--quiet)}
details{margin:.5rem 0}
summary{cursor:pointer;color:var(--accent);font-size:.92rem}
details.working ul{list-style:none;margin:.3rem 0;padding:0;font-size:.86rem;border-left:1px solid var(--rule);max-width:60rem}
details.working li{padding:.1rem 0 .1rem .8rem}
.d1{margin-left:1.3rem}.d2{margin-left:2.6rem}.d3{margin-left:3.9rem}.d4{margin-left:5.2rem}
.d5{margin-left:6.5rem}.d6{margin-left:7.8rem}.d7{margin-left:9.1rem}.d8{margin-left:10.4rem}
cite{font-style:normal;color:var(--quiet)}
ul.checks{list-style:none;margin:.5rem 0;padding:0}
ul.checks li{display:flex;flex-wrap:wrap;align-items:baseline;gap:.2rem .8rem;padding:.34rem 0;border-bottom:1px solid var(--hair)}
.box{display:inline-block;width:1.15em;height:1.15em;line-height:1.05em;border:1.6px solid var(--ink);text-align:center;font-weight:800;vertical-align:-.2em;margin-right:.2em}
.entry{white-space:nowrap}
.rule{display:inline-block;border-bottom:1.2px solid var(--ink);min-height:1.3em;font-weight:700;text-align:center;vertical-align:bottom}
table.form{width:100%}
table.form th,table.form td{border:1px solid var(--ink);height:2.4rem;vertical-align:middle}
table.form thead th{height:auto;border-bottom-width:2px}
table.form tbody tr:hover{background:none}
td.blank{min-width:5rem}
figure{margin:1.2rem 0 1.6rem}
figcaption{font-weight:700;margin-bottom:.3rem}
svg.drawing{display:block;max-width:100%;height:auto}
figure svg.drawing{max-width:none}
.prose{max-width:46rem}
.prose pre{overflow-x:auto;background:var(--wash);padding:.6rem .8rem;font-size:.86rem}
.prose code{font-family:ui-monospace,"DejaVu Sans Mono",monospace;font-size:.92em}
.prose blockquote{margin:.6rem 0;padding-left:1rem;border-left:3px solid var(--rule)}
footer{margin-top:3rem;padding-top:.6rem;border-top:2px solid var(--ink);font-weight:600}
@media (max-width:40rem){.finding{grid-template-columns:1fr}.banner .words{font-size:1.35rem}dl.keys div{grid-template-columns:1fr}}
@page{margin:17mm 14mm 18mm;@top-left{font:8pt sans-serif}@bottom-left{font:7.5pt sans-serif}@bottom-right{font:8pt sans-serif;content:counter(page) " / " counter(pages)}}
@media print{
:root{--paper:#fff;--ink:#000;--quiet:#222;--rule:#777;--hair:#aaa;--wash:#fff;--accent:#000;--breaks:#000;--open:#000;--accepted:#000}
html{font-size:10pt;line-height:1.35}
body{padding:0;max-width:none}
.skip,nav.contents,.working summary,details.numbers{display:none}
summary{list-style:none;color:#000;font-weight:700}
h2,h3,h4{break-after:avoid}
.finding,figure,tr,.banner,ul.checks li,dl.head{break-inside:avoid}
thead{display:table-header-group}
.new-page{break-before:page}
.wide{overflow:visible}
table{font-size:8.6pt;max-width:100%}
caption{font-size:9pt}
table.margins svg.drawing{width:190px}
table.margins td.r{white-space:nowrap}
table.many{font-size:7pt}table.many th,table.many td{padding:.18rem .32rem}
th,td{padding:.2rem .5rem}
table.form th,table.form td{height:9mm}
.mark.breaks{background:none;color:#000;border:2px solid #000}
.finding .remedy{border-left:3px solid #000}
a{color:inherit;text-decoration:none}
figure svg.drawing{max-width:100%}
details::details-content{content-visibility:visible;block-size:auto}
tbody tr:hover{background:none}
}
)css";
}

Literal drawing_style() {
  return R"css(svg .t,svg .u{font-family:system-ui,"Segoe UI",Roboto,"Noto Sans","DejaVu Sans",sans-serif}
svg .t{paint-order:stroke;stroke:var(--paper,#fff);stroke-width:3px;stroke-linejoin:round}
svg .fill-paper{fill:var(--paper,#fff)}
svg .fill-accent{fill:var(--accent,currentColor);fill-opacity:.55}
svg .limit{stroke:var(--breaks,currentColor)}
svg .s1{stroke:var(--accent,currentColor)}
svg .s2{stroke:var(--open,currentColor)}
svg .s4{stroke:var(--accepted,currentColor)}
@media print{svg .fill-accent{fill-opacity:.3}}
)css";
}
}  // namespace dripleg::reports
