// The contract's fields as tables: in: nothing; out: canonical field -> kind of value -> unit group.
// Terms: unit group = which option gives the unit when the field's name does not: `diameter` has one of its own,
// any other length names its unit as `field=SOURCE:unit`.

import type { WorthField } from '../model/index.js';

export type ValueKind = 'text' | 'word' | 'flag' | 'date' | 'length' | 'lengths';
export type UnitGroup = 'diameter' | 'length';

export interface FieldSpec {
  readonly value: ValueKind;
  readonly unit?: UnitGroup;
}

const TEXT = { value: 'text' } as const;
const WORD = { value: 'word' } as const;
const FLAG = { value: 'flag' } as const;
const LENGTH = { value: 'length', unit: 'length' } as const;
const DIAMETER = { value: 'length', unit: 'diameter' } as const;

export type TreeField =
  | 'id'
  | 'tag'
  | 'species'
  | 'common_name'
  | 'disposition'
  | 'dbh'
  | 'stems'
  | 'girth'
  | 'base_dia'
  | 'estimated'
  | 'form'
  | 'crown_radius'
  | 'crown_spread'
  | 'crown_n'
  | 'crown_e'
  | 'crown_s'
  | 'crown_w'
  | 'height'
  | 'crown_base'
  | 'age'
  | 'tolerance'
  | 'condition'
  | 'category'
  | 'remaining_years'
  | 'reason'
  | 'protected'
  | 'off_site'
  | 'veteran'
  | 'zone_radius'
  | 'accuracy'
  | 'surveyed'
  | 'surveyor'
  | 'remarks'
  | 'age_years'
  | 'life_span'
  | 'soil'
  | WorthField
  | LeafField;

/** What only the shade of a tree asks for. */
export type LeafField = 'evergreen' | 'leaf_on' | 'leaf_off' | 'transmission_leaf_on' | 'transmission_leaf_off';

export type WorksField = 'id' | 'kind' | 'depth' | 'width' | 'height' | 'option' | 'no_dig' | 'temporary';
export type LotField = 'id';
export type DrawnField = 'tree' | 'tree_id' | 'id' | 'tag';

export const TREE_FIELDS: Readonly<Record<TreeField, FieldSpec>> = {
  id: TEXT,
  tag: TEXT,
  species: TEXT,
  common_name: TEXT,
  disposition: WORD,
  dbh: DIAMETER,
  stems: { value: 'lengths', unit: 'diameter' },
  girth: DIAMETER,
  base_dia: DIAMETER,
  estimated: FLAG,
  form: TEXT,
  crown_radius: LENGTH,
  crown_spread: LENGTH,
  crown_n: LENGTH,
  crown_e: LENGTH,
  crown_s: LENGTH,
  crown_w: LENGTH,
  height: LENGTH,
  crown_base: LENGTH,
  age: WORD,
  tolerance: WORD,
  condition: TEXT,
  category: TEXT,
  remaining_years: TEXT,
  reason: TEXT,
  protected: FLAG,
  off_site: FLAG,
  veteran: FLAG,
  zone_radius: LENGTH,
  accuracy: LENGTH,
  surveyed: { value: 'date' },
  surveyor: TEXT,
  remarks: TEXT,
  age_years: TEXT,
  life_span: TEXT,
  soil: WORD,
  vigour: WORD,
  crown_density_pct: TEXT,
  dieback_pct: TEXT,
  live_buds: WORD,
  sounding: WORD,
  cavities: WORD,
  decay: WORD,
  fungi: WORD,
  root_flare: WORD,
  root_disease: WORD,
  codominant: WORD,
  included_bark: WORD,
  lean_deg: TEXT,
  dead_wood: WORD,
  pests: WORD,
  past_damage: WORD,
  irremediable: WORD,
  strikes: TEXT,
  evergreen: TEXT,
  leaf_on: TEXT,
  leaf_off: TEXT,
  transmission_leaf_on: TEXT,
  transmission_leaf_off: TEXT,
};

export const WORKS_FIELDS: Readonly<Record<WorksField, FieldSpec>> = {
  id: TEXT,
  kind: WORD,
  depth: LENGTH,
  width: LENGTH,
  height: LENGTH,
  option: TEXT,
  no_dig: FLAG,
  temporary: FLAG,
};

export const LOT_FIELDS: Readonly<Record<LotField, FieldSpec>> = { id: TEXT };

/** Fields of a drawn zone or crown that name its tree, in the order they are asked. */
export type LimbField =
  | 'id'
  | 'tree'
  | 'bearing'
  | 'bearing_ref'
  | 'declination'
  | 'diameter'
  | 'height'
  | 'length'
  | 'crown_share';

export const LIMB_FIELDS: Readonly<Record<LimbField, FieldSpec>> = {
  id: TEXT,
  tree: TEXT,
  bearing: TEXT,
  bearing_ref: WORD,
  declination: TEXT,
  diameter: LENGTH,
  height: LENGTH,
  length: LENGTH,
  crown_share: TEXT,
};

export const DRAWN_FIELDS: Readonly<Record<DrawnField, FieldSpec>> = { tree: TEXT, tree_id: TEXT, id: TEXT, tag: TEXT };
