// Gross errors among readings. In: a network; out: readings that are wrong, by how much and what it probably was, and the network
// adjusted without them. Terms: blunder = an error that no accuracy explains; told apart = the standardised residuals of two
// readings correlate by 0.9 or less. W. Baarda 1968: the largest standardised residual is taken out and all is tested again.

import { METRES_PER } from '../model/index.js';
import { type Adjusted, adjust, computed, type Network, type NotFixed, wrapped } from './adjust.js';
import { lengthOf, Slip } from './cells.js';
import { normalUpper } from './statistics.js';
import type { Reading } from './types.js';

/** One reading that is wrong, or several of which one is and nothing tells which. */
export interface Blunder {
  readonly suspects: readonly Suspect[]; // the likeliest first
  /** Coordinates of a known point would explain it as well. */
  readonly orKnown: boolean;
}

export interface Suspect {
  readonly reading: number; // index
  /** Observed less true, metres or radians, if it is this one. */
  readonly error: number;
  readonly standardised: number;
  /** What it probably was: "10 ft too long"; '' where nothing usual fits. */
  readonly probably: string;
}

export interface Searched {
  readonly adjusted: Adjusted;
  /** Per reading of the network: whether it was left out. */
  readonly isOut: Uint8Array;
  readonly blunders: readonly Blunder[];
}

/** The chance that a clean notebook has a reading named. */
const FALSE_ALARM = 0.01;
/** More wrong readings than one in so many that are too many: then not readings are wrong, but accuracies. */
const CHECKS_A_BLUNDER = 3;
/** And no more than so many: each costs an adjustment of all. */
const MOST_BLUNDERS = 12;
const TOLD_APART = 0.9;
/** A reading of which the others check less than this share can't be tested. */
const LEAST_CHECK = 0.002;

/** Looks for blunders; `first` is the network adjusted with every reading. */
export function search(net: Network, first: Adjusted): Searched {
  const isOut = new Uint8Array(net.readings.length);
  const blunders: Blunder[] = [];
  const most = Math.min(MOST_BLUNDERS, Math.max(1, Math.floor(first.degrees / CHECKS_A_BLUNDER)));
  let now = first;
  let kept = net.readings.map((_, i) => i);
  for (;;) {
    const worst = worstOf(now);
    if (worst < 0) break;
    if (blunders.length === most) return { adjusted: first, isOut: new Uint8Array(isOut.length), blunders: [] };
    const all = together(now, worst);
    // Who can't tell a tape from the coordinates it ends at doubts the tape first: those came from a surveyor.
    const measured = all.filter((i) => !isKnown(net.readings[kept[i]!]!));
    const alike = measured.length > 0 ? measured : all;
    const out = bestOut(net, kept, isOut, alike);
    if (out === null) break;
    const suspects = [out.i, ...alike.filter((i) => i !== out.i)].map((i) =>
      suspectOf(net, kept, now, i, out.tried.get(i)),
    );
    blunders.push({ suspects, orKnown: measured.length > 0 && measured.length < all.length });
    isOut[kept[out.i]!] = 1;
    now = out.adjusted;
    kept = out.kept;
  }
  // Where nothing tells which of several is wrong, none is left out: all of them share the error.
  for (const { suspects } of blunders) if (suspects.length > 1) for (const { reading } of suspects) isOut[reading] = 0;
  const last = without(net, isOut).adjusted;
  return { adjusted: 'point' in last ? first : last, isOut, blunders };
}

function isKnown({ kind }: Reading): boolean {
  return kind === 'east' || kind === 'north';
}

/** Suspects that are tried one by one. */
const MOST_TRIED = 8;

interface Tried {
  readonly i: number;
  readonly adjusted: Adjusted; // without it
  readonly kept: number[];
  readonly tried: ReadonlyMap<number, Adjusted>; // without each of those tried
}

/** Of several suspects the one without which all others fit best: a long way from the truth, residuals alone mislead. */
function bestOut(net: Network, kept: readonly number[], isOut: Uint8Array, suspects: readonly number[]): Tried | null {
  let best: Tried | null = null;
  const all = new Map<number, Adjusted>();
  for (const i of suspects.slice(0, MOST_TRIED)) {
    const tried = isOut.slice();
    tried[kept[i]!] = 1;
    const { adjusted, kept: rest } = without(net, tried);
    if ('point' in adjusted) continue;
    all.set(i, adjusted);
    if (best === null || adjusted.squares < best.adjusted.squares * (1 - 1e-9))
      best = { i, adjusted, kept: rest, tried: all };
  }
  return best;
}

function without(net: Network, isOut: Uint8Array): { readonly adjusted: Adjusted | NotFixed; readonly kept: number[] } {
  const kept = net.readings.map((_, i) => i).filter((i) => isOut[i] === 0);
  const readings = kept.map((i) => net.readings[i]!);
  return { adjusted: adjust({ ...net, readings, sign: kept.map((i) => net.sign[i]!) }), kept };
}

/** The reading with the largest standardised residual, where it is too large for chance; else -1. */
function worstOf({ standardised, redundancy }: Adjusted): number {
  let worst = -1;
  let most = 0;
  let tested = 0;
  standardised.forEach((w, i) => {
    if (!(redundancy[i]! > LEAST_CHECK)) return;
    tested++;
    if (Math.abs(w) <= most) return;
    most = Math.abs(w);
    worst = i;
  });
  return worst >= 0 && most > normalUpper(FALSE_ALARM / 2 / tested) ? worst : -1;
}

/** The worst, and those it can't be told from. */
function together(adjusted: Adjusted, worst: number): number[] {
  const alike = [...adjusted.redundancy.keys()].filter(
    (i) =>
      i !== worst && adjusted.redundancy[i]! > LEAST_CHECK && Math.abs(adjusted.correlation(worst, i)) > TOLD_APART,
  );
  const size = (i: number): number => Math.abs(adjusted.standardised[i]!);
  return [worst, ...alike.sort((one, two) => size(two) - size(one))];
}

function suspectOf(
  net: Network,
  kept: readonly number[],
  adjusted: Adjusted,
  i: number,
  alone: Adjusted | undefined,
): Suspect {
  const reading = net.readings[kept[i]!]!;
  const r = adjusted.redundancy[i]!;
  const value = reading.value * net.sign[kept[i]!]!;
  const error = alone === undefined ? -adjusted.residual[i]! / r : errorOf(reading, value, alone);
  const probably = probableCause(reading, value, value - error, (3 * reading.sigma) / Math.sqrt(r));
  return { reading: kept[i]!, error, standardised: adjusted.standardised[i]!, probably };
}

/** What a reading is off by the positions that were found without it. */
function errorOf(reading: Reading, value: number, { xy, swing }: Adjusted): number {
  const is = computed(reading, xy, () => undefined);
  if (reading.kind === 'bearing') return wrapped(value + swing - is);
  return reading.kind === 'angle' ? wrapped(value - is) : value - is;
}

interface Cause {
  readonly words: string;
  /** What the reading would have been without it. */
  readonly value: number;
}

/**
 * What probably went wrong with a reading that should have been `right`, give or take `reach`: the usual slip that comes
 * nearest; '' where none comes near.
 */
export function probableCause(reading: Reading, value: number, right: number, reach: number): string {
  const isAngle = reading.unit === 'deg' && reading.kind !== 'east' && reading.kind !== 'north';
  const off = (cause: Cause): number =>
    isAngle ? Math.abs(wrapped(cause.value - right)) : Math.abs(cause.value - right);
  let best: Cause | undefined;
  for (const cause of isAngle ? angleCauses(value) : lengthCauses(reading, value)) {
    if (off(cause) <= reach && (best === undefined || off(cause) < 0.6 * off(best))) best = cause;
  }
  return best?.words ?? '';
}

function angleCauses(value: number): Cause[] {
  const degree = Math.PI / 180;
  return [
    { words: 'read from the other end (180 degrees)', value: value + Math.PI },
    { words: 'side swapped', value: -value },
    ...[1, 10].flatMap((d) => [
      { words: `${d} degree${d === 1 ? '' : 's'} too much`, value: value - d * degree },
      { words: `${d} degree${d === 1 ? '' : 's'} too little`, value: value + d * degree },
    ]),
  ];
}

function lengthCauses({ text, unit, perUnit, kind }: Reading, value: number): Cause[] {
  const causes: Cause[] = [];
  const isFeet = unit === 'ft' || unit === 'in' || unit === 'ftUS';
  const step = Math.abs(perUnit) * (METRES_PER[isFeet ? 'ft' : 'm'] / (unit === 'deg' ? 1 : METRES_PER[unit]));
  const [size, name] = [Math.sign(value) || 1, isFeet ? 'ft' : 'm'];
  for (const n of [1, 10, 100]) {
    const what = isFeet && n === 1 ? 'a foot' : `${n} ${name}`;
    causes.push({ words: `${what} too long`, value: value - size * n * step });
    causes.push({ words: `${what} too short`, value: value + size * n * step });
  }
  if (isFeet) {
    causes.push({ words: 'an inch too long', value: value - (size * step) / 12 });
    causes.push({ words: 'an inch too short', value: value + (size * step) / 12 });
  }
  if (kind === 'offset' && value !== 0) causes.push({ words: 'side swapped', value: -value });
  for (const [words, digits] of otherDigits(text)) {
    const [is, was] = [lengthOf(text, unit === 'deg' ? 'm' : unit), lengthOf(digits, unit === 'deg' ? 'm' : unit)];
    if (is instanceof Slip || was instanceof Slip || is.metres === 0) continue;
    causes.push({ words, value: (value / is.metres) * was.metres });
  }
  const foot = METRES_PER.ft;
  causes.push(
    isFeet
      ? { words: 'metres written as feet', value: value / foot }
      : { words: 'feet written as metres', value: value * foot },
  );
  return causes;
}

/** The text as it might have been meant: 6 for 9, digits swapped. */
function otherDigits(text: string): [string, string][] {
  const out: [string, string][] = [];
  for (let i = 0; i < Math.min(text.length, 24); i++) {
    const [c, next] = [text[i]!, text[i + 1] ?? ''];
    const put = (digits: string, length: number): string => text.slice(0, i) + digits + text.slice(i + length);
    if (c === '6') out.push(['6 written for 9', put('9', 1)]);
    if (c === '9') out.push(['9 written for 6', put('6', 1)]);
    if (/\d/.test(c) && /\d/.test(next) && c !== next)
      out.push([`digits swapped: ${put(next + c, 2)}`, put(next + c, 2)]);
  }
  return out;
}
