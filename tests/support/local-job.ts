// A job on a plane in metres from a few plain facts: trees with properties, polygons and lines of works, lots.
import { type AssessJob, assess } from '../../src/assess/index.js';
import type { Assessment, AssessOptions, Grades, Layer } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import type { Rule } from '../../src/model/rule.js';
import { builtinRule } from '../../src/rules/index.js';

export type XY = readonly [number, number];
export interface LocalFeature {
  readonly point?: XY;
  readonly line?: readonly XY[];
  readonly rings?: readonly (readonly XY[])[];
  readonly properties: Readonly<Record<string, unknown>>;
}

export function localLayer(name: string, features: readonly LocalFeature[]): Layer {
  const b = new LayerBuilder(name, 'csv');
  for (const { point, line, rings, properties } of features) {
    b.begin(point !== undefined ? 'point' : line !== undefined ? 'line' : 'polygon');
    b.part();
    for (const ring of rings ?? [line ?? [point!]]) {
      b.ring();
      for (const [x, y] of ring) b.vertex(x, y);
      if (rings !== undefined) b.vertex(...ring[0]!);
    }
    b.end(properties);
  }
  return b.finish({ crs: null, sha256: null });
}

/** A tree: place, zone radius in metres (or a diameter), further properties. */
export function tree(x: number, y: number, properties: Readonly<Record<string, unknown>>): LocalFeature {
  return { point: [x, y], properties };
}

/** A rectangle of works (or a lot). */
export function box(
  west: number,
  south: number,
  east: number,
  north: number,
  properties: Readonly<Record<string, unknown>>,
): LocalFeature {
  return {
    rings: [
      [
        [west, south],
        [east, south],
        [east, north],
        [west, north],
      ],
    ],
    properties,
  };
}

export function localJob(
  trees: readonly LocalFeature[],
  works: readonly LocalFeature[],
  more: {
    readonly lots?: readonly LocalFeature[];
    readonly existing?: readonly LocalFeature[];
    readonly zones?: readonly LocalFeature[];
    readonly rule?: Rule | readonly Rule[];
    readonly options?: AssessOptions;
    readonly signal?: AbortSignal;
    readonly grades?: Grades;
  } = {},
): Assessment {
  const job: AssessJob = {
    trees: localLayer('trees.csv', trees),
    works: [{ layer: localLayer('works.csv', works) }],
    ...(more.lots === undefined ? {} : { lots: localLayer('lots.csv', more.lots) }),
    ...(more.existing === undefined ? {} : { existing: [localLayer('existing.csv', more.existing)] }),
    ...(more.zones === undefined ? {} : { zones: localLayer('zones.csv', more.zones) }),
    ...(more.signal === undefined ? {} : { signal: more.signal }),
    ...(more.grades === undefined ? {} : { grades: more.grades }),
    rule: more.rule ?? builtinRule('foot-per-inch'),
    options: { crs: 'local:m', ...more.options },
  };
  return assess(job);
}
