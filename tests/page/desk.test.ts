// The desk without a browser: what a change leaves of a layer that came from a table.
import { describe, expect, it } from 'vitest';
import { Desk, NOTHING } from '../../src/page/desk.js';
import { sourceOf } from '../../src/page/files.js';
import type { Choices } from '../../src/page/job.js';

const CHOICES: Choices = {
  crs: 'local:ft',
  rule: 'foot-per-inch',
  ruleFile: null,
  limit: undefined,
  limitText: '',
  units: 'us',
  dbhUnit: '',
  kind: 'building',
};

describe('a survey from a table that is changed', () => {
  it('moves a tree on the ground, keeps the others, and no column goes on saying where it was', async () => {
    const bytes = new TextEncoder().encode('id,easting,northing,dbh_in\nT1,10,20,24\nT2,40,20,12\n');
    const desk = new Desk(() => CHOICES);
    desk.reset({ ...NOTHING, trees: await sourceOf('survey.csv', bytes) });
    await desk.assess();
    const before = desk.sources;
    await desk.move(
      [{ role: 'trees', layer: 0, feature: 0 }],
      { east: 3.048, north: 0, turnDeg: 0 },
      'moving the tree',
    );
    const { trees } = desk.sources;
    expect(trees!.name).toBe('survey-edited.geojson');
    const xy = [...trees!.layer.geometry.xy].map((v) => Math.round(v * 1e4) / 1e4);
    expect(xy).toEqual([20, 20, 40, 20]);
    expect([0, 1].map((row) => trees!.layer.properties(row))).toEqual([
      { id: 'T1', dbh_in: 24 },
      { id: 'T2', dbh_in: 12 },
    ]);
    expect((await desk.assess())!.trees.map(({ dbhM }) => Math.round(dbhM! * 1e4) / 1e4)).toEqual([0.6096, 0.3048]);
    expect(desk.undo()).toBe('moving the tree');
    expect(desk.sources).toBe(before);
  });
});
