// The front of report/: what other rooms may import of it. In and out: see each name’s own file.

export { DRAWINGS, type Drawing } from './drawing/drawings.js';
export { PARTS, type Part, type PlanOptions, type ReportOptions } from './options.js';
export { type ComparisonReportOptions, toComparisonReport } from './page/comparison-page.js';
export { toPlan, toPlanSheets, toSitingPlan } from './plans.js';
export { toReport } from './report.js';
export type { PlanSheet } from './sheets/plan-sheets.js';
export { type Scale, SHEET_NAMES, type Sheet, scaleNamed, sheetsNamed } from './sheets/sheet.js';
