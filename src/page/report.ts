// The report, loaded when one is asked for. In and out: see report/report.ts.

export { toReport } from '../report/index.js';
