// Grades in a job. In: a job with two surfaces, its layers with their systems, its rules; out: the job with the works that the grades make,
// and afterwards what is measured of them. Terms: see model/grades.ts. Cost: see grades/.

import type { PlacedLayer } from '../crs/index.js';
import type { Finding, GradeChange, GradesResult, Job, Rule } from '../model/index.js';
import { gradeDepths } from '../rules/index.js';
import type { AssessJob, layersOf } from './job.js';

export interface Graded {
  /** With the works made from grades behind all others. */
  readonly job: AssessJob;
  readonly placed: readonly PlacedLayer[];
  readonly change: GradeChange | null; // null: no grades were given
}

/** What is to be said of the layers; notes that give trees and surfaces say it once. */
export function findingsOnce(layers: ReturnType<typeof layersOf>): Finding[] {
  const seen = new Set<string>();
  return layers.flatMap(({ role, layer }) => {
    const own = layer.findings.filter((one) => role !== 'grades' || !seen.has(JSON.stringify(one)));
    if (layer.format === 'notes') for (const one of own) seen.add(JSON.stringify(one));
    return own;
  });
}

/** @throws InputError `grade-apart`, `grade-large` */
export function withGrades(job: AssessJob, placed: readonly PlacedLayer[], rules: readonly Rule[]): Graded {
  const { grades } = job;
  if (grades === undefined) return { job, placed, change: null };
  const [existing, proposed] = placed.filter(({ role }) => role === 'grades');
  const change = grades.change({
    existing: existing!.transform,
    proposed: (proposed ?? existing!).transform,
    depths: gradeDepths(rules),
    signal: job.signal,
  });
  const works = [...(job.works ?? []), { layer: change.works }];
  // Made in the plane of the existing surface: it is placed as that is.
  const made: PlacedLayer = { ...existing!, role: 'works', layer: change.works };
  return { job: { ...job, works }, placed: [...placed, made], change };
}

/** What is measured of the grades once zones are known; null without any. */
export function measuredGrades(
  { change, job: { signal } }: Graded,
  job: Job,
): { readonly result: GradesResult | null; readonly findings: readonly Finding[] } {
  if (change === null) return { result: null, findings: [] };
  const { result, findings } = change.measure({ ...job, signal });
  return { result, findings: [...change.findings, ...findings] };
}
