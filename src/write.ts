// Write: an Assessment -> GeoJSON, tree schedule, findings, short table. In: an assessment, units, roles, prefix;
// out: text in pieces or whole, or an object. Terms: see write/options.ts (roles) and write/numbers.ts (units).
// Every sink draws from the same result: none computes a figure.

import type { Finding } from './findings.js';
import type { Assessment } from './types.js';
import { findingsPieces } from './write/provenance.js';

export { type CautionFacts, isRingCut } from './write/cautions.js';
export { inert, quoted } from './write/csv-cell.js';
export { facadePieces, shadeTablePieces, toFacades, toShadeTable } from './write/facades.js';
export { type FeatureRecord, type RoleTable, tablesOf } from './write/features.js';
export { cast, type Field, type FieldType, type Value } from './write/fields.js';
export { COLLECTION_END, collectionHead, featureTexts, geojsonBytes, geojsonText, toGeoJSON } from './write/geojson.js';
export { limbPieces, toLimbSchedule } from './write/limbs.js';
export { lotTablePieces, toLotTable } from './write/lot-figures.js';
export { SCALES, type Units } from './write/numbers.js';
export { optionTablePieces } from './write/option-table.js';
export { DRAWN, type GeoJSONOptions, type Plan, planOf, ROLES, type Role } from './write/options.js';
export {
  CAUTIONS,
  findingsPieces,
  positionsWords,
  provenance,
  provenanceOf,
  type Told,
  toldOf,
  type WrittenAs,
} from './write/provenance.js';
export { TREE_ROLES, type TreeRole, treeRecords } from './write/records.js';
export { scheduleColumns, scheduleLines, schedulePieces, toSchedule } from './write/schedule.js';
export { boxOf, type GeometryType, type OutGeometry, type OutputSystem, Placer, promoted } from './write/shape.js';
export { type SitingGeoJSONOptions, sitingText, toSitingGeoJSON } from './write/siting.js';
export { sitingSummary, sitingTablePieces, sitingWords } from './write/siting-words.js';
export { stakesPieces, toStakes } from './write/stakes.js';
export { printable, summaryTable } from './write/summary.js';
export { wkb, wkt } from './write/wkb.js';

/**
 * The findings of a run as JSON text: version, inputs, counts, rule id and `findings`, one a line.
 * `more` are findings that came later (what drawing the shapes had to say). Without any, the list is empty.
 *
 * @example
 * JSON.parse(toFindings(assessment)).findings.filter((f) => f.severity === 'error');
 */
export function toFindings(assessment: Assessment, more: readonly Finding[] = []): string {
  return [...findingsPieces(assessment, more)].join('');
}
