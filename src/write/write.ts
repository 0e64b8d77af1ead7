// Write: an Assessment -> GeoJSON, tree schedule, findings, short table. In: an assessment, units, roles, prefix;
// out: text in pieces or whole, or an object. Terms: see write/options.ts (roles) and write/numbers.ts (units).
// Every sink draws from the same result: none computes a figure.

import type { Assessment, Finding } from '../model/index.js';
import { findingsPieces } from './provenance.js';

/**
 * The findings of a run as JSON text: version, inputs, counts, rule id and `findings`, one a line.
 * `more` are findings that came later (those of drawing the shapes). Without any, the list is empty.
 *
 * @example
 * JSON.parse(toFindings(assessment)).findings.filter((f) => f.severity === 'error');
 */
export function toFindings(assessment: Assessment, more: readonly Finding[] = []): string {
  return [...findingsPieces(assessment, more)].join('');
}
