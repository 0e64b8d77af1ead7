// Assessment -> XLSX: a sheet with the tree schedule, one with the findings, one about the job.
// In: a path and what to write; out: a file, row by row. Terms: see write/schedule.ts; text cells are text: nothing in them
// is run as a formula.

import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import type { stream } from 'exceljs';
import type { Assessment, Finding } from '../../model/index.js';
import { FINDING_CODES, treeViews } from '../../model/index.js';
import { peer } from '../../read/index.js';
import {
  CAUTIONS,
  positionsWords,
  scheduleColumns,
  shownWords,
  type Sheet as Table,
  type Units,
} from '../../write/index.js';
import type { OutputFormat, Writing } from './format.js';
import { undateZip } from './undated.js';
import { writeWhole } from './write-file.js';

/** What a sheet of the format holds (ECMA-376). */
const MOST_ROWS = 1_048_575;
const MOST_TEXT = 32_767;

export const xlsx: OutputFormat = {
  extensions: ['xlsx'],
  title: 'XLSX workbook: tree schedule, findings, about',
  sidecar: false,
  roles: ['tree'],
  write: async (path, writing) => {
    await writeBook(path, writing.assessment.version, [
      scheduleSheet(writing),
      findingsSheet(writing.assessment),
      aboutSheet(writing.assessment, writing.plan.units, positionsWords(writing.assessment, writing.plan.output)),
    ]);
    return [];
  },
};

/** Tables for submission as a workbook: a sheet each, and one about the job. */
export async function writeTables(
  path: string,
  assessment: Assessment,
  sheets: readonly Table[],
  units: Units,
): Promise<void> {
  const pages = sheets.map(
    ({ name, columns, rows }): Page => ({
      name,
      filter: true,
      columns: columns.map(({ title, decimals }) => ({ title, width: widthOf(title), format: formatOf(decimals) })),
      rows: rows(),
    }),
  );
  await writeBook(path, assessment.version, [...pages, aboutSheet(assessment, units, null)]);
}

async function writeBook(path: string, version: string, pages: readonly Page[]): Promise<void> {
  const { default: Excel } = await peer('exceljs', 'XLSX', path, () => import('exceljs'));
  await writeWhole(path, async (temporary) => {
    const stream = createWriteStream(temporary);
    const failed = new Promise<never>((_, reject) => stream.on('error', reject));
    try {
      const book = new Excel.stream.xlsx.WorkbookWriter({ stream, useStyles: true });
      book.creator = `rootberth ${version}`;
      Object.assign(book, { created: undefined, modified: undefined }); // else the library states when it was made
      await Promise.race([fill(book, pages), failed]);
      if (!stream.closed) await once(stream, 'close');
      await undateZip(temporary);
    } catch (error) {
      // The temporary file may be removed only after the stream is closed; otherwise it would come back.
      stream.destroy();
      if (!stream.closed) await once(stream, 'close').catch(() => undefined);
      throw error;
    }
  });
}

async function fill(book: stream.xlsx.WorkbookWriter, pages: readonly Page[]): Promise<void> {
  for (const sheet of pages) {
    const rows = book.addWorksheet(sheet.name, { views: [{ state: 'frozen', xSplit: 0, ySplit: 1 }] });
    rows.columns = sheet.columns.map(({ title, width, format }) => ({
      header: title,
      width,
      style: format === null ? { alignment: { vertical: 'top' } } : { numFmt: format },
    }));
    rows.getRow(1).font = { bold: true };
    if (sheet.filter) rows.autoFilter = { from: { row: 1, column: 1 }, to: { row: 1, column: sheet.columns.length } };
    let count = 0;
    for (const row of sheet.rows) {
      if (count++ >= MOST_ROWS) break; // said on the sheet "About"
      rows.addRow(row.map((cell) => (typeof cell === 'string' ? cell.slice(0, MOST_TEXT) : cell))).commit();
    }
    rows.commit();
  }
  await book.commit();
}

const widthOf = (title: string): number => Math.max(10, Math.min(title.length + 2, 30));

function formatOf(decimals: number | null): string | null {
  return decimals === null ? null : decimals === 0 ? '0' : `0.${'0'.repeat(decimals)}`;
}

type Cell = string | number | null;

/** A sheet of the workbook. */
interface Page {
  readonly name: string;
  readonly filter: boolean;
  readonly columns: readonly { readonly title: string; readonly width: number; readonly format: string | null }[];
  readonly rows: Iterable<readonly Cell[]>;
}

function scheduleSheet({ assessment, plan }: Writing): Page {
  const columns = scheduleColumns(assessment, plan.units);
  function* rows(): Generator<readonly Cell[]> {
    for (const tree of treeViews(assessment)) yield columns.map((c) => c.value(tree));
  }
  return {
    name: 'Schedule',
    filter: true,
    columns: columns.map((c) => ({
      title: c.title,
      width: widthOf(c.title),
      format: formatOf(c.type === 'number' ? c.decimals : null),
    })),
    rows: rows(),
  };
}

function findingsSheet({ findings }: Assessment): Page {
  const keys = ['severity', 'code', 'layer', 'feature', 'id', 'path', 'message', 'cure'] as const;
  const widths: Readonly<Partial<Record<(typeof keys)[number], number>>> = { message: 70, cure: 50, code: 22 };
  const titles = [...keys, 'meaning'] as const;
  return {
    name: 'Findings',
    filter: true,
    columns: titles.map((title) => ({
      title: title === 'feature' ? 'feature (from 0)' : title,
      width: title === 'meaning' ? 40 : (widths[title] ?? 14),
      format: null,
    })),
    rows: findings.map((f: Finding) => [...keys.map((key) => f[key]), FINDING_CODES[f.code][1]]),
  };
}

/** `positions`: how coordinates are written; null where none are. */
function aboutSheet(assessment: Assessment, units: Units, positions: string | null): Page {
  const { rule, inputs, counts, version } = assessment;
  const cut =
    assessment.counts.trees.in > MOST_ROWS ? ['rows', `only the first ${MOST_ROWS} trees fit on a sheet`] : null;
  const rows: readonly Cell[][] = [
    ['made by', `rootberth ${version}`],
    ...(cut === null ? [] : [cut]),
    ['rule', `${rule.title} (${rule.id})`],
    ['source of the rule', rule.source],
    ...rule.notes.map((note) => ['note on the rule', note]),
    ['units', units],
    ...(positions === null ? [] : [['coordinates', positions]]),
    ...inputs.flatMap((input) => [
      [`input: ${input.role}`, `${input.name} (${input.format}), ${input.features} features`],
      ['  coordinate system', `${input.crs}: ${input.crsFrom}`],
      [
        '  datum',
        `${input.datumOperation}, accuracy ${input.datumAccuracyM === null ? 'not known' : `${input.datumAccuracyM} m`}`,
      ],
      ['  SHA-256', input.sha256 ?? 'not computed'],
    ]),
    ...(assessment.shown === undefined ? [] : [['shown', shownWords(assessment)]]),
    ['trees', `${counts.trees.in} read, ${counts.trees.assessed} assessed, ${counts.trees.notAssessed} not assessed`],
    [
      'works',
      `${counts.works.in} read, ${counts.works.counted} counted, ${counts.works.notCounted} not counted, ${counts.works.rejected} rejected`,
    ],
    ...(['zones', 'crowns'] as const).flatMap((role): Cell[][] => {
      const drawn = counts[role];
      return drawn === undefined
        ? []
        : [[`drawn ${role}`, `${drawn.in} read, ${drawn.joined} joined to a tree, ${drawn.rejected} rejected`]];
    }),
    ...Object.entries(counts.verdicts).map(([verdict, n]): Cell[] => [`verdict ${verdict}`, n]),
    ...CAUTIONS.map((caution) => ['caution', caution]),
  ];
  const columns = [
    { title: 'about', width: 24, format: null },
    { title: 'value', width: 100, format: null },
  ];
  return { name: 'About', filter: false, columns, rows };
}
