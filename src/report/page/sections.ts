// The written sections of a report. In: an assessment, figures, options; out: HTML per section, '' where there is nothing
// to say. Terms: provenance = which inputs, by name and hash, in which coordinate systems; accuracy = of the survey, which
// no number of decimals improves on.

import type { Assessment, Finding, Severity } from '../../model/index.js';
import { hasWorks } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { type CautionPart, cautionsOf, shownWords } from '../../write/index.js';
import { hasFences } from '../drawing/layers.js';
import type { Figures } from '../figures.js';
import type { ReportOptions } from '../options.js';
import { cut, esc } from '../text.js';
import { ruleWords } from './rule-words.js';
import { packetRows } from './signoff.js';

export function section(id: string, title: string, body: string, css = ''): string {
  return body === ''
    ? ''
    : `<section id="${id}"${css === '' ? '' : ` class="${css}"`}>\n<h2>${esc(title)}</h2>\n${body}\n</section>`;
}

/** A section of the appendix: its heading stands below that of the appendix. */
export function appended(id: string, title: string, body: string): string {
  return body === '' ? '' : `<section id="${id}">\n<h3>${esc(title)}</h3>\n${body}\n</section>`;
}

/** Title, and what stands on everything. */
export function headHtml(options: ReportOptions, title: string): string {
  return [
    '<header class="head">',
    options.stamp === undefined ? '' : `<p class="stamp">${esc(options.stamp)}</p>`,
    `<h1>${esc(title)}</h1>`,
    '</header>',
  ].join('\n');
}

/** What is handed in for where and by whom, and what the figures rest on. */
export function aboutHtml(assessment: Assessment, options: ReportOptions, figures: Figures): string {
  const { counts, rule, inputs } = assessment;
  const trees = inputs.find(({ role }) => role === 'trees');
  const rows: readonly (readonly [string, string])[] = [
    ...packetRows(options.packet),
    ['Rule', `${esc(rule.title)}${limitHtml(assessment)}`],
    ...besideRows(assessment),
    ...(assessment.shown === undefined
      ? []
      : ([['Shown', `<b>${esc(shownWords(assessment).replace('Shown: ', ''))}</b>`]] as const)),
    [
      'Survey',
      trees === undefined ? '' : `${counted(counts.trees.in, 'tree')}, ${esc(accuracyWords(assessment, figures))}`,
    ],
  ];
  return `<dl class="about">${rows.map(([name, value]) => `<dt>${name}</dt><dd>${value}</dd>`).join('')}</dl>`;
}

/** Trees and works, counted; without works there is nothing that was assessed. */
function countRows({ counts: { trees, works }, job }: Assessment): (readonly [string, string])[] {
  if (!hasWorks(job.works)) {
    return [
      ['Trees', `${trees.in} read, ${trees.assessed} with a zone, ${trees.notAssessed} without`],
      ['Works', 'none given: zones only, no tree was judged'],
    ];
  }
  return [
    ['Trees', `${trees.in} read, ${trees.assessed} assessed, ${trees.notAssessed} not assessed`],
    [
      'Works',
      `${works.in} read, ${works.counted} counted, ${works.notCounted} not counted, ${works.rejected} rejected`,
    ],
  ];
}

/** What stands beside the plain figures: designs and further rules; nothing where there is one of each. */
function besideRows({ option, otherOptions, otherRules }: Assessment): (readonly [string, string])[] {
  const name = (of: string | undefined): string => `<bdi>${esc(cut(of ?? 'without a name', 40))}</bdi>`;
  const rows: (readonly [string, string])[] = [];
  if (otherRules.length > 0) rows.push(['Beside it', otherRules.map(({ rule }) => esc(rule.title)).join('; ')]);
  if (otherOptions.length > 0) {
    const others = otherOptions.map((one) => name(one.option)).join(', ');
    rows.push(['Design', `option ${name(option)}; beside it ${others}`]);
  }
  return rows;
}

function limitHtml({ options }: Assessment): string {
  return options.limit === undefined ? '' : `, limit replaced by ${Number((options.limit * 100).toFixed(4))} %`;
}

/** Digits are not accuracy: what the survey and the datums say of themselves. */
function accuracyWords(assessment: Assessment, figures: Figures): string {
  const stated = [...(assessment.job.trees.accuracyM ?? [])].filter(Number.isFinite).sort((a, b) => a - b);
  const survey =
    stated.length === 0
      ? 'the survey states none for its trees'
      : `trees surveyed to ± ${figures.length(stated[Math.floor(stated.length / 2)]!)} (median), ± ${figures.length(stated[stated.length - 1]!)} at worst; ${stated.length} of ${assessment.job.trees.count} state it`;
  const datums = assessment.inputs.map(({ datumAccuracyM }) => datumAccuracyM);
  const unknown = datums.some((one) => one === null);
  const worst = Math.max(0, ...datums.map((one) => one ?? 0));
  const datum = unknown
    ? '; the accuracy of a datum shift is not known'
    : worst > 0
      ? `; datum shifts to ± ${figures.length(worst)}`
      : '';
  return `${survey}${datum}. Decimals are for checking, not a claim`;
}

export function ruleHtml({ rule }: Assessment): string {
  const list = (items: readonly string[]): string =>
    `<ul>${items.map((item) => `<li>${esc(item)}</li>`).join('')}</ul>`;
  const notes = rule.notes.length === 0 ? '' : `<h4>What to know before you use it</h4>${list(rule.notes)}`;
  return `<div class="rule"><p><b>${esc(rule.title)}</b> <code>${esc(rule.id)}</code></p>${list(ruleWords(rule))}${notes}<p>Source: ${esc(rule.source)}</p><p>These rules and limits are not the law of any place.</p></div>`;
}

/** Cautions of some parts; '' where none applies. */
export function cautionsHtml(assessment: Assessment, options: ReportOptions, parts: ReadonlySet<CautionPart>): string {
  const about = { stamp: options.stamp, fenced: hasFences(assessment) };
  const items = cautionsOf(assessment, about)
    .filter(({ part }) => parts.has(part))
    .map(({ code, text }) => `<li id="caution-${code}">${esc(text)}</li>`);
  return items.length === 0 ? '' : `<ul class="cautions">${items.join('\n')}</ul>`;
}

/** What was read, counted, and by what. */
export function countsRows(assessment: Assessment): string {
  const { counts, version, rule, otherRules } = assessment;
  const rows: readonly (readonly [string, string])[] = [
    ...countRows(assessment),
    ...(counts.lots.in === 0 ? [] : [['Lots', `${counts.lots.in} read, ${counts.lots.accepted} accepted`] as const]),
    ['Rules', [rule, ...otherRules.map((other) => other.rule)].map(({ id }) => `<code>${esc(id)}</code>`).join(', ')],
    ['Made with', `rootberth ${esc(version)}`],
  ];
  return `<dl class="opts">${rows.map(([name, value]) => `<dt>${name}</dt><dd>${value}</dd>`).join('')}</dl>`;
}

const SEVERITY: Readonly<Record<Severity, number>> = { error: 0, warning: 1, info: 2 };
const EACH_AT_MOST = 20; // findings of one code
const FINDINGS_AT_MOST = 600;

/** Errors first; of one code the first twenty, the rest counted. */
export function findingsHtml(assessment: Pick<Assessment, 'findings'>, more: readonly Finding[]): string {
  const all = [...assessment.findings, ...more];
  if (all.length === 0) return '<p>None.</p>';
  const seen = new Map<string, number>();
  const shown: Finding[] = [];
  for (const one of all) {
    const count = (seen.get(one.code) ?? 0) + 1;
    seen.set(one.code, count);
    if (count <= EACH_AT_MOST) shown.push(one);
  }
  shown.sort((a, b) => SEVERITY[a.severity] - SEVERITY[b.severity]);
  const rows = shown.slice(0, FINDINGS_AT_MOST).map(({ severity, code, layer, feature, id, message, cure }) => {
    const place = [layer, feature === null ? null : `feature ${feature}`, id].filter((one) => one !== null).join(', ');
    return `<tr><td class="sev-${severity}">${severity}</td><td><code>${esc(code)}</code></td><td><bdi>${esc(cut(place, 80))}</bdi></td><td><bdi>${esc(cut(message, 400))}</bdi></td><td>${esc(cut(cure, 300))}</td></tr>`;
  });
  const hidden = all.length - rows.length;
  const rest =
    hidden === 0 ? '' : `<p>${counted(hidden, 'more finding')} of the same codes: the findings file has them all.</p>`;
  const totals = [...seen].map(([code, count]) => `${code} ${count}`).join(', ');
  return `<p class="fine">${esc(totals)}</p><div class="wide" tabindex="0" role="region" aria-label="Findings"><table><thead><tr><th scope="col">Severity</th><th scope="col">Code</th><th scope="col">Where</th><th scope="col">What</th><th scope="col">Cure</th></tr></thead><tbody>${rows.join('\n')}</tbody></table></div>${rest}`;
}

/** Inputs with their hashes, coordinate systems and datum operations; the options of the run. */
export function provenanceHtml(assessment: Assessment): string {
  const rows = assessment.inputs.map(
    ({ role, name, format, features, crs, crsFrom, datumOperation, datumAccuracyM, sha256 }) =>
      `<tr><td>${esc(role)}</td><td><bdi>${esc(cut(name, 80))}</bdi></td><td>${esc(format)}</td><td class="n">${features}</td><td>${esc(crs)}<br><span class="fine">${esc(crsFrom)}</span></td><td>${esc(datumOperation)}${datumAccuracyM === null ? ', accuracy not known' : `, ${datumAccuracyM} m`}</td><td><code>${esc(sha256 ?? 'not computed')}</code></td></tr>`,
  );
  const given = Object.entries(assessment.options).filter(([, value]) => value !== undefined);
  const options = given.map(
    ([name, value]) =>
      `<dt>${esc(name)}</dt><dd><code>${esc(cut(JSON.stringify(value, plainValue) ?? '', 300))}</code></dd>`,
  );
  return [
    '<div class="wide" tabindex="0" role="region" aria-label="Inputs"><table><thead><tr><th scope="col">Layer</th><th scope="col">File</th><th scope="col">Format</th><th scope="col" class="n">Features</th><th scope="col">Coordinate system</th><th scope="col">Datum to WGS 84</th><th scope="col">SHA-256</th></tr></thead>',
    `<tbody>${rows.join('\n')}</tbody></table></div>`,
    options.length === 0
      ? '<p>No options were given.</p>'
      : `<h4>Options</h4><dl class="opts">${options.join('')}</dl>`,
  ].join('\n');
}

/** Grids hold functions: their name and hash say which they were. */
function plainValue(_key: string, value: unknown): unknown {
  if (typeof value === 'number') return Number(value.toPrecision(12)); // feet in metres: without the last bits
  return typeof value === 'function' || ArrayBuffer.isView(value) ? undefined : value;
}
