import type { Meter } from '../../src/geometry/kernel/meter.js';
import type { PieceBuilder } from '../../src/geometry/kernel/pieces.js';

export const SCENE_FIGURES: readonly string[];
export interface SceneRow {
  cases: number;
  worst: Record<string, number>;
}
export function fuzzScenes(
  kernel: { Meter: typeof Meter; PieceBuilder: typeof PieceBuilder },
  count: number,
  seed: number,
  onBroken: (found: unknown) => void,
  first?: number,
): Map<string, SceneRow>;
