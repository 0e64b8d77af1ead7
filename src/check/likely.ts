// Fields that are probably meant. In: a layer and its role; out: contract field -> source field, for a person to agree to.
// Terms: likely = by its name (a usual one, or a contract name that a shapefile has cut to 10 letters); nothing is mapped
// automatically.

import type { Layer, LayerRole, LengthUnit } from '../model/index.js';
import { optionName } from './field-errors.js';
import { plainName, unitOfName } from './field-names.js';
import { DRAWN_FIELDS, type FieldSpec, LIMB_FIELDS, LOT_FIELDS, TREE_FIELDS, WORKS_FIELDS } from './field-table.js';
import { canonicalOf } from './fields.js';
import { isLabel } from './labels.js';
import { stemSeries } from './stem-columns.js';
import { WordReader } from './values.js';
import { DISPOSITION_TABLE, KIND_TABLE, type Words, type WordTable, wordKey, wordsOf } from './words/index.js';

export interface LikelyField {
  /** As `--field` takes it: `dbh`, `works.depth`. */
  readonly field: string;
  readonly source: string;
  /** Whether the field is a length, and the unit that the source's name says. */
  readonly length: 'diameter' | 'length' | null;
  readonly unit: LengthUnit | null;
}

type Names = Readonly<Record<string, RegExp>>;

/** Usual names of a field, compared without units, signs and capitals (common practice, no source). */
const TREE_NAMES: Names = {
  dbh: /^(diam(eter)?|dia|trunk(_dia(m(eter)?)?)?|calip(er)?|dbh.*|bhd)$/,
  girth: /^(gbh|cbh|circ(umf(erence)?)?)$/,
  species: /^(spp|sp|botanical(_na(me)?)?|scientific.*|sci_?name|latin(_name)?|taxon)$/,
  common_name: /^(common|comm_?name|tree_?name)$/,
  tag: /^(tree_?(no|num|nr|number|id|tag)|tag_?(no|num|nr|number|id))$/,
  height: /^(ht|hgt|(tree|total)_?(ht|hgt|height))$/,
  crown_radius: /^(crown_?r(ad)?|canopy_?r(ad(ius)?)?|drip_?line(_?r(ad(ius)?)?)?)$/,
  crown_spread: /^(spread|(crown|canopy|drip_?line)_?(spread|width|dia(m(eter)?)?)|kronen_?(durchmesser|breite))$/,
  condition: /^(cond|health)$/,
  disposition: /^(status|action|fate|proposal|recommend.*|keep_?remove)$/,
  remarks: /^(notes?|comments?|memo)$/,
};
const WORKS_NAMES: Names = {
  kind: /^(type|class|category|works_?type|feat_?type|layer)$/,
  depth: /^(dep|thick(ness)?|cut_?depth|excav.*)$/,
  width: /^(wid|wdth|trench_?w(idth)?)$/,
};
const LOT_NAMES: Names = { id: /^(lot|parcel|apn|pin|plot|tax_?lot|(lot|parcel|plot)_?(no|num|nr|number|id))$/ };
const DRAWN_NAMES: Names = { tree: /^tree_?(no|num|nr|number|tag)$/ };

interface Table {
  readonly fields: Readonly<Record<string, FieldSpec>>;
  readonly names: Names;
}
const DRAWN: Table = { fields: DRAWN_FIELDS, names: DRAWN_NAMES };
const WORKS: Table = { fields: WORKS_FIELDS, names: WORKS_NAMES };
const TABLES: Readonly<Record<LayerRole, Table>> = {
  trees: { fields: TREE_FIELDS, names: TREE_NAMES },
  works: WORKS,
  existing: WORKS,
  lots: { fields: LOT_FIELDS, names: LOT_NAMES },
  zones: DRAWN,
  crowns: DRAWN,
  limbs: { fields: LIMB_FIELDS, names: {} },
  grades: { fields: {}, names: {} },
};

/** Fields that take a few words only: a column is likely when it holds them. */
const WORDS: Readonly<Record<string, Words>> = {
  disposition: withAsked(DISPOSITION_TABLE),
  kind: wordsOf(KIND_TABLE),
};

/** Single letters are a sign of the column too: a column of R, X and K is hardly anything else. */
function withAsked(table: WordTable): Words {
  return { ...wordsOf(table), ...Object.fromEntries(table.asked.map((sign) => [wordKey(sign), 0])) };
}

/** Sources for the contract fields that the layer does not have by name. */
export function likelyFields(layer: Layer, role: LayerRole): LikelyField[] {
  const { fields, names } = TABLES[role];
  const taken = new Set<string>(layer.fields.flatMap((name) => canonicalOf(name, fields)?.field ?? []));
  const found: LikelyField[] = [];
  const series = role === 'trees' && !taken.has('stems') ? stemSeries(layer.fields, 'likely') : [];
  if (series.length > 0) {
    // Columns that are certainly stems are read without asking.
    if (stemSeries(layer.fields, 'sure').length === 0) {
      const unit = unitOfName(series[0]!) ?? null;
      found.push({ field: 'stems', source: series.join(','), length: 'diameter', unit });
    }
    taken.add('stems').add('dbh');
  }
  for (const source of layer.fields) {
    if (canonicalOf(source, fields) !== undefined || series.includes(source)) continue;
    if (role === 'trees' && isLabel(layer, source)) continue;
    const unit = unitOfName(source) ?? null;
    const field = cutName(source, unit, fields) ?? usualName(source, unit, names);
    if (field === undefined || taken.has(field) || !holdsWords(layer, source, WORDS[field])) continue;
    taken.add(field);
    const length = fields[field]?.unit ?? null;
    found.push({ field: optionName(role, field), source, length, unit: length === null ? null : unit });
  }
  return found;
}

/** The name without its unit: crown_r_ft is crown_r. */
function bare(source: string, unit: LengthUnit | null): string {
  const plain = plainName(source);
  return unit === null ? plain : plain.slice(0, plain.lastIndexOf('_'));
}

/** The one contract field that begins with a name of six letters or more. */
function cutName(source: string, unit: LengthUnit | null, fields: Table['fields']): string | undefined {
  const name = bare(source, unit);
  if (name.length < 6) return undefined;
  const matching = Object.keys(fields).filter((field) => field.startsWith(name) && field !== name);
  return matching.length === 1 ? matching[0] : undefined;
}

function usualName(source: string, unit: LengthUnit | null, names: Names): string | undefined {
  const name = bare(source, unit);
  return Object.keys(names).find((field) => names[field]?.test(name));
}

const SAMPLE = 500;

/** Whether at least half of a column's first words are ones that the field takes. */
function holdsWords(layer: Layer, source: string, words: Words | undefined): boolean {
  if (words === undefined) return true;
  const reader = new WordReader(words);
  let given = 0;
  let known = 0;
  for (let f = 0; f < Math.min(layer.count, SAMPLE); f++) {
    const code = reader.read(layer.value(f, source));
    if (code !== -1) given++;
    if (code >= 0) known++;
  }
  return known > 0 && known * 2 >= given;
}
