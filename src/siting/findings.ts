// The obstacles, in words. In: what the search found; out: findings. Terms: see siting/search.ts; lengths to the
// centimetre.

import { type Assessment, type Finding, finding, staysByCode } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import type { Problem } from './problem.js';
import type { Found } from './search.js';

/** Trees named in a sentence before it says how many more there are. */
const MOST_NAMES = 8;

function namesOf({ job }: Assessment, rows: readonly number[]): string {
  return listOf(rows, MOST_NAMES, (row) => job.trees.key.at(row) ?? `trees:${row}`);
}

/** What stands in the way of a siting that keeps every tree. */
export function findingsOf(
  before: Assessment,
  found: Found,
  problem: Problem,
  rowsOf: (places: readonly number[]) => number[],
  shiftM: number,
): Finding[] {
  const out: Finding[] = [];
  const layer = before.job.trees.layer.name;
  if (problem.beyondHelp.length > 0) {
    const rows = rowsOf(problem.beyondHelp);
    const message = `${namesOf(before, rows)}: the works that stay break ${rows.length === 1 ? 'its limit' : 'their limits'}, wherever the footprint goes; the footprint may not take more of ${rows.length === 1 ? 'it' : 'them'} than it does as drawn`;
    out.push(finding('siting-beyond-help', { layer }, message, 'move or change the works that stay as well'));
  }
  const [best] = found.sitings;
  if (best === undefined) {
    const message = `no place was found for the footprint within ${shiftM.toFixed(2)} m of where it is drawn${problem.freedom.turnDeg > 0 ? ` and ${problem.freedom.turnDeg} degrees of turn` : ''}: at the best place some of it stands ${found.escapeM.toFixed(2)} m outside the ground to build on`;
    out.push(
      finding(
        'siting-no-room',
        {},
        message,
        'make the footprint or the setbacks smaller, or let it turn or move farther',
      ),
    );
  } else if (best.over.length > 0) out.push(noPlace(before, found, problem, rowsOf));
  else if (!found.isProven) {
    const message = 'no shorter move that keeps every tree was found, but one may exist';
    out.push(
      finding('siting-not-proven', {}, message, 'nothing to do; for a closer search, allow a smaller shift or turn'),
    );
  }
  const unjudged = unjudgedTrees(before);
  if (unjudged > 0) {
    const message = `${counted(unjudged, 'tree that is to be kept is', 'trees that are to be kept are')} not assessed: the search does not consider ${unjudged === 1 ? 'it' : 'them'}`;
    out.push(
      finding(
        'siting-unjudged',
        { layer },
        message,
        'fix the problems that the findings of the assessment name for them',
      ),
    );
  }
  return out;
}

function noPlace(
  before: Assessment,
  found: Found,
  problem: Problem,
  rowsOf: (places: readonly number[]) => number[],
): Finding {
  const nodes = (found.grid?.nodes ?? []).filter(({ fits }) => fits);
  const always = rowsOf(
    Array.from({ length: problem.ground.count }, (_, t) => t).filter(
      (t) => nodes.length > 0 && nodes.every(({ over }) => over.includes(t)),
    ),
  );
  const reason =
    always.length > 0
      ? `${namesOf(before, always)} ${always.length === 1 ? 'is over its limit' : 'are over their limits'} wherever the footprint fits`
      : 'each tree is within its limits at some place, but no place works for all trees';
  const message = `no place ${found.isProven ? 'at the turns looked at ' : 'found '}puts every tree within its limits: ${reason}`;
  return finding(
    'siting-trade',
    { layer: before.job.trees.layer.name },
    message,
    'choose what to give up, or make the footprint smaller',
  );
}

function unjudgedTrees({ job }: Assessment): number {
  let n = 0;
  for (let row = 0; row < job.trees.count; row++) {
    if (staysByCode(job.trees.disposition[row]!) && !(job.zones.radiusM[row]! > 0)) n++;
  }
  return n;
}
