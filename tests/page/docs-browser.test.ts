// The examples of docs/browser.md and docs/report.md that other tests leave out: the worker and the drawing, executed.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, expect, test, vi } from 'vitest';
import { box, localJob, tree } from '../support/local-job.js';

const ROOT = resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(join(ROOT, 'tests', 'tmp-browser-'));
afterAll(() => rmSync(folder, { recursive: true }));

function example(page: string, language: string, holds: string): string {
  const blocks = [
    ...readFileSync(join(ROOT, 'docs', page), 'utf8').matchAll(
      new RegExp(`\`\`\`${language}\n([\\s\\S]*?)\`\`\``, 'g'),
    ),
  ];
  const found = blocks.map(([, text]) => text!).find((text) => text.includes(holds));
  if (found === undefined) throw new Error(`${page} has no such example`);
  return found.replaceAll("'rootberth'", "'../../src/index.js'");
}

test('the worker: bytes in, text out; a problem as words', async () => {
  const [worker = ''] = example('browser.md', 'ts', '// worker.ts').split('// page.ts');
  writeFileSync(join(folder, 'worker.ts'), worker);
  interface Worker {
    postMessage(message: { parts?: Uint8Array[]; problem?: string; done?: number }): void;
    onmessage?(event: { data: unknown }): Promise<void>;
  }
  const said: Parameters<Worker['postMessage']>[0][] = [];
  const self: Worker = { postMessage: (message) => void said.push(message) };
  vi.stubGlobal('self', self);
  await import(join(folder, 'worker.ts'));
  const bytes = (geometry: object, properties: object): Uint8Array =>
    new TextEncoder().encode(JSON.stringify({ type: 'Feature', geometry, properties }));
  const ring = [
    [-122.69995, 45.4999],
    [-122.6998, 45.4999],
    [-122.6998, 45.5001],
    [-122.69995, 45.5001],
    [-122.69995, 45.4999],
  ];
  const works = { name: 'works.geojson', bytes: bytes({ type: 'Polygon', coordinates: [ring] }, { kind: 'building' }) };
  const trees = {
    name: 'trees.geojson',
    bytes: bytes({ type: 'Point', coordinates: [-122.7, 45.5] }, { id: 'oak', dbh_in: 24 }),
  };
  await self.onmessage?.({ data: { trees, works } });
  expect(said.at(-1)?.problem).toBeUndefined();
  const text = (said.at(-1)?.parts ?? [])
    .map((part) => (typeof part === 'string' ? part : new TextDecoder().decode(part)))
    .join('');
  const { features } = JSON.parse(text) as { features: { properties: Record<string, unknown> }[] };
  expect(features.find(({ properties }) => properties.rb_role === 'tree')?.properties.rb_overlap_pct).toBeCloseTo(
    17.7,
    1,
  );
  await self.onmessage?.({ data: { trees: { ...trees, bytes: new Uint8Array() }, works } });
  expect(said.at(-1)?.problem).toContain('trees.geojson is empty');
  vi.unstubAllGlobals();
});

test('the drawing and the report of an assessment', async () => {
  const code = example('report.md', 'js', 'toPlan').replace(/^const (\w+) = /gm, 'export const $1 = ');
  writeFileSync(join(folder, 'report.ts'), code);
  vi.stubGlobal(
    'assessment',
    localJob([tree(0, 0, { id: 'oak', dbh_m: 0.6 })], [box(2, -5, 9, 5, { kind: 'building' })]),
  );
  const { svg, html } = await import(join(folder, 'report.ts'));
  expect(svg.startsWith('<svg')).toBe(true);
  expect(html).toContain('<h1>Lot 9</h1>');
  vi.unstubAllGlobals();
});
