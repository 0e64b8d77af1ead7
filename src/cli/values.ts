// Values of options -> typed values. In: text after an option; out: shares, metres, kinds, columns; or wrong usage.
// Terms: usage = InputError with `usage`, exit 2; every message says what would be right.

import { existsSync } from 'node:fs';
import { InputError } from '../findings.js';
import type { WorksFile } from '../node/assess-files.js';
import type { FileReadOptions } from '../node/files.js';
import { shareOf } from '../rules.js';
import { type LayerRole, WORKS_KINDS, type WorksKind } from '../types.js';
import { lengthInMetres } from '../units.js';

export function usage(code: string, message: string, cure: string): InputError {
  return new InputError(code, message, { cure, usage: true });
}

/** `20%` or `0.2`; a bare 20 is refused: it could mean either. */
export function limitOf(text: string): number {
  const share = shareOf(text);
  if (share === undefined) throw usage('limit-invalid', `--limit ${text} is no share of the zone`, 'write 20% or 0.2');
  return share;
}

function kindOf(text: string): WorksKind | undefined {
  return WORKS_KINDS.find((kind) => kind === text.toLowerCase());
}

/** `F` or `kind=F`. A file whose own name holds an equals sign is taken as it is when it is there. */
export function worksOf(text: string): WorksFile {
  const at = text.indexOf('=');
  if (at < 0 || existsSync(text)) return { path: text };
  const kind = kindOf(text.slice(0, at));
  if (kind === undefined) {
    throw usage(
      'kind-unknown',
      `--works ${text}: "${text.slice(0, at)}" is no kind of works`,
      `choose from ${WORKS_KINDS.join(', ')}`,
    );
  }
  return { path: named(text.slice(at + 1), `--works ${text}`), kind };
}

/** `A=F` or `A=kind=F`: works of design option A. */
export function optionOf(text: string): WorksFile {
  const at = text.indexOf('=');
  if (at < 1)
    throw usage('option-invalid', `--option ${text} names no design option`, 'write --option A=works.geojson');
  return { ...worksOf(named(text.slice(at + 1), `--option ${text}`)), option: text.slice(0, at) };
}

/** `kind=0.6m`, repeated. */
export function overdigOf(texts: readonly string[]): Partial<Record<WorksKind, number>> {
  const out: Partial<Record<WorksKind, number>> = {};
  for (const text of texts) {
    const at = text.indexOf('=');
    const kind = kindOf(text.slice(0, Math.max(at, 0)));
    const metres = lengthInMetres(text.slice(at + 1));
    if (kind === undefined || metres === undefined || metres < 0) {
      throw usage(
        'overdig-invalid',
        `--overdig ${text} is no kind with a length`,
        'write --overdig building=0.6m, with m, cm, ft or in',
      );
    }
    out[kind] = metres;
  }
  return out;
}

/** `dbh=DIAM`, repeated. Whether the names exist is for the check of the layer to say. */
export function fieldsOf(texts: readonly string[]): Record<string, string> {
  const out: Record<string, string> = {};
  for (const text of texts) {
    const at = text.indexOf('=');
    if (at < 1 || at === text.length - 1) {
      throw usage(
        'field-invalid',
        `--field ${text} maps nothing`,
        'write --field dbh=DIAM, or --field works.depth=D for works',
      );
    }
    out[text.slice(0, at)] = text.slice(at + 1);
  }
  return out;
}

/** `E,N`: two names, or two positions counted from 1. */
export function xyOf(text: string): readonly [string | number, string | number] {
  const parts = text.split(',').map((part) => part.trim());
  const [e, n] = parts.map((part) => (/^\d+$/.test(part) ? Number(part) : part));
  if (parts.length !== 2 || e === '' || n === '' || e === undefined || n === undefined || e === 0 || n === 0) {
    throw usage(
      'xy-invalid',
      `--xy ${text} names no two columns`,
      'write --xy EASTING,NORTHING or positions counted from 1: --xy 3,2',
    );
  }
  return [e, n];
}

/** `NAME` (of the trees) or `works=NAME`, `lots=NAME`: which layer of a zip. */
export function layersOf(texts: readonly string[]): Partial<Record<LayerRole, string>> {
  const out: Partial<Record<LayerRole, string>> = {};
  for (const text of texts) {
    const match = /^(trees|works|lots)=(.+)$/.exec(text);
    out[(match?.[1] as LayerRole | undefined) ?? 'trees'] = match?.[2] ?? text;
  }
  return out;
}

/** Options of reading that several commands share. */
export interface ReadFlags {
  readonly xy?: string;
  readonly header?: boolean; // false by --no-header
}

export function readOptionsOf(flags: ReadFlags, layer: string | undefined): FileReadOptions {
  return {
    ...(flags.xy === undefined ? {} : { xy: xyOf(flags.xy) }),
    ...(flags.header === false ? { noHeader: true } : {}),
    ...(layer === undefined ? {} : { layer }),
  };
}

function named(path: string, where: string): string {
  if (path === '') throw usage('file-missing', `${where} names no file`, 'write the file after the equals sign');
  return path;
}
