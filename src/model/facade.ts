// Sun and shade of facades, as data (types). Terms: facade = one straight wall of a building, seen from outside; sun = hours
// of direct sun that would reach it without any trees, averaged over its face; shade = the part of them that trees keep
// off; low = sun under `lowSunDeg`; standing = trees that stay, as against those there today.

import type { Finding } from './findings.js';

/** Hours. */
export interface SunShade {
  readonly sunH: number;
  readonly shadeH: number;
}

/** One way of summing: over all hours, or over those of low sun in the morning or in the afternoon. */
export interface SunSums {
  readonly months: readonly SunShade[]; // January to December
  readonly year: SunShade;
  readonly summer: SunShade; // the three months about the longest days
  readonly winter: SunShade; // the three about the shortest
}

export interface SunFigures {
  readonly all: SunSums;
  readonly lowEast: SunSums; // low sun of the morning
  readonly lowWest: SunSums; // low sun of the afternoon
}

/** What one tree does for a facade; sunH as for the facade. */
export interface FacadeTree {
  readonly row: number;
  readonly key: string;
  readonly standing: boolean;
  /** Kept off if it were the only tree. */
  readonly alone: SunFigures;
  /** Kept off by this tree and no other that stays: it would reach the wall without the tree. */
  readonly only: SunFigures;
}

export interface Facade {
  /** `B-1:2`: the building's key and the facade's number along its outline. */
  readonly key: string;
  readonly worksRow: number;
  readonly works: string;
  readonly number: number; // from 1
  readonly ends: readonly [readonly [number, number], readonly [number, number]]; // lon/lat, building on the left
  readonly bearing: number; // the way it faces, degrees clockwise from true north
  readonly lengthM: number;
  readonly heightM: number;
  readonly heightAssumed: boolean;
  readonly standing: SunFigures; // shade of the trees that stay
  readonly today: SunFigures; // and of those that go
  readonly trees: readonly FacadeTree[]; // those that keep off any, in input order
}

/** A tree's shade over all facades: hours times square metres of wall. */
export interface ShadeTree {
  readonly row: number;
  readonly key: string;
  readonly standing: boolean;
  readonly summerM2h: number;
  readonly winterM2h: number;
  readonly lowWestSummerM2h: number;
  readonly reasons: readonly string[]; // evergreen-assumed, crown-base-assumed, ...
}

export interface ShadeSettings {
  readonly year: number;
  readonly stepMin: number;
  readonly lowSunDeg: number;
  readonly storeyM: number;
  readonly solid: 'ellipsoid' | 'cylinder';
  readonly transmissionLeafOn: number;
  readonly transmissionLeafOff: number;
  readonly leafOn: string;
  readonly leafOff: string;
}

export interface ShadeResult {
  readonly facades: readonly Facade[];
  readonly trees: readonly ShadeTree[]; // those that shade any facade, most summer shade first
  readonly findings: readonly Finding[];
  readonly settings: ShadeSettings;
  /** The place for which the sun was computed: that of the first building. */
  readonly lonLat: readonly [number, number] | null;
}
