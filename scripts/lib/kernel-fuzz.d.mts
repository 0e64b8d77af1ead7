// Types of kernel-fuzz.mjs, for the tests.
import type { Meter } from '../../src/geometry/kernel/meter.js';
import type { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import type { compactParts } from '../../src/geometry/kernel/subdivide.js';

export interface Kernel {
  readonly Meter: typeof Meter;
  readonly PieceBuilder: typeof PieceBuilder;
  readonly compactParts: typeof compactParts;
}

export interface Broken {
  readonly family: string;
  readonly number: number;
  readonly by: Readonly<Record<string, number>>;
  readonly case: unknown;
}

export function fuzz(
  kernel: Kernel,
  count: number,
  seed: number,
  onBroken: (found: Broken) => void,
  first?: number,
): Map<string, { readonly cases: number; readonly worst: Readonly<Record<string, number>> }>;
