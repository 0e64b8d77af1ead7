// Protection files: what they give stands in place of the built-in notes, every problem is named with its place, every built-in
// detail and note says where it comes from.
import { describe, expect, test } from 'vitest';
import { builtinProtection, InputError, lengthInMetres, parseProtection, parseProtectionText } from '../../src/core.js';

const FT = 0.3048;

/** Every object of the data that holds a text of its own, with its path. */
function* leaves(value: unknown, path = ''): Generator<{ path: string; one: Record<string, unknown> }> {
  if (Array.isArray(value)) {
    for (const [i, one] of value.entries()) yield* leaves(one, `${path}[${i}]`);
  } else if (typeof value === 'object' && value !== null) {
    const one = value as Record<string, unknown>;
    if ('lines' in one || Object.values(one).some((x) => typeof x !== 'object')) yield { path, one };
    else for (const [key, part] of Object.entries(one)) yield* leaves(part, `${path}.${key}`);
  }
}

function problems(json: unknown): string {
  try {
    parseProtection(json, 'town.json');
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    const { code, layer, message, cure } = error as InputError;
    expect([code, layer]).toEqual(['protection-invalid', 'town.json']);
    expect(cure).toContain('docs/packet.md');
    return message;
  }
  return 'no problem';
}

describe('the built-in notes', () => {
  const builtin = builtinProtection();
  const all = [...leaves(builtin)];

  test('say where each of them comes from', () => {
    expect(all.length).toBeGreaterThan(45);
    const without = all.filter(({ one }) => typeof one.source !== 'string' || one.source.trim() === '');
    expect(without.map(({ path }) => path)).toEqual([]);
  });

  test('hold the sizes of the codes they name', () => {
    const { fence } = builtin;
    // Ashland, Oregon, 18.4.5.030 C: chain link of at least 6 ft, steel posts at most 10 ft apart
    expect(lengthInMetres(fence.height.value)).toBeCloseTo(6 * FT, 9);
    expect(fence.height.source).toContain('Ashland');
    expect(fence.material.value).toMatch(/chain link/i);
    // Ashland; Durham, North Carolina, UDO 8.3.2: posts at most 10 ft, signs at most 100 ft apart, silt fence does not count
    expect(lengthInMetres(fence.postSpacing.value)).toBeCloseTo(10 * FT, 9);
    expect(lengthInMetres(fence.signSpacing.value)).toBeCloseTo(100 * FT, 9);
    expect(fence.signSpacing.source).toContain('Durham');
    const elsewhere = fence.notes.map(({ text, source }) => `${text} ${source}`).join('\n');
    expect(elsewhere).toMatch(/4 ft high, posts 8 ft apart.*Winter Park/); // 58-292
    expect(elsewhere).toMatch(/4 ft high, posts 8 to 10 ft apart.*Wayne/);
    expect(elsewhere).toMatch(/local code decides/i);
  });

  test('what no page was read for is stamped', () => {
    const { roots, ground } = builtin;
    for (const { source } of roots.boreDistances) expect(source).toMatch(/^from memory/);
    for (const { source } of ground.slice(0, 3)) expect(source).toMatch(/^from memory/);
    // University of Missouri Extension G6885: tunnels 2 ft deep
    expect(lengthInMetres(roots.boreDepth.value)).toBeCloseTo(2 * FT, 9);
  });

  test('go through the check of files unchanged', () => {
    expect(parseProtection(JSON.parse(JSON.stringify(builtin)), 'builtin.json')).toEqual(builtin);
    expect(parseProtection({}, 'empty.json')).toEqual(builtin);
  });
});

describe('a file', () => {
  const builtin = builtinProtection();

  test('stands in place of what it gives, detail by detail and list by list', () => {
    const found = parseProtection(
      {
        $schema: 'x',
        fence: { height: '4 ft', signWords: ['KEEP OUT'], postSpacing: { value: '8 ft', source: 'Code 4' } },
        roots: { boring: [] },
        forbidden: ['Fires', { text: 'Parking', source: 'Code 5' }],
      },
      'town.json',
    );
    expect(found.fence).toEqual({
      ...builtin.fence,
      height: { value: '4 ft' },
      signWords: { lines: ['KEEP OUT'] },
      postSpacing: { value: '8 ft', source: 'Code 4' },
    });
    expect(found.roots).toEqual({ ...builtin.roots, boring: [] });
    expect(found.forbidden).toEqual([{ text: 'Fires' }, { text: 'Parking', source: 'Code 5' }]);
    expect(found.sequence).toEqual(builtin.sequence);
    expect(found).not.toHaveProperty('$schema');
  });

  test('its own source goes beside what states none, and beside nothing built in', () => {
    const found = parseProtection(
      {
        source: 'Town code 4-3',
        fence: { height: '4 ft', signWords: ['STOP'], signSize: { width: '1 ft', height: '1 ft', source: 'Sheet 2' } },
        inspections: [{ what: 'Fence', when: 'Weekly', who: 'Town', lines: 3 }],
        forbidden: ['Fires'],
      },
      'town.json',
    );
    expect(found.fence.height.source).toBe('Town code 4-3');
    expect(found.fence.signWords).toEqual({ lines: ['STOP'], source: 'Town code 4-3' });
    expect(found.fence.signSize.source).toBe('Sheet 2');
    expect(found.inspections).toEqual([
      { what: 'Fence', when: 'Weekly', who: 'Town', lines: 3, source: 'Town code 4-3' },
    ]);
    expect(found.forbidden).toEqual([{ text: 'Fires', source: 'Town code 4-3' }]);
    expect(found.fence.posts).toEqual(builtin.fence.posts);
    expect(JSON.stringify(found.roots)).not.toContain('Town code');
    expect(found).not.toHaveProperty('source');
  });

  test('every problem is named with its place and what is expected there', () => {
    const said = problems({
      fence: { height: '6', postSpacing: '100 ft', gate: { width: '12 ft' }, colour: 'orange' },
      forbidden: 'fires',
      sequence: [{ step: 'Fence', what: 'Set it' }],
      inspections: [{ what: 'a', when: 'b', who: 'c', lines: 0 }],
      ground: [{ when: ' ', what: 'mats' }],
      roots: {
        boreDistances: [
          { upTo: '9 in', distance: '5 ft' },
          { upTo: '4 in', distance: '2 ft' },
        ],
      },
      notes: [],
    });
    for (const line of [
      /fence\.height: expected a height from 0\.3 m to 10 m with its unit/,
      /fence\.postSpacing: expected a spacing from 0\.3 m to 30 m/,
      /fence\.gate\.text: expected/,
      /fence\.colour: expected no such key: write height, material/,
      /forbidden: expected a list of at most 100/,
      /sequence\[0\]\.who: expected/,
      /inspections\[0\]\.lines: expected a whole number of blank lines/,
      /ground\[0\]\.when: expected text/,
      /notes: expected no such key/,
    ])
      expect(said).toMatch(line);
    expect(problems({ roots: { boreDistances: [{ distance: '5 ft' }, { upTo: '4 in', distance: '2 ft' }] } })).toMatch(
      /boreDistances: expected rows from the smallest diameter up/,
    );
    expect(problems({ fence: { signWords: ['x'.repeat(61)] } })).toMatch(/signWords.*at most 60 letters/s);
    expect(problems({ fence: { signWords: [] } })).toMatch(/signWords.*1 to 10 lines/s);
    expect(problems([])).toContain('the file: expected');
  });

  test('that is not JSON is no protection file', () => {
    expect(() => parseProtectionText('{"fence": ', 'town.json')).toThrow(
      expect.objectContaining({ code: 'protection-invalid', message: expect.stringContaining('not JSON') }),
    );
    expect(parseProtectionText('\uFEFF{"fence":{"height":"5 ft"}}', 'x').fence.height.value).toBe('5 ft');
  });
});
