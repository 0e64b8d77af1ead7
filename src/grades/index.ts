// The front of grades/: what other rooms may import of it. Grade change: in: two surfaces of the ground; out: fill and cut as works,
// with figures of trees and lots. Terms: see model/grades.ts.

export { type GradesOptions, gradesOf } from './change.js';
export { holdsProposed, type SpotOptions, spotSurface } from './spots.js';
export { surfaceOf } from './surface.js';
