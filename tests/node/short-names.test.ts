// Names of at most 10 characters: a person still tells which rule or design option a column is of, and which figure it is.
import { expect, test } from 'vitest';
import { shortNames } from '../../src/node/write/short-names.js';

test('what further rules and design options say stays apart, with the figure at the end', () => {
  const names = [
    'rb_verdict',
    'rb_as4970-2009_zone_radius_m',
    'rb_as4970-2009_overlap_pct',
    'rb_as4970-2009_verdict',
    'rb_as4970-2009_reasons',
    'rb_option_B_verdict',
    'rb_option_B_consequence',
    'rb_zone_radius_m',
    'rb_overlap_pct',
  ].map((name) => ({ name, own: false }));
  expect(shortNames(names, 'rb_')).toEqual([
    'rb_verdict',
    'as49702_zr',
    'as49702_ov',
    'as49702_vd',
    'as49702_rs',
    'optionB_vd',
    'optionB_cq',
    'zone_rad_m',
    'ovl_pct',
  ]);
});
