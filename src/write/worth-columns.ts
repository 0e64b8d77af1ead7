// Properties of a tree whose survey says what an arborist looks at. In: nothing; out: columns. Terms: see model/worth.ts; lists are
// codes joined by `;`: what they say in words is in worth-words.ts, which only what is printed needs.

import type { TreeResult } from '../model/index.js';
import type { Column } from './column.js';

export const WORTH_COLUMNS: readonly Column<TreeResult>[] = [
  { name: 'retention_category', type: 'text', value: ({ worth }) => worth?.category ?? null },
  { name: 'retention_reckoned', type: 'text', value: ({ worth }) => worth?.reckoned ?? null },
  { name: 'retention_reasons', type: 'text', value: ({ worth }) => worth?.reasons.join(';') ?? null },
  { name: 'see_first', type: 'text', value: ({ worth }) => worth?.seeFirst.join(';') ?? null },
  { name: 'not_recorded', type: 'text', value: ({ worth }) => worth?.missing.join(';') ?? null },
];
