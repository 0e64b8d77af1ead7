// The sheet for the site: how the kept trees of this job are protected. In: an assessment, notes (data), the packet; out: HTML,
// '' where no fence is laid out. Terms: see model/protection.ts; log = the inspection log, whose dates and signatures are blank.
// It stands alone, on pages of its own in print, so that it can be handed to whoever builds. Linear in fences and notes.

import { type Assessment, type Contact, lengthInMetres, type Packet, type Protection } from '../../model/index.js';
import { builtinProtection } from '../../packet/index.js';
import { counted } from '../../text/index.js';
import { cautionsOf, type Units } from '../../write/index.js';
import { hasFences } from '../drawing/layers.js';
import { type Figures, figuresIn } from '../figures.js';
import { type ReportOptions, unitsOf } from '../options.js';
import { asWritten, drawFenceDetail } from '../sheets/fence-detail.js';
import { cut, esc } from '../text.js';
import { fencesHtml, manyHtml, type Spacings, worksNames } from './fence-table.js';
import { commonHtml, commonSource, listHtml, sourcedTable, sourceHtml, tableHtml } from './sourced.js';

const GROUNDS_AT_MOST = 100;
const TRENCHED_AT_MOST = 60;

/** Who is asked for where the packet names nobody. */
const ROLES = ['Project arborist', 'City or county inspector', 'Contractor on site', 'Owner'];

/** Cautions of the report that whoever builds must have before them. */
const SAID_HERE: readonly string[] = ['informs', 'invented', 'felling', 'overhead', 'law'];

/** What the parts of the sheet are made of. */
interface Sheet {
  readonly assessment: Assessment;
  readonly notes: Protection;
  readonly units: Units;
  readonly figures: Figures;
  readonly spacings: Spacings;
  /** The spacing of posts in words, and whether the job itself asks for it. */
  readonly spacingWords: string;
  readonly isAsked: boolean;
  readonly packet: Packet;
}

/**
 * The protection sheet: the fence drawn to scale, the fences of the job, ground, roots, sequence, log, contacts, cautions.
 * `protectionHtml(assessment, { units: 'us' }) // '<p class="pf-for">...'`; '' where there is no fence
 */
export function protectionHtml(assessment: Assessment, options: ReportOptions): string {
  if (!hasFences(assessment) || assessment.fences.fences.length === 0) return '';
  const sheet = sheetOf(assessment, options);
  return [
    forHtml(sheet.packet),
    '<p>For those who build. The local code decides; where it asks for more, or the project arborist does, that holds.</p>',
    detailHtml(sheet),
    part('Fences of this job', fencesHtml(assessment, sheet.figures, sheet.spacings)),
    part('Not inside the fence', listHtml(sheet.notes.forbidden)),
    groundHtml(sheet),
    rootsHtml(sheet),
    sequenceHtml(sheet),
    logHtml(sheet),
    contactsHtml(sheet.packet.contacts ?? []),
    cautionsPart(assessment, options),
  ].join('\n');
}

function sheetOf(assessment: Assessment, options: ReportOptions): Sheet {
  const notes = options.protection ?? builtinProtection();
  const units = unitsOf(options);
  const figures = figuresIn(units);
  const written = notes.fence.postSpacing.value;
  const asked = assessment.options.fences?.postSpacingM;
  const isAsked = asked !== undefined && Math.abs(asked - metres(written)) > 1e-6;
  return {
    assessment,
    notes,
    units,
    figures,
    spacings: { postM: isAsked ? asked : metres(written), signM: metres(notes.fence.signSpacing.value) },
    spacingWords: isAsked ? figures.length(asked) : asWritten(written, units, figures),
    isAsked,
    packet: options.packet ?? {},
  };
}

const metres = (value: string): number => lengthInMetres(value) ?? 0;

function part(title: string, body: string): string {
  return body === '' ? '' : `<div class="pf-part"><h3>${title}</h3>\n${body}</div>`;
}

/** Which site it is for, as far as the packet says. */
function forHtml({ project, address, permit, preparer, date }: Packet): string {
  const said = [
    project,
    address,
    permit === undefined ? undefined : `permit ${permit}`,
    preparer?.name ?? preparer?.firm,
    date,
  ].filter((one) => one !== undefined);
  return said.length === 0
    ? ''
    : `<p class="pf-for">${said.map((one) => `<bdi>${esc(cut(one, 120))}</bdi>`).join(' · ')}</p>`;
}

/** The drawing and, beside it, each detail with its source. */
function detailHtml(sheet: Sheet): string {
  const { notes, units, figures, spacings, spacingWords, isAsked, packet } = sheet;
  const { fence } = notes;
  const written = (value: string): string => esc(asWritten(value, units, figures));
  const signLines = [...fence.signWords.lines, callLine(packet.contacts ?? [])];
  const { svg } = drawFenceDetail(fence, {
    units,
    figures,
    spacingM: spacings.postM,
    spacingWords,
    signLines,
  });
  const rows: readonly (readonly [name: string, value: string, source: string | undefined])[] = [
    ['Height', written(fence.height.value), fence.height.source],
    ['Fence', esc(fence.material.value), fence.material.source],
    ['Posts', esc(fence.posts.value), fence.posts.source],
    [
      'Post spacing, at most',
      esc(spacingWords),
      isAsked ? `asked for in this job; else ${fence.postSpacing.value}` : fence.postSpacing.source,
    ],
    [
      'Posts below ground',
      metres(fence.postDepth.value) > 0 ? written(fence.postDepth.value) : 'None: it stands on feet',
      fence.postDepth.source,
    ],
    ['Sign spacing, at most', written(fence.signSpacing.value), fence.signSpacing.source],
    ['Sign', `${written(fence.signSize.width)} by ${written(fence.signSize.height)}`, fence.signSize.source],
    ['Its words', signLines.map(esc).join('<br>'), fence.signWords.source],
    [
      'Gate',
      `${esc(fence.gate.text.replace(/[.\s]+$/, ''))}. Drawn ${written(fence.gate.width)} wide`,
      fence.gate.source,
    ],
  ];
  const table = tableHtml(
    'Fence details',
    ['Detail', 'Here', 'Source'],
    rows.map(
      ([name, value, source]) =>
        `<tr><th scope="row">${name}</th><td>${value}</td><td class="fine">${sourceHtml(source)}</td></tr>`,
    ),
  );
  return `<div class="pf-both"><figure class="pf-detail" tabindex="0" role="region" aria-label="Fence drawing">${svg}</figure><div>${table}${listHtml(fence.notes)}</div></div>`;
}

/** The last line of the sign: whom to call, a line to fill in where nobody with a number is named. */
function callLine(contacts: readonly Contact[]): string {
  const first = contacts.find(({ phone }) => phone !== undefined);
  return first === undefined ? 'Call: ______________________' : cut(`${first.role}: ${first.phone}`, 60);
}

/** Ground outside the fences: where it is in this job, and what lies on it. */
function groundHtml({ assessment, figures, notes }: Sheet): string {
  const { groundProtection } = assessment.fences;
  const allM2 = groundProtection.reduce((sum, { areaM2 }) => sum + areaM2, 0);
  const items = groundProtection.slice(0, GROUNDS_AT_MOST).map(({ works, areaM2 }, i) => {
    const names = worksNames(assessment, works);
    return `Area ${i + 1}: ${figures.area(areaM2)}${names === '' ? '' : `, beside ${names}`}`;
  });
  const count = groundProtection.length;
  const areas =
    count === 0
      ? '<p>No ground of a zone lies outside the fences.</p>'
      : `<p>Ground to be protected outside the fences: ${counted(count, 'area')}, ${figures.area(allM2)} in all.</p>${manyHtml(items, count, 'area')}`;
  const buildUps =
    notes.ground.length === 0
      ? ''
      : sourcedTable('What lies on it', ['Where', 'What lies on it'], notes.ground, ({ when, what }) => [when, what]);
  return part('Ground outside the fence', areas + buildUps);
}

function rootsHtml(sheet: Sheet): string {
  const { cutting, boreDepth, boreDistances, boring } = sheet.notes.roots;
  const written = (value: string): string => asWritten(value, sheet.units, sheet.figures);
  const rows =
    boreDistances.length === 0
      ? ''
      : sourcedTable('Bore distances', ['Trunk diameter', 'From the trunk’s face'], boreDistances, (row, i) => [
          row.upTo === undefined
            ? boreDistances.length === 1
              ? 'all'
              : `above ${written(boreDistances[i - 1]!.upTo!)}`
            : `to ${written(row.upTo)}`,
          written(row.distance),
        ]);
  const bore = [
    `<p>Within a zone a pipe is bored below the roots: at least ${esc(written(boreDepth.value))} deep <span class="fine">${sourceHtml(boreDepth.source)}</span>${rows === '' ? '.' : '; nearer to the trunk than this there is no open trench:'}</p>`,
    rows,
    trenchedHtml(sheet),
    listHtml(boring),
  ].join('');
  return part('Root cutting', listHtml(cutting)) + part('Bores', bore);
}

/** Fenced trees into whose zone a trench comes, with the distance that holds for their size. */
function trenchedHtml({ assessment, notes, units, figures }: Sheet): string {
  const { boreDistances } = notes.roots;
  if (boreDistances.length === 0) return '';
  const fenced = new Set(assessment.fences.fences.flatMap(({ trees, zoneTrees }) => [...trees, ...zoneTrees]));
  const trenched = [...fenced]
    .sort((a, b) => a - b)
    .map((row) => assessment.tree(row))
    .filter(({ overlapByKindM2 }) => (overlapByKindM2?.trench ?? 0) > 0);
  if (trenched.length === 0) return '';
  const said = trenched.slice(0, TRENCHED_AT_MOST).map(({ key, dbhM }) => {
    const row = boreDistances.find(({ upTo }) => upTo === undefined || (dbhM ?? Infinity) <= metres(upTo) + 1e-9);
    const distance = row === undefined ? 'no distance given for its size' : asWritten(row.distance, units, figures);
    return `<bdi>${esc(cut(key, 24))}</bdi> ${esc(distance)}`;
  });
  const rest = trenched.length - said.length;
  return `<p>Trenches of this job come into the zones of ${counted(trenched.length, 'kept tree')}; nearer to the trunk’s face than this the pipe is bored: ${said.join('; ')}${rest > 0 ? `; ${rest} more by the table` : ''}.</p>`;
}

function sequenceHtml({ notes }: Sheet): string {
  if (notes.sequence.length === 0) return '';
  const heads = ['Step', 'What has to be done', 'Who'];
  return part(
    'Sequence',
    sourcedTable('Sequence', heads, notes.sequence, ({ step, what, who }, i) => [`${i + 1}. ${step}`, what, who]),
  );
}

/** Dates, findings and signatures are left to fill in by hand. */
function logHtml({ notes }: Sheet): string {
  if (notes.inspections.length === 0) return '';
  const common = commonSource(notes.inspections);
  const blank = '<td class="pf-blank"></td>'.repeat(3);
  const rows = notes.inspections.map(({ what, when, who, lines = 1, source }) => {
    const span = lines > 1 ? ` rowspan="${lines}"` : '';
    const own = common === undefined ? ` <span class="fine">${sourceHtml(source)}</span>` : '';
    const said = `<th scope="row"${span}>${esc(what)}${own}</th><td${span}>${esc(when)}</td><td${span}>${esc(who)}</td>`;
    return `<tr>${said}${blank}</tr>${`<tr>${blank}</tr>`.repeat(lines - 1)}`;
  });
  const heads = ['What is inspected', 'When', 'By', 'Date', 'Found', 'Signature'];
  return part(
    'Inspection log',
    `<div class="pf-log">${tableHtml('Inspection log', heads, rows)}</div>${commonHtml(common)}`,
  );
}

function contactsHtml(given: readonly Contact[]): string {
  const contacts: readonly Contact[] = given.length > 0 ? given : ROLES.map((role) => ({ role }));
  const cell = (value: string | undefined): string =>
    value === undefined ? '<td class="pf-blank"></td>' : `<td><bdi>${esc(cut(value, 120))}</bdi></td>`;
  const rows = contacts.map(
    ({ role, name, phone, email }) =>
      `<tr><th scope="row"><bdi>${esc(cut(role, 80))}</bdi></th>${cell(name)}${cell(phone)}${cell(email)}</tr>`,
  );
  return part(
    'Contacts',
    `<div class="pf-log">${tableHtml('Contacts', ['Role', 'Name', 'Phone', 'E-mail'], rows)}</div>`,
  );
}

/** Cautions of this part, and those that whoever builds reads nowhere else. */
function cautionsPart(assessment: Assessment, { stamp }: ReportOptions): string {
  const said = cautionsOf(assessment, { stamp, fenced: true }).flatMap(({ code, part: of, text }) => {
    if (of === 'protection') return [`<li id="caution-${code}">${esc(text)}</li>`];
    return SAID_HERE.includes(code) ? [`<li>${esc(text)}</li>`] : [];
  });
  return part('Cautions', `<ul class="pf-list">${said.join('\n')}</ul>`);
}
