// Trees that are to be felled or moved are counted apart from those to be kept, wherever trees over their limit are counted.
import { describe, expect, it } from 'vitest';
import { toReport } from '../../src/core.js';
import { summaryTable, toLotTable } from '../../src/write/index.js';
import { box, localJob, tree } from '../support/local-job.js';

const over = (id: string, y: number, disposition: string) => tree(-1, y, { id, dbh_in: 20, disposition });
const found = localJob(
  [over('gone', 5, 'remove'), over('moved', 15, 'transplant'), over('kept', 25, 'keep'), over('late', 35, 'keep')],
  [box(0, -50, 50, 100, { id: 'slab', kind: 'paving' })],
  { lots: [box(-50, -50, 50, 100, { id: 'A' })] },
);
const goes = localJob([over('gone', 5, 'remove')], [box(0, -50, 50, 100, { id: 'slab', kind: 'paving' })]);

describe('trees over their limit', () => {
  it('are counted apart on a terminal, those to be kept first', () => {
    const text = summaryTable(found);
    expect(text).toContain('Over their limit: 2 to be kept, 2 to be removed or moved, worst first');
    const order = ['kept', 'late', 'gone', 'moved'].map((key) => text.indexOf(`\n  ${key} `));
    expect(order.every((at) => at > 0)).toBe(true);
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(text).toMatch(/gone .* remove .*over-limit/);
    expect(summaryTable(goes)).toContain('Over their limit: 0 to be kept, 1 to be removed or moved');
  });

  it('are counted apart in a report, and have no card: no change of the design saves them', () => {
    const html = toReport(found);
    const line = (title: string): string => new RegExp(`<th scope="row">${title}</th>(.*?)</tr>`).exec(html)?.[1] ?? '';
    const over = (title: string): number => Number([...line(title).matchAll(/<td class="n">(\d+)/g)][2]?.[1]);
    expect([over('To be kept'), over('To be removed or moved')]).toEqual([2, 2]);
    expect(html).toContain('2 trees to be kept are over their limits');
    for (const row of [0, 1]) expect(html).not.toContain(`<article class="card" id="t${row}">`);
    for (const row of [2, 3]) expect(html).toContain(`<article class="card" id="t${row}">`);
  });

  it('are counted apart on a lot', () => {
    expect(found.lots[0]?.figures).toMatchObject({ overLimit: 2, stemInWorks: 0, goingOver: 2 });
    const [head, row] = toLotTable(found).split('\r\n');
    expect(head).toContain(',Removed or moved: over the limit,');
    expect(row).toContain(',2,0,2,0,');
  });
});
