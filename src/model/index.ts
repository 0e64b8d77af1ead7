// The front of model/: what other rooms may import of it. In and out: see each name’s own file.

export type {
  Cause,
  ComparedCounts,
  Comparison,
  FieldChange,
  GroundChange,
  Move,
  SettingChange,
  Submission,
  SubmittedTree,
  SubmittedWorks,
  TreeChange,
  VerdictChange,
  WorksChange,
} from './comparison.js';
export type { Crs, CrsTransform, CrsUnit, Frame, GroundScale, ShiftGrid } from './crs.js';
export {
  custom,
  type DataFile,
  dataInvalid,
  jsonOf,
  nonEmpty,
  parseData,
  record,
  type Schema,
  text,
} from './data-file.js';
export type {
  Facade,
  FacadeTree,
  ShadeResult,
  ShadeSettings,
  ShadeTree,
  SunFigures,
  SunShade,
  SunSums,
} from './facade.js';
export {
  type Finding,
  type FindingCode,
  finding,
  InputError,
  type Severity,
  stakesNeedPlane,
} from './findings.js';
export { firstVertex, GeometryColumns } from './geometry-columns.js';
export { given, trunkOrPoint } from './given.js';
export type { GradeDepths, GradesResult, GroundGrade, TreeGrade } from './grade-result.js';
export type { GradeChange, GradeGround, Grades, Surface } from './grades.js';
export {
  type CrsStatement,
  type FormatName,
  GEOMETRY_KINDS,
  type GeometryKind,
  type GeometryTable,
  type Layer,
  type LayerContent,
  type LayerPart,
  type LayerRole,
  type Names,
  type Properties,
  type StatedUnit,
} from './layer.js';
export { LayerBuilder, type LayerData, layerData, layerOf, spotFinder } from './layer-builder.js';
export { FINDING_CODES } from './meanings.js';
export {
  LOSSES,
  type Loss,
  type Mitigation,
  type MitigationClass,
  type Requirement,
  type TotalTable,
} from './mitigation.js';
export {
  type AssessOptions,
  EXISTING_USES,
  type ExistingUse,
  type FenceOptions,
  type LimbOptions,
  type Progress,
  type StemAtFace,
  type WorksInput,
} from './options.js';
export type { Contact, Packet, Preparer, Revision } from './packet.js';
export type { ByteSpot } from './properties.js';
export type {
  BoreDistance,
  FenceDetails,
  GroundBuildUp,
  Inspection,
  Protection,
  ProtectionDetail,
  ProtectionNote,
  RootNotes,
  SequenceStep,
} from './protection.js';
export { REASONS, type ReasonCode } from './reasons.js';
export type { Removal } from './removal.js';
export {
  type Assessment,
  type AssessmentData,
  type Counts,
  type CrownResult,
  type Fence,
  type FenceGate,
  type FencePlan,
  type GroundProtection,
  hasWorks,
  type InputRecord,
  isOver,
  type Job,
  type JudgedTree,
  type LimbResult,
  type LimitFigure,
  type LonLatPolygons,
  type LonLatRing,
  type LotFigures,
  type LotResult,
  type OtherReckoning,
  type PieceFigure,
  type Replacement,
  type ShownTrees,
  type StopSignal,
  type Totals,
  type TreeReckoning,
  type TreeResult,
  type TreeShapes,
  VERDICTS,
  type Verdict,
  verdictCounts,
  verdictNumber,
  verdictNumbered,
  type WorksResult,
} from './result.js';
export type {
  Allowance,
  Cut,
  Exemption,
  Limit,
  RadiusFormula,
  RadiusTerm,
  Rule,
  RuleRing,
  StemCombination,
  TreeClass,
  TreeTest,
} from './rule.js';
export { everyTreeView, isShown, showing } from './shown.js';
export type { PlacedFootprint, Setback, Siting, SitingCell, SitingOptions, SitingStatus } from './siting.js';
export {
  AGES,
  type Age,
  BEARING_REFS,
  type BearingRef,
  type CrownConflict,
  type CrownTable,
  DISPOSITIONS,
  type Disposition,
  type DrawnPolygons,
  type DrawnTable,
  type GroupTable,
  isGoing,
  isStaying,
  type LimbTable,
  type LotTable,
  type OverlapTable,
  staysByCode,
  TOLERANCES,
  type Tolerance,
  type TreeTable,
  type TreeText,
  WORKS_KINDS,
  type WorksKind,
  type WorksTable,
  type WorksWeights,
  type ZoneShape,
  type ZoneShapes,
  type ZoneTable,
} from './tables.js';
export {
  type CrownFact,
  type DensityFact,
  type FillFact,
  type RootFact,
  type SpanFact,
  STAMPS,
  type Stamp,
  type ToleranceFact,
  type TreeFacts,
} from './tree-facts.js';
export { keepTreeViews, treeView, treeViews } from './tree-views.js';
export { FT2_PER_M2, type LengthUnit, lengthInMetres, METRES_PER, UNIT_WORDS, unitNamed } from './units.js';
export { VERSION } from './version.js';
export {
  GRADES,
  NOT_RECORDED,
  OWN_WORDS,
  RETENTION,
  type RetentionCategory,
  SOILS,
  type Soil,
  WORTH_FIGURES,
  WORTH_VALUES,
  type Worth,
  type WorthField,
  type WorthFigureField,
  type WorthTable,
  type WorthWordField,
  type Years,
} from './worth.js';
