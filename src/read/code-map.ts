// The code map applied to one layer. In: descriptions of points; out: species and diameters among their properties, the
// points set aside, findings. Terms: as in description.ts.

import type { LayerBuilder } from '../model/index.js';
import { finding } from '../model/index.js';
import { DescriptionReader } from './description.js';

export class CodeMap {
  /** Points whose code does not mean a tree. */
  readonly rows: Map<number, string> = new Map();
  readonly #reader: DescriptionReader;
  readonly #codes = new Map<string, { count: number; readonly first: number; readonly path: string }>();
  readonly #into: LayerBuilder;

  constructor(into: LayerBuilder, codes: Readonly<Record<string, string>> | undefined, decimalComma: boolean) {
    this.#into = into;
    this.#reader = new DescriptionReader(codes, decimalComma);
  }

  /** Reads the description of the feature that is about to end; `what` names it in messages. */
  describe(text: string, properties: Record<string, unknown>, path: string, what: string): void {
    const said = this.#reader.read(text);
    if (said.code !== '') properties.code = said.code;
    if (said.species !== null) properties.species = said.species;
    if (!said.tree) this.#setAside(said.code, path);
    Object.assign(properties, said.properties);
    if (said.unread === null) return;
    const place = { layer: this.#into.name, feature: this.#into.count, path };
    const message = `${what}: no diameter was taken from ${JSON.stringify(text.trim())}: ${said.unread}`;
    this.#into.findings.push(
      finding('number-unreadable', place, message, 'write one diameter or one list, such as 24" or 12,9,7 IN'),
    );
  }

  #setAside(code: string, path: string): void {
    const row = this.#into.count;
    this.rows.set(row, 'code-unmapped');
    const known = this.#codes.get(code.toUpperCase());
    if (known === undefined) this.#codes.set(code.toUpperCase(), { count: 1, first: row, path });
    else known.count++;
  }

  /** One finding a code. */
  report(): void {
    for (const [code, { count, first, path }] of this.#codes) {
      const place = { layer: this.#into.name, feature: first, path };
      const what = code === '' ? 'without a code' : `with the code "${code}"`;
      const message = `${count === 1 ? '1 point' : `${count} points`} ${what} ${this.#reader.hasMap ? 'match no tree in the code map' : 'contain no word for a tree'} and were set aside`;
      const cure = `add the code if it is a tree: --code ${code === '' ? 'OAK' : code}=SPECIES`;
      this.#into.findings.push(finding('code-unmapped', place, message, cure));
    }
  }
}
