import { CHART_COLOURS } from "./chart-look.ts";

/** Every colour of a picture with its counterpart on a dark ground. */
const PICTURE_COLOURS: readonly (readonly [light: string, dark: string])[] = [
  ["#ffffff", "#141b22"],
  [CHART_COLOURS.ink, "#e4e9ee"],
  [CHART_COLOURS.quiet, "#a4b0bc"],
  [CHART_COLOURS.grid, "#2c3640"],
  [CHART_COLOURS.zero, "#78848f"],
  [CHART_COLOURS.proven, "#7cc0de"],
  [CHART_COLOURS.tint, "#1f3a48"],
  [CHART_COLOURS.witnessed, "#f2a33a"],
  [CHART_COLOURS.required, "#cf9fe2"],
  ["#7a5a1e", "#d9b56a"],
  ["#3f6b3a", "#94c98d"],
  ["#7d3346", "#e79bb0"],
  ["#4a4f7c", "#aab0ea"],
];

/** Name of the variable that holds a colour of the pictures. */
function variableOf(colour: string): string {
  return `--picture-${colour.slice(1)}`;
}

/**
 * A picture whose colours follow the page, light or dark. Only attributes that hold nothing but a
 * colour, and the colour of the drawing's own style, are touched; names of groups go, which the
 * picture's own text alternative replaces.
 */
export function pictureInPage(svg: string): string {
  const known = new Map(PICTURE_COLOURS.map(([light]) => [light, `var(${variableOf(light)})`]));
  return svg
    .replaceAll(/(<g\b[^>]*?) aria-label="[^"]*"/g, "$1")
    .replaceAll(
      /(\s(?:fill|stroke|color|stop-color)=")(#[0-9a-f]{6})"/g,
      (whole: string, lead: string, colour: string) => {
        const variable = known.get(colour);
        return variable === undefined ? whole : `${lead}${variable}"`;
      },
    )
    .replace(`;color:${CHART_COLOURS.ink}"`, `;color:var(${variableOf(CHART_COLOURS.ink)})"`);
}

function variables(place: 0 | 1): string {
  return PICTURE_COLOURS.map((pair) => `${variableOf(pair[0])}:${pair[place]};`).join("");
}

const LIGHT =
  "--ground:#ffffff;--ink:#1d2733;--quiet:#55606c;--rule:#b9c2cb;--tint:#eef3f6;--mark:#14506b;" +
  "--warn:#7a3b00;--warn-ground:#fdf4e6;";
const DARK =
  "--ground:#141b22;--ink:#e4e9ee;--quiet:#a9b4bf;--rule:#46525e;--tint:#1c2731;--mark:#7cc0de;" +
  "--warn:#f4c27a;--warn-ground:#2b2417;";

const SCREEN = `
*{box-sizing:border-box}
html{background:var(--ground);color:var(--ink);font:16px/1.5 system-ui,"DejaVu Sans",sans-serif}
body{max-width:62rem;margin:0 auto;padding:2rem 1.25rem 4rem}
h1,h2,h3,.statement{font-family:Charter,Georgia,"DejaVu Serif",serif;line-height:1.25}
h1{font-size:1.9rem;margin:.2rem 0 .4rem}
h2{font-size:1.35rem;margin:2.6rem 0 .8rem;padding-top:.7rem;border-top:3px double var(--rule)}
h3{font-size:1.05rem;margin:1.5rem 0 .4rem}
p,ul,ol,dl{margin:.4rem 0 .8rem}
ul,ol{padding-left:1.3rem}
a{color:var(--mark)}
.kind{font-variant-caps:all-small-caps;letter-spacing:.08em;color:var(--quiet);margin:0}
.meta{color:var(--quiet);font-size:.9rem}
.caution{border:1px solid var(--warn);border-left-width:6px;background:var(--warn-ground);
color:var(--ink);padding:.6rem .9rem;margin:1rem 0}
.caution p{margin:.15rem 0}
.statement{font-size:1.7rem;margin:.3rem 0 .1rem}
.pairs{display:grid;grid-template-columns:repeat(auto-fill,minmax(17rem,1fr));gap:.1rem 1.6rem}
.pairs div{border-bottom:1px solid var(--rule);padding:.2rem 0}
.pairs dt{color:var(--quiet);font-size:.85rem}
.pairs dd{margin:0}
.basis{columns:22rem 2;column-gap:2rem;margin:1rem 0}
.basis section{break-inside:avoid}
.basis h3{margin-top:0;padding-top:.4rem}
.basis ul{font-size:.92rem}
.table{overflow-x:auto;margin:.8rem 0 1.2rem}
.table:focus-visible{outline:2px solid var(--mark);outline-offset:3px}
table{border-collapse:collapse;width:100%;font-size:.86rem}
caption{text-align:left;font-weight:600;padding:.2rem 0 .35rem}
th,td{text-align:left;vertical-align:top;padding:.28rem .55rem;border-bottom:1px solid var(--rule)}
thead th{border-bottom:2px solid var(--ink);vertical-align:bottom;font-weight:600}
tbody th{font-weight:400}
tbody th.figure{font-weight:600}
.figure{text-align:right;font-variant-numeric:tabular-nums}
td.figure{white-space:nowrap}
tbody th{min-width:11rem}
tbody th.figure{min-width:0}
td.figure,th.figure{padding-left:.3rem}
.small{color:var(--quiet);font-size:.85em;overflow-wrap:anywhere}
.verdict{display:inline-block;padding:.05rem .5rem;white-space:nowrap;border:1px solid var(--ink)}
.holds{border-left-width:6px}
.doesNotHold{border:3px double var(--ink);font-weight:700}
.notProven{border-style:dashed;font-weight:600}
.noVerdict,.notCovered{border-style:dotted}
.notCovered{font-weight:700}
.bar{display:block;height:.55rem;background:var(--mark);min-width:1px;
print-color-adjust:exact;-webkit-print-color-adjust:exact}
.track{display:inline-block;width:4.5rem;border:1px solid var(--rule)}
figure{margin:1rem 0}
figure svg{width:100%;height:auto;border:1px solid var(--rule)}
figcaption{color:var(--quiet);font-size:.9rem}
code,pre{font-family:ui-monospace,"DejaVu Sans Mono",monospace;font-size:.82rem}
code{overflow-wrap:anywhere}
pre{white-space:pre-wrap;overflow-wrap:anywhere;background:var(--tint);padding:.7rem .9rem}
.sign td{height:3.2rem}
.contents{columns:2;font-size:.95rem}
`;

/** A4 with page numbers; a table's head is repeated, rows and pictures stay whole. */
const PRINT = `
@page{size:A4;margin:16mm 14mm 18mm;
@bottom-left{content:"plumbvolt: evidence record";font:8pt sans-serif;color:#444}
@bottom-right{content:"page " counter(page) " of " counter(pages);font:8pt sans-serif;color:#444}}
@media print{
:root{${LIGHT}${variables(0)}color-scheme:light}
html{font-size:9.2pt;line-height:1.36}
body{max-width:none;padding:0}
h1{font-size:17pt;margin:0 0 1mm}
h2{font-size:13pt;margin:6mm 0 2mm;break-after:avoid}
h3{font-size:10.5pt;margin:3mm 0 1mm;break-after:avoid}
p,ul,ol,dl{margin:1mm 0 2mm}
.caution{margin:2mm 0;padding:1.5mm 3mm}
.statement{font-size:16pt}
.table{overflow:visible;margin:2mm 0 3mm}
table{font-size:7.7pt}
th,td{padding:.7mm 1.4mm}
thead{display:table-header-group}
tr,figure,.sheet{break-inside:avoid}
caption{break-after:avoid}
.basis{columns:2;column-gap:6mm;margin:2mm 0}
.basis ul{font-size:8.2pt;margin:.5mm 0 1mm;padding-left:4mm}
.pairs{grid-template-columns:repeat(3,1fr);gap:0 5mm}
.pairs div{padding:.4mm 0}
.contents,.screen{display:none}
.sign{break-inside:avoid}
a{color:inherit;text-decoration:none}
.track{width:12mm}
tbody th{min-width:34mm}
tbody th.figure{min-width:0}
}
`;

/** The style of the page: light and dark by the reader's preference, light on paper. */
export function pageStyle(): string {
  return [
    `:root{${LIGHT}${variables(0)}color-scheme:light dark}`,
    `@media screen and (prefers-color-scheme:dark){:root{${DARK}${variables(1)}}}`,
    SCREEN.trim(),
    PRINT.trim(),
  ].join("\n");
}
