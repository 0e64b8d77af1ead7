// Report: an Assessment -> one HTML file. In: an assessment and options; out: text. Terms: see report/options.ts. A file of its own,
// so that a page can load it when a report is asked for.

import type { Assessment } from '../model/index.js';
import { shownTrees } from '../write/index.js';
import type { ReportOptions } from './options.js';
import { reportPage } from './page/report-page.js';

/**
 * The report as one HTML file that loads nothing from anywhere and prints: plan, a card for each tree over its limit,
 * schedule, rule in words, cautions, findings, provenance. The same bytes every time.
 *
 * @throws InputError as `toPlan`
 * @example
 * toReport(assessment, { units: 'us', title: 'Lot 9' }).includes('<h1>Lot 9</h1>'); // true
 */
export function toReport(assessment: Assessment, options: ReportOptions = {}): string {
  return reportPage(shownTrees(assessment, { only: options.only }), options);
}
