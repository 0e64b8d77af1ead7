// How the protection sheet and its drawing look. In: nothing; out: CSS. Terms: pf- = of this sheet alone.
// Black on white throughout, so that grey paper loses nothing.

import { INK } from '../drawing/palette.js';

/** Style sheet of the sheet. */
export const PROTECTION_CSS: string = `
.pf-for{font-weight:bold}
.pf-both{display:flex;flex-wrap:wrap;gap:1.2rem;align-items:flex-start}
.pf-both>div{flex:1 1 22rem;min-width:0}
.pf-detail{margin:.4rem 0;max-width:100%;overflow-x:auto}
.pf-detail svg{display:block;max-width:none}
.pf-part{margin-top:1.1rem}
.pf-list{margin:.3rem 0;padding-left:1.2rem}
.pf-list li{margin:.15rem 0;max-width:90ch}
.pf-many{columns:auto 17rem;column-gap:1.2rem;margin:.3rem 0;padding-left:1.2rem;font-size:.85rem}
.pf-many li{break-inside:avoid}
.protect tbody th{min-width:8em}
.protect li{overflow-wrap:break-word}
.pf-log tbody th{width:26%}
.protect [aria-label=Fences] td:first-of-type{min-width:9em}
.pf-log table{width:100%;min-width:44rem}
.pf-log td,.pf-log th{border:1px solid var(--ink)}
.pf-log .pf-blank{min-width:6.5em;height:2.2em}
@media print{
.protect{break-before:page;break-after:page}
.protect h3{font-size:10.5pt}
.protect td,.protect th{overflow-wrap:anywhere}
.protect td.n,.protect thead th{overflow-wrap:normal}
.protect p{font-size:8pt}
.protect .fine{font-size:6.5pt}
.pf-many{columns:3;column-gap:5mm;font-size:7pt;line-height:1.25;margin:.5mm 0}
.pf-both{display:block}
.pf-detail{overflow:visible;margin:0 0 2mm;break-inside:avoid}
.pf-part{margin-top:3mm}
.pf-part h3{break-after:avoid}
.pf-list{columns:2;column-gap:6mm;font-size:7.5pt;line-height:1.25;margin:.5mm 0}
.pf-list li{break-inside:avoid;max-width:none}
.protect .wide table{font-size:7.5pt}
.pf-log{margin-right:.4mm}
.protect [aria-label="Bore distances"],.protect [aria-label=Contacts]{break-inside:avoid}
.pf-log table{min-width:0}
.pf-log .pf-blank{height:6.5mm}
}
`;

/** Style sheet of the drawing. */
export const FENCE_DETAIL_CSS: string = [
  '.pf-mesh,.pf-earth,.pf-line,.pf-thin,.pf-dim,.pf-ground{fill:none}',
  '.pf-mesh{stroke:#777777;stroke-width:.1}',
  `.pf-earth{stroke:${INK};stroke-width:.18}`,
  `.pf-line{stroke:${INK};stroke-width:.3}`,
  `.pf-thin{stroke:${INK};stroke-width:.1}`,
  `.pf-dim{stroke:${INK};stroke-width:.2}`,
  `.pf-ground{stroke:${INK};stroke-width:.7}`,
  `.pf-post{fill:${INK}}`,
  `.pf-buried{fill:#ffffff;stroke:${INK};stroke-width:.2;stroke-dasharray:.9 .6}`,
  `.pf-sign,.pf-board{fill:#ffffff;stroke:${INK};stroke-width:.35}`,
  '.pf-board{stroke-width:.7}',
].join('\n');
