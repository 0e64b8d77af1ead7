// The front of report/: what other rooms may import of it. In and out: see each name’s own file.

export { type ComparisonReportOptions, toComparisonReport } from './comparison-page.js';
export type { PlanOptions, ReportOptions } from './options.js';
export { toPlan, toReport, toSitingPlan } from './report.js';
export { type Scale, SHEET_NAMES, type Sheet, scaleNamed, sheetsNamed } from './sheet.js';
