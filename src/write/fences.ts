// Fences as features, once for every sink. In: an assessment; out: records in order (protected ground, fences, gates: bottom to
// top), their geometry in lon/lat, their columns. Terms: see Fence, FenceGate, GroundProtection; kind = `rb_fence_kind`.

import type { Assessment, Fence, FenceGate, GroundProtection, LonLatPolygons, LonLatRing } from '../model/index.js';
import type { Column } from './column.js';
import { shownFences } from './fence-shown.js';
import { figure, SCALES } from './numbers.js';
import type { Plan } from './options.js';

/** One feature of the role `fence`: figures that a kind does not have are null. */
export interface FenceRecord {
  readonly kind: 'fence' | 'gate' | 'ground-protection';
  readonly number: number; // from 1, within its kind
  readonly fences: readonly number[]; // numbers of fences, from 1
  readonly trees: readonly number[] | null;
  readonly zoneTrees: readonly number[] | null;
  readonly outsideLotsM: number | null;
  readonly works: readonly number[] | null;
  readonly lengthM: number | null;
  readonly alongWorksM: number | null;
  readonly areaM2: number | null;
  readonly posts: number | null;
  readonly gates: number | null;
  /** Lines of a fence or gate, or the polygons of ground. */
  readonly lines: readonly LonLatRing[] | null;
  readonly polygons: LonLatPolygons | null;
}

const NOTHING = {
  fences: [],
  trees: null,
  zoneTrees: null,
  outsideLotsM: null,
  works: null,
  lengthM: null,
  alongWorksM: null,
  areaM2: null,
  posts: null,
  gates: null,
  lines: null,
  polygons: null,
} as const;

const ofGround = ({ works, areaM2, shape }: GroundProtection, i: number): FenceRecord => ({
  ...NOTHING,
  kind: 'ground-protection',
  number: i + 1,
  works,
  areaM2,
  polygons: shape,
});

const ofFence = (fence: Fence, i: number): FenceRecord => ({
  ...NOTHING,
  ...fence,
  kind: 'fence',
  number: i + 1,
  fences: [i + 1],
  lines: fence.shape.flat(),
});

const ofGate = ({ fences, works, lengthM, line }: FenceGate, i: number): FenceRecord => ({
  ...NOTHING,
  kind: 'gate',
  number: i + 1,
  fences: fences.map((n) => n + 1),
  works,
  lengthM,
  lines: [line],
});

/** Every feature of the role, in order. */
export function fenceRecords(assessment: Assessment): FenceRecord[] {
  const { fences } = assessment;
  const shown = shownFences(assessment); // numbers stay those of the whole plan
  return [
    ...fences.groundProtection.map(ofGround).filter((_, i) => shown.ground(i)),
    ...fences.fences.map(ofFence).filter((_, i) => shown.fence(i)),
    ...fences.gates.map(ofGate).filter((_, i) => shown.gate(i)),
  ];
}

/** The id a feature has, as `rb_id`: `fence:3`, `gate:1`, `ground-protection:2`. */
export function fenceId({ kind, number }: FenceRecord): string {
  return `${kind}:${number}`;
}

/** Columns of the role. */
export function fenceColumns(assessment: Assessment, plan: Plan): Column<FenceRecord>[] {
  const { length, area } = SCALES[plan.units];
  const { trees, works } = assessment.job;
  const scaled = (value: number | null, factor: number): number | null =>
    figure(value === null ? null : value * factor);
  const names = (rows: readonly number[] | null, of: { at(row: number): string | undefined }): string | null =>
    rows === null ? null : rows.map((row) => of.at(row) ?? '').join(';');
  const { workingSpaceM, postSpacingM } = assessment.fences;
  return [
    { name: 'role', type: 'text', value: () => 'fence' },
    { name: 'id', type: 'text', value: fenceId },
    { name: 'fence_kind', type: 'text', value: (f) => f.kind },
    { name: 'fences', type: 'text', value: (f) => f.fences.map((n) => `fence:${n}`).join(';') },
    { name: 'trees', type: 'text', value: (f) => names(f.trees, trees.key) },
    { name: 'tree_count', type: 'real', value: (f) => f.trees?.length ?? null },
    { name: 'zone_trees', type: 'text', value: (f) => names(f.zoneTrees, trees.key) },
    { name: 'works', type: 'text', value: (f) => names(f.works, works.key) },
    { name: `length_${length.suffix}`, type: 'real', value: (f) => scaled(f.lengthM, length.factor) },
    { name: `along_works_${length.suffix}`, type: 'real', value: (f) => scaled(f.alongWorksM, length.factor) },
    { name: `outside_lots_${length.suffix}`, type: 'real', value: (f) => scaled(f.outsideLotsM, length.factor) },
    { name: `area_${area.suffix}`, type: 'real', value: (f) => scaled(f.areaM2, area.factor) },
    { name: 'posts', type: 'real', value: (f) => f.posts },
    { name: 'gates', type: 'real', value: (f) => f.gates },
    { name: `post_spacing_${length.suffix}`, type: 'real', value: () => scaled(postSpacingM, length.factor) },
    { name: `working_space_${length.suffix}`, type: 'real', value: () => scaled(workingSpaceM, length.factor) },
  ];
}
