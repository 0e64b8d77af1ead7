// Two outputs of `assess` -> what is not the same in them. In: layers as read, or collections; out: a Comparison.
// Terms: see model/comparison.ts. Linear in the features, and in the polygons of the works that changed.

import type { FeatureCollection } from 'geojson';
import {
  type ComparedCounts,
  type Comparison,
  type Finding,
  finding,
  type GroundChange,
  type Submission,
  type SubmittedWorks,
  type TreeChange,
} from '../model/index.js';
import { readLayer, topMember } from '../read/index.js';
import { groundChange } from './ground.js';
import type { Matched } from './match.js';
import { compareSettings, ruleWords } from './settings.js';
import { type AssessedLayers, dictionary, type Opened, openSubmission, systemOf } from './submission.js';
import { type ComparedTrees, compareTrees, diameterOf, holds, shapesOf } from './trees.js';
import { Why } from './why.js';
import { type ComparedWorks, compareWorks } from './works.js';

/** What `compareAssessed` may be told. */
export interface CompareOptions {
  /** What our properties begin with in a file that does not say it itself; default `rb_`. */
  readonly prefix?: string | undefined;
}

/**
 * What changed between two outputs of an assessment: trees added, gone, moved and measured again; verdicts, and why; works,
 * with the ground they take and free; rule, limits and options. Nothing is told that rounding of the files explains.
 *
 * @param before what `toGeoJSON` gave, or `readAssessed` of a file; likewise `after`
 * @throws InputError `compare-not-assessed`, `compare-filtered` (written with `only`), `compare-crs`
 * @example
 * const { trees, works, settings } = compareAssessed(toGeoJSON(first), toGeoJSON(second));
 * trees.filter(({ verdict }) => verdict !== null).map(({ label, verdict }) => [label, verdict.why]);
 */
export function compareAssessed(
  before: FeatureCollection | AssessedLayers,
  after: FeatureCollection | AssessedLayers,
  options: CompareOptions = {},
): Comparison {
  const earlier = openSubmission(layersOf(before, 'before'), options.prefix);
  const later = openSubmission(layersOf(after, 'after'), options.prefix);
  const crs = systemOf(earlier, later);
  const { settings, findings } = compareSettings(earlier, later);
  const works = compareWorks(earlier, later, 'works');
  const existing = compareWorks(earlier, later, 'existing');
  const trees = compareTrees(earlier, later);
  const zones = [shapesOf(earlier, earlier.zones), shapesOf(later, later.zones)] as const;
  const allWorks = [...works.changes, ...existing.changes];
  const changes = treeChanges(trees, new Why(settings, allWorks, zones, earlier.frame));
  return {
    before: submissionOf(earlier, trees.before, works.before, existing.before, zones[0]),
    after: submissionOf(later, trees.after, works.after, existing.after, zones[1]),
    settings,
    works: allWorks,
    trees: changes,
    ground: totalGround(earlier, works),
    counts: {
      trees: countsOf(trees.before.length, trees.after.length, trees.matched, changes.filter(isChanged).length),
      works: worksCounts(works),
      existing: worksCounts(existing),
    },
    findings: [
      ...findings,
      ...works.findings,
      ...existing.findings,
      ...trees.findings,
      ...withoutVerdict(earlier),
      ...withoutVerdict(later),
      ...unexplained(later, changes),
    ],
    frameAt: earlier.frame,
    system: crs === null ? null : { crs, toOutput: (lonLat) => earlier.local!.fromLonLat(lonLat) },
  };
}

/** One annotated GeoJSON, by its bytes. */
export function assessedLayers(bytes: Uint8Array, name: string): AssessedLayers {
  return { name, layers: [readLayer(bytes, { name })], provenance: topMember(bytes, 'rootberth') };
}

function layersOf(input: FeatureCollection | AssessedLayers, name: string): AssessedLayers {
  return 'layers' in input ? input : assessedLayers(new TextEncoder().encode(JSON.stringify(input)), name);
}

const isChanged = ({ change }: { readonly change: string }): boolean => change === 'changed';

/** Pairs that are not the same, and what is gone, in the order of the earlier file; then what was added. */
function treeChanges(trees: ComparedTrees, why: Why): TreeChange[] {
  const { matched, before, after } = trees;
  const out: TreeChange[] = [];
  for (const pair of trees.pairs) {
    const verdict = trees.has.verdict ? why.of(pair) : null;
    if (verdict === null && pair.move === null && pair.fields.length === 0) continue;
    out.push({ change: 'changed', label: pair.after.label, ...pair, verdict });
  }
  const alone = { move: null, fields: [], verdict: null };
  const earlier = (change: 'gone' | 'unclear') => (row: number) =>
    ({ change, label: before[row]!.label, before: before[row]!, after: null, ...alone }) as const;
  const later = (change: 'added' | 'unclear') => (row: number) =>
    ({ change, label: after[row]!.label, before: null, after: after[row]!, ...alone }) as const;
  out.push(...matched.gone.map(earlier('gone')), ...matched.unclearBefore.map(earlier('unclear')));
  out.sort((a, b) => a.before!.row - b.before!.row);
  return [...out, ...matched.added.map(later('added')), ...matched.unclearAfter.map(later('unclear'))];
}

function countsOf(before: number, after: number, matched: Matched, changed: number): ComparedCounts {
  return {
    before,
    after,
    matched: matched.pairs.length,
    changed,
    added: matched.added.length,
    gone: matched.gone.length,
    unclearBefore: matched.unclearBefore.length,
    unclearAfter: matched.unclearAfter.length,
  };
}

function worksCounts({ before, after, matched, changes }: ComparedWorks): ComparedCounts {
  return countsOf(before.length, after.length, matched, changes.filter(isChanged).length);
}

/** The union of all works that count. */
function totalGround({ frame }: Opened, { before, after }: ComparedWorks): GroundChange {
  const counted = (list: readonly SubmittedWorks[]) => list.filter((one) => one.counted).map(({ shape }) => shape);
  return groundChange(counted(before), counted(after), frame);
}

function submissionOf(
  file: Opened,
  trees: Submission['trees'],
  works: Submission['works'],
  existing: Submission['existing'],
  zones: Submission['zones'],
): Submission {
  const rule = dictionary(file.provenance?.rule);
  const stamp = dictionary(file.provenance?.written)?.stamp;
  return {
    name: file.name,
    rule: rule === null ? null : ruleWords(rule),
    units: file.units,
    stamp: typeof stamp === 'string' ? stamp : null,
    trees,
    works,
    existing,
    lots: file.lots.map((row) => file.shape(row)),
    zones,
    overlaps: shapesOf(file, file.overlaps),
    severed: shapesOf(file, file.severed),
  };
}

/** A file that was written without some figures can't be compared in them. */
function withoutVerdict(file: Opened): Finding[] {
  const compared = ['verdict', diameterOf(file), 'disposition'];
  const missing = file.trees.length === 0 ? [] : compared.filter((name) => !holds(file, name));
  return missing.map((name) =>
    finding(
      'compare-figure',
      { layer: file.name, path: `properties.${file.prefix}${name}` },
      `the trees have no ${file.prefix}${name}: what it says was not compared`,
      'write the output without --figures',
    ),
  );
}

function unexplained(file: Opened, changes: readonly TreeChange[]): Finding[] {
  return changes
    .filter(({ verdict }) => verdict?.why.some(({ code }) => code === 'not-found') === true)
    .map(({ label, after }) =>
      finding(
        'compare-unexplained',
        { layer: file.name, feature: after!.row, id: label },
        `tree ${label}: its verdict changed, and nothing in the two files says why`,
        'look at the findings of both assessments',
      ),
    );
}
