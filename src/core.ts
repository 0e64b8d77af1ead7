// Public entry of `rootberth`: the names a program may use; everything else may change without notice.
// In and out: layers and rules in, an assessment out, text or objects from that. No file is touched here.

// The whole job: layers, rule, options -> Assessment; the rule it uses when none is chosen; a signal that another thread
// gives by shared memory, for all that is synchronous.
export { type AssessJob, assess, assessmentData, DEFAULT_RULE, flagSignal } from './assess/index.js';
// What changed between two outputs of an assessment; an output by its bytes.
export { type AssessedLayers, assessedLayers, type CompareOptions, compareAssessed } from './compare/index.js';
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
} from './crs/index.js';
// What a layer holds, what looks wrong with it and what an assessment would need; the command line for it; rows of text.
export {
  assessCommand,
  type CommandAdvice,
  describeLayer,
  descriptionRows,
  type LayerDescription,
  type LookedAt,
  type Need,
} from './describe/index.js';
// One tree's figures and verdict, step by step, as lines of text.
export { type ExplainOptions, explain } from './explain/index.js';
// Published figures beside a tree's own, as data: the built-in ones, a file's content -> checked facts.
export { builtinTreeFacts, parseTreeFacts, parseTreeFactsText } from './facts/index.js';
// Two surfaces of the ground -> the grades of a job; spot heights -> a surface.
export { type GradesOptions, gradesOf, type SpotOptions, spotSurface } from './grades/index.js';
// InputError: the input can't be used. The words that are taken; short codes of rb_reasons and of findings; a length written
// with its unit -> metres; the library's version.
export {
  BEARING_REFS,
  DISPOSITIONS,
  EXISTING_USES,
  FINDING_CODES,
  InputError,
  lengthInMetres,
  REASONS,
  VERDICTS,
  VERSION,
  WORKS_KINDS,
} from './model/index.js';
// Computed field notes -> tables of positions and readings (text), a sketch (SVG).
export {
  type CheckedReading,
  type FieldNotes,
  type NotesOptions,
  notesSketch,
  notesText,
  type PlacedPoint,
} from './notes/index.js';
// What is handed in beside the figures: a packet file's content, protection notes -> checked records; the built-in notes.
export {
  builtinProtection,
  parsePacket,
  parsePacketText,
  parseProtection,
  parseProtectionText,
} from './packet/index.js';
// What replaces lost trees, as data: built-in tables by id, a file's content -> checked table.
export { builtinMitigation, mitigationIds, parseMitigation, parseMitigationText } from './plan/index.js';
// The parts of a loose shapefile -> Layer (by its own module: it brings shpjs along); bytes of a file -> Layer.
export {
  type ReadOptions,
  readLayer,
  readLayerAsync,
  readNotes,
  readShapefile,
  readSurface,
  type ShapefilePart,
  type ShapefileParts,
  type SurfaceReadOptions,
} from './read/index.js';
// Assessment -> plan drawing (SVG) and report (HTML); sheets and scales by name.
export {
  type ComparisonReportOptions,
  type Drawing,
  PARTS,
  type Part,
  type PlanOptions,
  type PlanSheet,
  type ReportOptions,
  type Scale,
  SHEET_NAMES,
  type Sheet,
  scaleNamed,
  sheetsNamed,
  toComparisonReport,
  toPlan,
  toPlanSheets,
  toReport,
  toSitingPlan,
} from './report/index.js';
// Built-in rules by id; a rule file's content -> checked Rule; an overall limit in place of a rule's own.
export { builtinRule, parseRule, parseRuleText, ruleIds, withLimit } from './rules/index.js';
// Sun and shade of the facades of proposed buildings: hours, wall by wall, month by month, tree by tree.
export { SHADE_DEFAULTS, shade } from './shade/index.js';
// Where works can stand so that every tree is within its limits: a job and what may be done -> ranked sitings.
// One piece of works moved about: the figures of the trees it reaches, measured again, quickly.
export { type MovedTree, moveWorks, siting, USUAL_SHIFT_M, type WorksMover } from './siting/index.js';
// How a map draws each role: the styles of an output, for desktop tools and map servers, and for web maps.
export {
  type MapLibreLayer,
  type MapLibreOptions,
  type MapLibreStyle,
  type StyledRole,
  toMapLibre,
  toSld,
} from './style/index.js';
// The records that go in and come out: layers, options, rules, results, findings.
export type * from './types.js';
// Assessment -> GeoJSON (object or text), tree schedule (CSV), findings (JSON), short table (text).
export {
  CAUTIONS,
  type ComparisonGeoJSONOptions,
  checkOnly,
  comparisonLines,
  comparisonSummary,
  comparisonText,
  type GeoJSONOptions,
  geojsonText,
  ROLES,
  type Role,
  type ScheduleOptions,
  type ShownOptions,
  type SitingGeoJSONOptions,
  shownTrees,
  sitingSummary,
  sitingText,
  sitingWords,
  summaryTable,
  toComparisonGeoJSON,
  toComparisonTable,
  toFacades,
  toFindings,
  toGeoJSON,
  toInventory,
  toLimbSchedule,
  toLotTable,
  toRemovals,
  toSchedule,
  toShadeTable,
  toSitingGeoJSON,
  toStakes,
  type Units,
} from './write/index.js';
