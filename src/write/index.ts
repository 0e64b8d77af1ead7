// The front of write/: what other rooms may import of it. In and out: see each name’s own file.

export { type CautionFacts, type CautionPart, cautionsOf, isRingCut } from './cautions.js';
export { type ComparisonGeoJSONOptions, comparisonText, toComparisonGeoJSON } from './comparison.js';
export {
  type ComparisonRow,
  comparisonLines,
  comparisonRows,
  comparisonSummary,
  comparisonTablePieces,
  countWords,
  moveWords,
  toComparisonTable,
} from './comparison-words.js';
export { inert, quoted } from './csv-cell.js';
export { facadePieces, shadeTablePieces, toFacades, toShadeTable } from './facades.js';
export { factLines, publishedLines, takenWords } from './fact-lines.js';
export { type FeatureRecord, type RoleTable, tablesOf } from './features.js';
export { shownFences } from './fence-shown.js';
export { cast, type Field, type FieldType, type Value } from './fields.js';
export { COLLECTION_END, collectionHead, featureTexts, geojsonBytes, geojsonText, toGeoJSON } from './geojson.js';
export { depthWords, isFromGrades, LOT_GRADES, lotGrade } from './grades.js';
export { inventoryColumns, inventoryPieces, inventorySheet, toInventory } from './inventory.js';
export { limbPieces, toLimbSchedule } from './limbs.js';
export { lotTablePieces, toLotTable } from './lot-figures.js';
export { cell, SCALES, type Units } from './numbers.js';
export { optionTablePieces } from './option-table.js';
export { DRAWN, type GeoJSONOptions, type Plan, planOf, ROLES, type Role } from './options.js';
export {
  CAUTIONS,
  findingsPieces,
  positionsWords,
  provenance,
  provenanceOf,
  type Told,
  toldOf,
  type WrittenAs,
} from './provenance.js';
export { TREE_ROLES, type TreeRole, treeRecords } from './records.js';
export { removalPieces, removalSheet, toRemovals } from './removals.js';
export { type ScheduleOptions, scheduleColumns, scheduleLines, schedulePieces, toSchedule } from './schedule.js';
export { boxOf, type GeometryType, type OutGeometry, type OutputSystem, Placer, promoted } from './shape.js';
export { type Sheet, type SheetCell, type SheetColumn, shownCell } from './sheet.js';
export { checkOnly, type ShownOptions, shownTrees } from './shown.js';
export { shownWords } from './shown-words.js';
export { type SitingGeoJSONOptions, sitingText, toSitingGeoJSON } from './siting.js';
export { sitingSummary, sitingTablePieces, sitingWords, wayOf } from './siting-words.js';
export { type GroundStake, stakeOutPieces } from './stake-out.js';
export { eachStake, stakesPieces, toStakes, unitOf } from './stakes.js';
export { summaryTable, zonesOnlyWords } from './summary.js';
export { wkb, wkt } from './wkb.js';
export {
  answerWords,
  categoryWords,
  fieldTitle,
  missingWords,
  retentionReason,
  seeFirstWords,
  spanFor,
  spanWords,
  WORTH_NOTES,
  WORTH_TITLES,
} from './worth-words.js';
export { toFindings } from './write.js';
