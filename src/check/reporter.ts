// Findings of one layer: in: what is wrong with which row; out: findings with layer, row and key filled in, and a
// list of the rows that are rejected and why.
// Terms: told = the reader already has a finding for this row, so no second one is added.

import type { Layer, Names } from '../model/index.js';
import { type Finding, type FindingCode, finding } from '../model/index.js';

/** A word that a field does not take, as a person would be asked about it. */
export interface UnknownWord {
  /** How `--value` calls the field: `disposition`, `works.kind`. */
  readonly option: string;
  readonly word: string; // as the file writes it
  readonly source: string; // its column
  readonly count: number; // features that hold it
  readonly values: readonly string[]; // what it can mean
}

export class Reporter {
  readonly words: UnknownWord[] = [];
  readonly rejected: Map<number, string[]> = new Map();
  readonly notes: Map<number, string[]> = new Map();
  readonly findings: Finding[];
  readonly layer: Layer;
  /** Table row of the layer's first feature. */
  readonly base: number;
  keys: Names = [];
  readonly #setAside: ReadonlyMap<number, string>;
  readonly #told: ReadonlyMap<number, ReadonlySet<FindingCode>>;

  constructor(layer: Layer, findings: Finding[], base = 0, into?: Map<number, string[]>) {
    this.layer = layer;
    this.findings = findings;
    this.base = base;
    if (into !== undefined) this.rejected = into;
    const told = new Map<number, Set<FindingCode>>();
    for (const f of layer.findings) {
      if (f.feature === null) continue;
      const codes = told.get(f.feature);
      if (codes === undefined) told.set(f.feature, new Set([f.code]));
      else codes.add(f.code);
    }
    this.#told = told;
    this.#setAside = layer.setAside ?? new Map();
    for (const [row, reason] of this.#setAside) this.reject(reason, row);
  }

  /** Whether the reader kept the row but set it aside. */
  isSetAside(row: number): boolean {
    return this.#setAside.has(row);
  }

  /** Adds a finding about one row. */
  say(code: FindingCode, row: number, path: string | null, message: string, cure: string): void {
    const key = this.keys.at(this.base + row);
    const place = { layer: this.layer.name, feature: row, id: key === '' ? undefined : key };
    this.findings.push(finding(code, path === null ? place : { ...place, path }, message, cure));
  }

  /** Rejects a row; it stays in the table with its reason. */
  reject(reason: string, row: number): void {
    add(this.rejected, this.base + row, reason);
  }

  /** Adds the finding, unless the reader has one, and rejects the row. A row set aside already has its reason. */
  refuse(code: FindingCode, reason: string, row: number, path: string | null, message: string, cure: string): void {
    if (this.#setAside.has(row)) return;
    if (this.#told.get(row)?.has(code) !== true) this.say(code, row, path, message, cure);
    this.reject(reason, row);
  }

  note(reason: string, row: number): void {
    add(this.notes, this.base + row, reason);
  }

  /** Adds a finding about the whole layer. */
  sayOnce(code: FindingCode, path: string | null, message: string, cure: string): void {
    const place = { layer: this.layer.name };
    this.findings.push(finding(code, path === null ? place : { ...place, path }, message, cure));
  }
}

function add(to: Map<number, string[]>, row: number, reason: string): void {
  const list = to.get(row);
  if (list === undefined) to.set(row, [reason]);
  else if (!list.includes(reason)) list.push(reason);
}
