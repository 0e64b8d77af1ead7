// The byte-level GeoJSON reader against JSON.parse: same numbers, same properties, same features whatever the chunks,
// the white space and the order of keys; refuses what JSON.parse refuses.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Layer } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { GeoJsonStream } from '../../src/read/geojson.js';
import { GeoJsonBytes, NotPlain } from '../../src/read/geojson-bytes.js';
import { JsonCursor } from '../../src/read/json-cursor.js';
import { runs } from '../support/runs.js';

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

function streamed(text: string, chunk: number): Layer {
  const bytes = bytesOf(text);
  const stream = new GeoJsonStream({ name: 'a.geojson' });
  for (let i = 0; i < bytes.length; i += chunk) stream.push(bytes.slice(i, i + chunk));
  return stream.finish(() => bytes);
}

function plain(layer: Layer): unknown {
  return {
    count: layer.count,
    fields: layer.fields,
    kind: [...layer.geometry.kind],
    xy: [...layer.geometry.xy],
    z: layer.geometry.z && [...layer.geometry.z],
    parts: [...layer.geometry.partStart],
    rings: [...layer.geometry.ringStart],
    vertices: [...layer.geometry.vertexStart],
    features: Array.from({ length: layer.count }, (_, i) => [layer.id(i), layer.properties(i)]),
    values: Array.from({ length: layer.count }, (_, i) => layer.fields.map((f) => layer.value(i, f) ?? null)),
    findings: layer.findings,
  };
}

/** A JSON text of a value with white space and key order drawn at random. */
const spacedText = (value: unknown, space: () => string): string => {
  const s = space();
  if (Array.isArray(value)) return `[${s}${value.map((v) => spacedText(v, space)).join(`${s},${space()}`)}${space()}]`;
  if (typeof value === 'object' && value !== null)
    return `{${s}${Object.entries(value)
      .map(([k, v]) => `${JSON.stringify(k)}${space()}:${space()}${spacedText(v, space)}`)
      .join(`${s},${space()}`)}${space()}}`;
  return JSON.stringify(value);
};

const position = fc.tuple(
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.double({ min: -90, max: 90, noNaN: true }),
);
const geometry = fc.oneof(
  position.map((coordinates) => ({ type: 'Point', coordinates })),
  fc.array(position, { minLength: 2, maxLength: 5 }).map((coordinates) => ({ type: 'LineString', coordinates })),
  fc.array(fc.array(position, { minLength: 3, maxLength: 5 }), { minLength: 1, maxLength: 3 }).map((coordinates) => ({
    coordinates,
    type: 'Polygon',
  })),
  fc.constant(null),
  fc.constant({ type: 'Point', coordinates: ['1', 2] }),
);
const collection = fc.array(
  fc.record({
    type: fc.constant('Feature'),
    id: fc.oneof(fc.string(), fc.integer()),
    geometry,
    properties: fc.oneof(
      fc.dictionary(fc.string({ unit: 'grapheme' }), fc.jsonValue(), { maxKeys: 5 }),
      fc.constant(null),
    ),
  }),
  { maxLength: 6 },
);

describe('byte-level GeoJSON reader', () => {
  it('reads the same whatever the chunks and the white space', () => {
    fc.assert(
      fc.property(
        collection,
        fc.integer({ min: 1, max: 40 }),
        fc.infiniteStream(fc.constantFrom('', '', ' ', '\n  ')),
        (features, chunk, spaces) => {
          const root = { features, type: 'FeatureCollection' };
          const space = (): string => spaces.next().value as string;
          const layer = streamed(spacedText(root, space), chunk);
          expect(plain(layer)).toEqual(plain(streamed(JSON.stringify(root), 1 << 20)));
          expect(layer.count).toBe(features.length);
          features.forEach((f, i) => {
            // JSON.parse makes -0 of "-0" and so does the reader; toEqual would tell 0 from -0
            expect(JSON.stringify(layer.properties(i))).toBe(JSON.stringify(f.properties ?? {}));
            for (const [key, value] of Object.entries(f.properties ?? {}))
              expect(JSON.stringify(layer.value(i, key))).toBe(JSON.stringify(value));
          });
        },
      ),
      { numRuns: runs(100) },
    );
  });

  it('reads a sequence the same whatever the chunks, and names the line of what is broken', () => {
    const lines = [
      '{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"a":1}}',
      '',
      '{"type":"Feature","geometry":null,"properties":{"a":2}}',
      '{"type":"Feature","geometry":{"type":"Point","coordinates":["3",4]},"properties":{"b":"x"}}',
      '{"type":"Feature","geometry":{"type":"Point","coordinates":[5,6]},"properties":null}',
    ];
    const bytes = bytesOf(`${lines.join('\r\n')}\n`);
    const read = (chunk: number): Layer => {
      const stream = new GeoJsonStream({ name: 'a.ndjson' }, true);
      for (let i = 0; i < bytes.length; i += chunk) stream.push(bytes.slice(i, i + chunk));
      return stream.finish(() => bytes);
    };
    const whole = read(1 << 20);
    expect(whole.count).toBe(4);
    expect(whole.findings.map((f) => f.path)).toEqual(['line 3.geometry', 'line 4.geometry.coordinates[0]']);
    for (const chunk of [1, 3, 7, 50, 91]) expect(plain(read(chunk))).toEqual(plain(whole));
  });

  it('reads numbers to the last bit', () => {
    const cursor = new JsonCursor();
    const read = (text: string): number => {
      cursor.open(bytesOf(`${text} `), 0);
      return cursor.number();
    };
    fc.assert(
      fc.property(
        fc.double({ noNaN: true, noDefaultInfinity: true }),
        fc.integer({ min: 0, max: 20 }),
        (value, digits) => {
          for (const text of [
            JSON.stringify(value),
            value.toPrecision(Math.max(digits, 1)),
            (value % 1e6).toFixed(digits),
          ]) {
            const json = text.replace('e+', 'e');
            expect(Object.is(read(json), Number(json))).toBe(true);
          }
        },
      ),
      { numRuns: runs(700) },
    );
    for (const text of [
      '9007199254740993',
      '0.1234567890123456789',
      '123456789012345678',
      '-0',
      '1E400',
      '2.2250738585072014e-308',
    ])
      expect(Object.is(read(text), Number(text))).toBe(true);
  });

  it('refuses what JSON.parse refuses', () => {
    const good = bytesOf(
      '{"type":"FeatureCollection","name":"a\\u00e9","features":[{"type":"Feature","id":7,"geometry":{"type":"Point","coordinates":[1.5,-2e1]},"properties":{"a":[true,null,{"b":"c\\n"}]}}]}',
    );
    fc.assert(
      fc.property(fc.nat(good.length - 1), fc.nat(127), fc.constantFrom('set', 'drop', 'insert'), (at, byte, how) => {
        const bytes = [...good];
        if (how === 'set') bytes[at] = byte;
        else bytes.splice(at, how === 'drop' ? 1 : 0, ...(how === 'drop' ? [] : [byte]));
        let accepted = true;
        try {
          const reader = new GeoJsonBytes(new LayerBuilder('a', 'geojson'));
          reader.push(Uint8Array.from(bytes));
          reader.end();
        } catch (error) {
          expect(error).toBeInstanceOf(NotPlain);
          accepted = false;
        }
        if (accepted) expect(() => JSON.parse(new TextDecoder().decode(Uint8Array.from(bytes)))).not.toThrow();
      }),
      { numRuns: runs(1500) },
    );
  });

  it('keeps long whole numbers exact in the bytes handed on', () => {
    const text =
      '{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"parcel": 123456789012345678}}]}';
    const layer = streamed(text, 7);
    expect(new TextDecoder().decode(layer.propertyBytes(0)!)).toBe('{"parcel":123456789012345678}');
  });
});
