// The front of report/: what other rooms may import of it. In and out: see each name’s own file.

export { type ComparisonReportOptions, toComparisonReport } from './comparison-page.js';
export { DRAWINGS, type Drawing } from './drawings.js';
export { PARTS, type Part, type PlanOptions, type ReportOptions } from './options.js';
export type { PlanSheet } from './plan-sheets.js';
export { toPlan, toPlanSheets, toReport, toSitingPlan } from './report.js';
export { type Scale, SHEET_NAMES, type Sheet, scaleNamed, sheetsNamed } from './sheet.js';
