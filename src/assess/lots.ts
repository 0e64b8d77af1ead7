// Lots and totals on demand. In: the job's tables, verdicts and a mitigation table; out: results that are counted, all of
// them in one pass, when first asked for. Terms: see plan/lot-figures.ts. With a mitigation table they are counted at once:
// a missing figure of the table is a finding.

import type { Job, JudgedTree, LotResult, Mitigation, Removal, Replacement, Totals } from '../model/index.js';
import { type Finding, finding, hasWorks, trunkOrPoint } from '../model/index.js';
import type { lotFinder } from '../plan/index.js';
import { type CountedLots, lotFigures, removalsOf } from '../plan/index.js';
import { someOf } from '../text/index.js';

export interface LotPlan {
  readonly lots: readonly LotResult[];
  readonly totals: Totals;
  readonly removals: readonly Removal[];
  readonly findings: readonly Finding[];
}

export function lotPlan(
  job: Job,
  judged: readonly JudgedTree[],
  findLot: ReturnType<typeof lotFinder> | null,
  mitigation: Mitigation | undefined,
): LotPlan {
  let known: CountedLots | undefined;
  let gone: readonly Removal[] | undefined;
  const counted = (): CountedLots => {
    known ??= lotFigures({ ...job, judged, findLot, mitigation, hasWorks: hasWorks(job.works) });
    return known;
  };
  const { lots } = job;
  const results =
    lots === null
      ? []
      : Array.from(
          { length: lots.count },
          (_, row): LotResult => ({
            row,
            key: lots.key.at(row)!,
            accepted: !lots.rejected.has(row),
            get figures() {
              return counted().lots[row]!;
            },
          }),
        );
  return {
    lots: results,
    get totals() {
      return counted().totals;
    },
    get removals() {
      gone ??= removalsOf({ ...job, judged, mitigation });
      return gone;
    },
    findings: [
      ...offSiteFindings(job, findLot),
      ...(mitigation === undefined ? [] : mitigationFindings(mitigation, results, counted().totals)),
    ],
  };
}

/** Trees that the survey marks as standing off the site while their trunk is on a lot. */
function offSiteFindings(
  { trees, lots, treeLonLat, zones, frameAt }: Job,
  findLot: ReturnType<typeof lotFinder> | null,
): Finding[] {
  const findings: Finding[] = [];
  for (let row = 0; row < trees.count && lots !== null && findLot !== null; row++) {
    const [lon, lat] = [treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!];
    if (trees.offSite[row] !== 1 || Number.isNaN(lon)) continue;
    const { lot } = findLot(frameAt(lon, lat), [lon, lat], trunkOrPoint(zones.trunkRadiusM, row));
    if (lot < 0) continue;
    const id = trees.key.at(row)!;
    const message = `tree ${id} is marked off_site, but its trunk stands on lot ${lots.key.at(lot)}`;
    const cure = 'correct the mark, the lot line or the survey: only the owner of a tree may agree to works on it';
    findings.push(finding('off-site-on-lot', { layer: trees.layer.name, feature: row, id }, message, cure));
  }
  return findings;
}

function mitigationFindings(mitigation: Mitigation, lots: readonly LotResult[], totals: Totals): Finding[] {
  const path = `mitigation.${mitigation.id}`;
  const findings = mitigation.notes.map((note) =>
    finding(
      'rule-note',
      { path },
      note,
      'decide whether it matters here, or give the table that applies with --mitigation',
    ),
  );
  const all = totals.all.replacement;
  if (all !== null && all.unknown > 0) {
    const one = 'has no diameter: no replacement figure includes it';
    const several = 'have no diameter: no replacement figure includes them';
    const message = someOf(all.unknown, all.lost, 'lost tree', one, several);
    findings.push(finding('mitigation-no-diameter', { path }, message, 'measure them, or add them by hand'));
  }
  const outside = (r: Replacement | null): boolean => r !== null && r.requiredDbhM === null && r.requiredTrees === null;
  const where = [...lots.filter(({ figures }) => outside(figures.replacement)).map(({ key }) => `lot ${key}`)];
  if (outside(all)) where.push('the total');
  if (where.length > 0) {
    const message = `the table ${mitigation.id} has no figure for the sum of diameters lost: ${where.join(', ')}`;
    findings.push(finding('mitigation-outside-table', { path }, message, 'ask the author of the table'));
  }
  return findings;
}
