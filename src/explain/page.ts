// Lines of an explanation. In: labels and figures in metres; out: text in columns, in the units asked for.
// Terms: step = a label on the left and a figure on the right; sections are numbered.

import type { Assessment, TreeReckoning, TreeResult } from '../model/index.js';
import { printable } from '../text/index.js';
import { cell, SCALES, type Units } from '../write/index.js';

const LABEL = 68;
const FIGURE = 16;

export class Page {
  readonly lines: string[] = [];
  readonly units: Units;
  #sections = 0;

  constructor(units: Units) {
    this.units = units;
  }

  plain(text: string): void {
    this.lines.push(printable(text).trimEnd());
  }

  section(title: string): void {
    this.lines.push('', `${++this.#sections}. ${title}`);
  }

  note(text: string): void {
    this.plain(`   ${text}`);
  }

  /** A label with one or two figures in columns; a label that is too long has a line of its own. */
  step(label: string, figure: string, second: string = ''): void {
    const text = printable(`   ${label}`);
    const figures = `${figure.padStart(FIGURE)}${second === '' ? '' : second.padStart(FIGURE)}`;
    if (text.length < LABEL) this.lines.push(`${text.padEnd(LABEL)}${figures}`);
    else this.lines.push(text, `${''.padEnd(LABEL)}${figures}`);
  }

  length(metres: number): string {
    const { factor, title } = SCALES[this.units].length;
    return `${cell(metres * factor, 3)} ${title}`;
  }

  area(squareMetres: number): string {
    const { factor, title } = SCALES[this.units].area;
    return `${cell(squareMetres * factor, 3)} ${title}`;
  }

  /** A trunk, in what trunks are measured in. */
  diameter(metres: number): string {
    const { factor, title } = SCALES[this.units].diameterCell;
    return `${cell(metres * factor, 2)} ${title}`;
  }

  percent(value: number): string {
    return `${cell(value, 3)} %`;
  }
}

/** 0.2 -> '20 %'. */
export function shareText(share: number): string {
  return `${Number((share * 100).toFixed(4))} %`;
}

/** What every section is written from; under another rule or design, that one's own rule, zones and result. */
export interface Explained {
  readonly assessment: Pick<Assessment, 'rule' | 'options' | 'option' | 'job'>;
  readonly tree: TreeResult;
  readonly reckoning: TreeReckoning;
}
