// The page round the report: style sheet, script, security policy. In: title and body; out: HTML.
// Terms: policy = Content-Security-Policy: nothing is loaded from anywhere, and only this script runs, named by its hash;
// tests/report/report.test.ts holds hash and script together.

import { DRAWING_CSS, VERDICT_STYLES } from '../drawing/palette.js';
import { esc } from '../text.js';
import { FENCE_DETAIL_CSS, PROTECTION_CSS } from './protection-css.js';

/**
 * On a narrow screen the plan opens on the trees that matter, and a button gives the whole sheet. Sorting by a click on a
 * heading, or by Enter or Space there. Without it plan and table stand as they are, worst first.
 */
export const SCRIPT: string = `(()=>{
const ground=document.querySelector('svg[data-focus]'),sheet=ground?.ownerSVGElement;
if(sheet&&matchMedia('(max-width:600px)').matches){
const whole=[sheet.getAttribute('viewBox'),ground.getAttribute('viewBox')];
const part=[['x','y','width','height'].map((a)=>ground.getAttribute(a)).join(' '),ground.dataset.focus];
const button=document.createElement('button');
button.type='button';
const show=(near)=>{
[sheet,ground].forEach((svg,i)=>svg.setAttribute('viewBox',(near?part:whole)[i]));
button.textContent=near?'Show the whole sheet':'Show the trees over their limit';
button.setAttribute('aria-pressed',String(!near));
};
let near=true;
button.addEventListener('click',()=>show(near=!near));
show(near);
sheet.parentElement.before(button);
}
})();
(()=>{
const table=document.getElementById('schedule');
if(!table)return;
const body=table.tBodies[0],heads=[...table.tHead.rows[0].cells];
const value=(row,i)=>{const c=row.cells[i];return c.dataset.v===undefined?c.textContent.trim():Number(c.dataset.v)};
const compare=(a,b)=>{
const x=typeof a==='number'?a:Number.parseFloat(a),y=typeof b==='number'?b:Number.parseFloat(b);
const n=(v,t)=>typeof t==='number'||/^-?[\\d.]+°?$/.test(t)?v:NaN;
const p=n(x,a),q=n(y,b);
if(!Number.isNaN(p)&&!Number.isNaN(q))return p-q;
return String(a).localeCompare(String(b),'en',{numeric:true});
};
heads.forEach((head,i)=>{
const button=document.createElement('button');
button.type='button';
button.append(...head.childNodes);
head.append(button);
head.setAttribute('aria-sort','none');
button.addEventListener('click',()=>{
const up=head.getAttribute('aria-sort')!=='ascending';
heads.forEach((h)=>h.setAttribute('aria-sort','none'));
head.setAttribute('aria-sort',up?'ascending':'descending');
const missing=(v)=>v==='\\u2013';
const rows=[...body.rows].map((row)=>({row,v:value(row,i)}));
rows.sort((a,b)=>missing(a.v)||missing(b.v)?Number(missing(a.v))-Number(missing(b.v)):(up?1:-1)*compare(a.v,b.v));
body.append(...rows.map((r)=>r.row));
});
});
})();
`;

/** SHA-256 of SCRIPT, base64: the one script the policy lets run. */
export const SCRIPT_SHA256: string = 'qXPxaEs/ZC57BUPxEEwH6i7pAxmMB4KLCmqEdeLFD5o=';

const POLICY = `default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-${SCRIPT_SHA256}'; base-uri 'none'; form-action 'none'`;

const verdictCss = (Object.keys(VERDICT_STYLES) as (keyof typeof VERDICT_STYLES)[])
  .map((verdict) => `.v-${verdict}::before{background:${VERDICT_STYLES[verdict].fill}}`)
  .join('\n');

const CSS = `
:root{--ink:#1b1b1f;--soft:#55555c;--line:#c9c9cf;--paper:#fff}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;max-width:1240px;padding:1.2rem;color:var(--ink);background:var(--paper);font:15px/1.45 Arial,Helvetica,"Liberation Sans",sans-serif}
h1{font-size:1.7rem;margin:0 0 .3rem}
h2{font-size:1.25rem;margin:2rem 0 .6rem;padding-bottom:.2rem;border-bottom:2px solid var(--ink)}
h3{font-size:1.05rem;margin:0}
p{margin:.4rem 0;max-width:80ch}
code{font:.85em ui-monospace,Consolas,"Liberation Mono",monospace;color:var(--soft);overflow-wrap:anywhere}
bdi{overflow-wrap:break-word}
.why-col{min-width:13em}
table{border-collapse:collapse;font-size:.88rem}
th,td{text-align:left;vertical-align:top;padding:.25rem .5rem;border-bottom:1px solid var(--line)}
thead th{border-bottom:2px solid var(--ink);vertical-align:bottom}
.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
thead .n{white-space:normal}
.head{border-bottom:2px solid var(--ink);padding:0 0 .4rem}
#answer h2{margin-top:.8rem;border:0;padding:0}
.about{margin:1rem 0 0;border:1px solid var(--line);padding:.6rem .9rem}
.about,.opts{display:grid;grid-template-columns:max-content 1fr;gap:.1rem .9rem}
dt{color:var(--soft)}
dd{margin:0;overflow-wrap:anywhere}
.stamp{display:inline-block;border:2px solid var(--ink);padding:.05rem .6rem;font-weight:bold;letter-spacing:.12em;text-transform:uppercase;margin:.2rem 0}
.answer{font-size:1.05rem}
.answer ol{margin:.3rem 0;padding-left:1.5rem}
.answer li{margin:.25rem 0;max-width:100ch}
.tally th{font-weight:normal}
.cautions.first{font-size:.9rem;margin:.6rem 0 0}
.signoff{width:100%;max-width:900px}
.signoff th{width:13em;font-weight:normal;color:var(--soft)}
.signoff thead th{color:inherit;font-weight:bold}
.signoff td,.signoff th{padding:.4rem .5rem}
.fill{display:inline-block;width:100%;min-width:6em;height:1.2em;border-bottom:1px solid var(--ink)}
tfoot th,tfoot td{border-top:1px solid var(--ink);font-weight:bold}
h4{font-size:.95rem;margin:.6rem 0 .2rem}
#appendix h3{margin:1.2rem 0 .4rem}
.v{white-space:nowrap}
.v::before{content:"";display:inline-block;width:.75em;height:.75em;margin-right:.4em;border:1px solid var(--ink);border-radius:50%;vertical-align:-.05em}
${verdictCss}
.v-stem-in-works::before{border-radius:0;transform:rotate(45deg)}
.v-not-assessed::before{border-style:dashed}
.v-over-limit,.v-stem-in-works{font-weight:bold}
.plan{margin:0}
.sheet{overflow-x:auto}
.plan>button{font:inherit;padding:.4rem .8rem;margin:0 0 .5rem}
.sheet>svg{display:block;width:100%;height:auto}
.wide{overflow-x:auto}
.wide tbody th,.sched td:last-child{min-width:4.2em}
.wide:focus-visible{outline:3px solid #0b4a4f}
.sched{width:100%}
.sched button{font:inherit;font-weight:bold;color:inherit;background:none;border:0;padding:0;text-align:inherit;cursor:pointer}
.sched button:focus-visible{outline:3px solid #0b4a4f;outline-offset:2px}
.sched [aria-sort] button::after{content:" \\2195";color:var(--soft)}
.sched [aria-sort=ascending] button::after{content:" \\2191";color:inherit}
.sched [aria-sort=descending] button::after{content:" \\2193";color:inherit}
.sched tbody tr:nth-child(even){background:#f6f6f4}
.cards{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,350px),1fr));gap:1rem}
.card{border:1px solid var(--ink);padding:.8rem .9rem;break-inside:avoid;min-width:0}
.card figure{margin:.5rem 0}
.card figure svg{display:block;width:100%;max-width:110mm;height:auto;margin:0 auto}
.card table{width:100%;margin:.4rem 0}
.card .kv th{font-weight:normal;color:var(--soft);width:38%}
.card .took td,.card .took thead th:not(:first-child){text-align:right;font-variant-numeric:tabular-nums}
.card .took tbody th{font-weight:normal}
.sp{font-weight:normal;font-style:italic}
.why{margin:.4rem 0;padding-left:1.1rem;font-size:.9rem}
.cons{font-size:.9rem;font-weight:bold}
.facts{font-size:.85rem;border-top:1px solid var(--ink);margin-top:.5rem}
.facts p{margin:.25rem 0}
.fine{font-size:.8rem;color:var(--soft)}
.cautions li,.rule li{margin:.25rem 0;max-width:90ch}
.sev-error{font-weight:bold}
@media screen{.card{content-visibility:auto;contain-intrinsic-size:auto 46rem}#trees,#findings{content-visibility:auto;contain-intrinsic-size:auto 60rem}}
@media (max-width:600px){body{padding:.7rem;font-size:14px}.about,.opts{grid-template-columns:1fr}dd{margin-bottom:.3rem}h1{font-size:1.35rem}.sheet>svg{width:100%}}
@media print{
.plan>button{display:none}
.why-col{min-width:0}
@page{margin:10mm}
@page lies{size:landscape;margin:10mm}
body{max-width:none;padding:0;font-size:9pt;line-height:1.35}
.about,.cards{margin-right:.4mm}
.own-page{break-before:page}
#appendix{break-before:page}
.signoff td,.signoff th{padding:2mm}
p,.cautions li,.rule li{max-width:none}
h2{break-after:avoid;margin-top:6mm}
.plan{break-before:page;break-inside:avoid}
.plan.lies{page:lies}
.plan h2,.plan .fine{display:none}
.plan .sheet{overflow:visible}
.plan .sheet>svg{width:auto;max-width:100%;max-height:276mm}
.plan.lies .sheet>svg{max-height:189mm}
.wide{overflow:visible}
.across{page:lies;break-before:page}
.across table{width:100%;font-size:6.2pt}
.across th,.across td{padding:.1rem .14rem}
.across td{overflow-wrap:anywhere}
.across .n{white-space:normal}
.across h2{margin-top:0}
.wide table{font-size:7pt}
.wide th,.wide td{padding:.1rem .2rem}
.sched{font-size:6.6pt}
.sched td:nth-child(2){max-width:26mm}
thead{display:table-header-group}
.sched button{display:contents}
.sched button::after{content:none!important}
tr{break-inside:avoid}
.cards{display:block}
.card+.card{margin-top:4mm}
.card{padding:2mm 2.5mm}
.card>.v{margin:.6mm 0 1mm}
.card>figure{float:left;width:66mm;margin:.4mm 0 1mm}
.card>table,.card>.fine{width:calc(100% - 70mm);margin-left:70mm!important}
.card>.why{clear:left}
.facts{clear:left;font-size:7pt;line-height:1.2}
.facts p{margin:.3mm 0}
.fine{font-size:7pt}
.card table{font-size:7.2pt;line-height:1.18;margin:.4mm 0}
.card th,.card td{padding:.15mm 1.5mm}
.card .why,.card .cons{font-size:7.5pt;line-height:1.25;margin:.5mm 0}
a{color:inherit;text-decoration:none}
*{-webkit-print-color-adjust:exact;print-color-adjust:exact}
}
@media print and (min-width:270mm) and (min-height:270mm){.cards{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,170mm),1fr));gap:4mm}.card+.card{margin-top:0}.plan .sheet>svg,.plan.lies .sheet>svg{max-height:277.4mm}}
@media print and (min-width:270mm) and (min-height:400mm){.plan .sheet>svg,.plan.lies .sheet>svg{max-height:400.4mm}}
@media print and (min-width:270mm) and (min-height:425mm){.plan .sheet>svg,.plan.lies .sheet>svg{max-height:412mm}}
@media print and (min-width:400mm) and (min-height:560mm){.plan .sheet>svg,.plan.lies .sheet>svg{max-height:none}}
`;

/** Of sun and shade: bands part by width and by luminance, so that they hold on grey paper. */
const SHADE_CSS = `
.shade svg{width:100%;max-width:720px;height:auto;border:1px solid var(--line)}
.shade text{font:11px Arial,Helvetica,"Liberation Sans",sans-serif;fill:#1b1b1f}
.shade .name{font-size:9px;text-anchor:middle}
.shade .crown{fill:#dfe8d4;fill-opacity:.7;stroke:#5c7350;stroke-width:1}
.shade .gone{fill:none;stroke-dasharray:4 3}
.shade .north{fill:none;stroke:#1b1b1f;stroke-width:1.5}
.band0,.band1,.band2,.band3{fill:none;stroke-linecap:butt}
.band0{stroke:#d9b13c;stroke-width:2.5}
.band1{stroke:#c07a2c;stroke-width:4}
.band2{stroke:#7a4a63;stroke-width:6}
.band3{stroke:#2a2350;stroke-width:8}
.bars{display:block}
.bars .sun{fill:#f0d488}
.bars .off{fill:#2a2350}
.bars .floor{fill:none;stroke:#55555c;stroke-width:.5}
`;

/** The whole page. `body` is HTML already. */
export function pageHtml(title: string, body: string): string {
  return [
    '<!DOCTYPE html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${POLICY}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="referrer" content="no-referrer">',
    `<title>${esc(title)}</title>`,
    `<style>${CSS}${SHADE_CSS}${PROTECTION_CSS}${DRAWING_CSS}
${FENCE_DETAIL_CSS}</style>`,
    '</head>',
    '<body>',
    body,
    `<script>${SCRIPT}</script>`,
    '</body>',
    '</html>\n',
  ].join('\n');
}
