// Public entry of `rootberth`: the names a program may use; everything else may change without notice.
// In and out: layers and rules in, an assessment out, text or objects from that. No file is touched here.

// One piece of works moved about: the figures of the trees it reaches, measured anew, quickly.
export { type MovedTree, moveWorks, type WorksMover } from './assess/move.js';
// Where works can stand so that every tree is within its limits: a job and what may be done -> ranked sitings.
export { siting, USUAL_SHIFT_M } from './assess/siting.js';
// The whole job: layers, rule, options -> Assessment; the rule it uses when none is chosen.
export { type AssessJob, assess, DEFAULT_RULE } from './assess.js';
export { assessCommand, type CommandAdvice, type LookedAt } from './describe/command.js';
export { descriptionRows } from './describe/text.js';
// What a layer holds, what looks wrong with it and what an assessment would need; the command line for it; rows of text.
export { describeLayer, type LayerDescription, type Need } from './describe.js';
// One tree's reckoning, step by step, as lines of text.
export { type ExplainOptions, explain } from './explain.js';
// Sun and shade of the facades of proposed buildings: hours, wall by wall, month by month, tree by tree.
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
// Finding: something to know about one feature; InputError: the input can't be used.
export { type Finding, type FindingCode, InputError, type Severity } from './findings.js';
export { FINDING_CODES } from './meanings.js';
// What replaces lost trees, as data: built-in tables by id, a file's content -> checked table.
export type { Loss, Mitigation, MitigationClass, Requirement, TotalTable } from './mitigation.js';
export { builtinMitigation, mitigationIds, parseMitigation, parseMitigationText } from './plan/mitigation.js';
// A coordinate reference system by its code, and of a text; the way to lon/lat; shift grids from bytes or nodes.
// In Node every system is at hand; elsewhere `registerCrs` takes the tables of rootberth/crs/*.
export {
  type CrsTable,
  crsFromWkt,
  findCrs,
  type GridAbout,
  type GridPart,
  readNtv2,
  registerCrs,
  shiftGrid,
  transformFor,
} from './project.js';
// The parts of a loose shapefile -> Layer (by its own module: it brings shpjs along); bytes of a file -> Layer.
export { readShapefile, type ShapefilePart, type ShapefileParts } from './read/shapefile.js';
export { type ReadOptions, readLayer, readLayerAsync } from './read.js';
// Short codes of rb_reasons and the sentences they stand for.
export { REASONS } from './reasons.js';
// Assessment -> plan drawing (SVG) and report (HTML); sheets and scales by name.
export {
  type PlanOptions,
  type ReportOptions,
  type Scale,
  SHEET_NAMES,
  type Sheet,
  scaleNamed,
  sheetsNamed,
  toPlan,
  toReport,
  toSitingPlan,
} from './report.js';
// A rule as data, for writing one.
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
// Built-in rules by id; a rule file's content -> checked Rule; an overall limit in place of a rule's own.
export { builtinRule, parseRule, parseRuleText, ruleIds, withLimit } from './rules.js';
export { SHADE_DEFAULTS, shade } from './shade.js';
// What goes in and comes out, as types and as lists of the words that are taken.
export {
  type Assessment,
  type AssessOptions,
  BEARING_REFS,
  type BearingRef,
  type Counts,
  type CrownResult,
  type Crs,
  type CrsTransform,
  DISPOSITIONS,
  type Disposition,
  type DrawnPolygons,
  type DrawnTable,
  EXISTING_USES,
  type ExistingUse,
  type Fence,
  type FenceGate,
  type FenceOptions,
  type FencePlan,
  type GroundProtection,
  type GroundScale,
  type InputRecord,
  type Layer,
  type LayerRole,
  type LimbOptions,
  type LimbResult,
  type LimitFigure,
  type LonLatPolygons,
  type LotFigures,
  type LotResult,
  type OtherReckoning,
  type PieceFigure,
  type PlacedFootprint,
  type Replacement,
  type Setback,
  type ShiftGrid,
  type Siting,
  type SitingCell,
  type SitingOptions,
  type SitingStatus,
  type StemAtFace,
  type Totals,
  type TreeReckoning,
  type TreeResult,
  type TreeShapes,
  VERDICTS,
  type Verdict,
  WORKS_KINDS,
  type WorksInput,
  type WorksKind,
  type WorksResult,
} from './types.js';
// A length written with its unit -> metres.
export { type LengthUnit, lengthInMetres } from './units.js';
// The library's version.
export { VERSION } from './version.js';
// Assessment -> GeoJSON (object or text), tree schedule (CSV), findings (JSON), short table (text).
export {
  CAUTIONS,
  type GeoJSONOptions,
  geojsonText,
  ROLES,
  type Role,
  type SitingGeoJSONOptions,
  sitingSummary,
  sitingText,
  sitingWords,
  summaryTable,
  toFacades,
  toFindings,
  toGeoJSON,
  toLimbSchedule,
  toLotTable,
  toSchedule,
  toShadeTable,
  toSitingGeoJSON,
  toStakes,
  type Units,
} from './write.js';
