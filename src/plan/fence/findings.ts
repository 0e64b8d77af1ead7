// What is said of fences. In: trees left without one, temporary works in zones, layouts that do not add up; out: findings.
// Terms: way = a line of temporary works, which passes through gates; any other temporary works stay outside the fence.

import { commonShape, type Shape, shapeArea } from '../../geometry/index.js';
import type { Fence, TreeTable, WorksTable } from '../../model/index.js';
import { type Finding, finding } from '../../model/index.js';
import { NearShapes } from './near.js';

/** Less of temporary works in a zone than this is drawing, not ground, square metres. */
const SMALLEST_TEMPORARY_M2 = 0.05;
/** Less of a fence beyond the lots than this is drawing, metres. */
const LEAST_BEYOND_M = 0.1;
const LISTED = 20; // trees named one by one; the rest are counted
const NAMED = 5; // trees named in one finding

/** A tree of a group, metres from the group's place. */
export interface StandingTree {
  readonly row: number;
  readonly at: readonly [number, number];
  readonly radiusM: number;
}

export class FenceFindings {
  readonly #trees: TreeTable;
  readonly #works: WorksTable;
  readonly #left: { readonly row: number; readonly why: string }[] = [];
  readonly #temporary = new Map<number, { areaM2: number; readonly isWay: boolean; readonly trees: number[] }>();
  readonly #approximate: Finding[] = [];
  readonly #beyond: { readonly number: number; readonly lengthM: number }[] = [];

  constructor({ trees, works }: { readonly trees: TreeTable; readonly works: WorksTable }) {
    this.#trees = trees;
    this.#works = works;
  }

  /** A tree to be kept has no fence round it. */
  leaves(row: number, why: string): void {
    this.#left.push({ row, why });
  }

  /** Temporary works that may reach into the zone of a group. */
  temporary(row: number, isWay: boolean, shape: Shape, zone: Shape, group: readonly StandingTree[]): void {
    const areaM2 = shapeArea(commonShape(zone, shape));
    if (areaM2 < SMALLEST_TEMPORARY_M2) return;
    const known = this.#temporary.get(row) ?? { areaM2: 0, isWay, trees: [] };
    const one = new NearShapes(new Map([[0, shape]]));
    const reached = group.filter(({ at, radiusM }) => one.near(at, radiusM).length > 0);
    if (reached.length === 0) return; // the line stands a hand's breadth outside the zones, and only that is touched
    known.trees.push(...reached.map((tree) => tree.row));
    known.areaM2 += areaM2;
    this.#temporary.set(row, known);
  }

  /** A layout whose parts do not add up. */
  approximate(row: number): void {
    const id = this.#trees.key.at(row)!;
    this.#approximate.push(
      finding(
        'shape-approximate',
        { layer: this.#trees.layer.name, feature: row, id },
        `the fence round tree ${id} and its neighbours does not add up with the ground the works take`,
        'look for slivers or near-coincident edges in the works there, and check the line by eye',
      ),
    );
  }

  /** Fences that leave the lots. */
  beyond(fences: readonly Fence[]): void {
    fences.forEach(({ outsideLotsM }, i) => {
      if (outsideLotsM !== null && outsideLotsM > LEAST_BEYOND_M)
        this.#beyond.push({ number: i + 1, lengthM: outsideLotsM });
    });
  }

  all(): Finding[] {
    return [...this.#beyondFindings(), ...this.#temporaryFindings(), ...this.#leftFindings(), ...this.#approximate];
  }

  #beyondFindings(): Finding[] {
    const all = this.#beyond;
    if (all.length === 0) return [];
    const metres = all.reduce((sum, { lengthM }) => sum + lengthM, 0).toFixed(1);
    const names = all.slice(0, LISTED).map(({ number, lengthM }) => `fence ${number} (${lengthM.toFixed(1)} m)`);
    const more = all.length > LISTED ? ` and ${all.length - LISTED} more` : '';
    const message = `${metres} m of fence stand on none of the lots given: ${names.join(', ')}${more}`;
    const cure = 'have whoever owns that ground agree in writing, or agree with the arborist on a line inside the lots';
    return [finding('fence-off-lots', {}, message, cure)];
  }

  #temporaryFindings(): Finding[] {
    const works = this.#works;
    return [...this.#temporary]
      .sort(([a], [b]) => a - b)
      .map(([row, { areaM2, isWay, trees }]) => {
        const id = works.key.at(row)!;
        const names = trees.slice(0, NAMED).map((tree) => this.#trees.key.at(tree)!);
        const more = trees.length > NAMED ? ` and ${trees.length - NAMED} more` : '';
        const done = isWay ? 'they pass through gates, on protected ground' : 'the fence stands, and keeps them out';
        return finding(
          'temporary-in-zone',
          {
            layer: works.layers[works.layerOf[row]!]?.name ?? '',
            feature: works.rowInLayer[row]!,
            id,
          },
          `the temporary works "${id}" take ${areaM2.toFixed(1)} m2 of the zones of ${names.join(', ')}${more}: ${done}`,
          isWay ? 'lead them round the zones where there is room' : 'move them out of the zones',
        );
      });
  }

  #leftFindings(): Finding[] {
    const { layer, key } = this.#trees;
    const cure = 'move the works, reduce the working space there, or have an arborist say how the trunk is protected';
    const left = [...this.#left].sort((a, b) => a.row - b.row);
    const findings = left.slice(0, LISTED).map(({ row, why }) => {
      const id = key.at(row)!;
      const message = `tree ${id} is to be kept and no fence stands round it: ${why}`;
      return finding('fence-leaves-tree', { layer: layer.name, feature: row, id }, message, cure);
    });
    if (left.length > LISTED) {
      const message = `${left.length} trees to be kept have no fence round them; the first ${LISTED} are listed`;
      findings.push(finding('fence-leaves-tree', { layer: layer.name }, message, cure));
    }
    return findings;
  }
}
