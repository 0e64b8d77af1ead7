// The demo's files: in: trees, works and lots in site feet; out: name -> bytes, the same bytes every run.
// Terms: stamp = the words "invented data" that every file and every feature carries.
// The survey goes out twice, as CSV and as a shapefile, so that both can be tried on the same trees.
import { demoLimbs } from './demo-limbs.mjs';
import { demoPacket } from './demo-packet.mjs';
import { demoRule } from './demo-rule.mjs';
import { LOTS, TRACT, toGrid, toLonLat } from './demo-site.mjs';
import { demoExisting, demoZones } from './demo-today.mjs';
import { demoOptionB } from './demo-works.mjs';
import { DEMO_WORTH, WORTH_COLUMNS } from './demo-worth.mjs';
import { anticlockwise } from './planar.mjs';
import { writeShapefile, zipShapefile } from './shapefile-writer.mjs';

const STAMP = 'invented data';

const PRJ =
  'PROJCS["NAD_1983_HARN_StatePlane_Oregon_North_FIPS_3601_Feet_Intl",' +
  'GEOGCS["GCS_North_American_1983_HARN",DATUM["D_North_American_1983_HARN",' +
  'SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],' +
  'PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",8202099.738],PARAMETER["False_Northing",0.0],' +
  'PARAMETER["Central_Meridian",-120.5],PARAMETER["Standard_Parallel_1",44.3333333333333],' +
  'PARAMETER["Standard_Parallel_2",46.0],PARAMETER["Latitude_Of_Origin",43.6666666666667],UNIT["Foot",0.3048]]';

// The survey's fields: name in the CSV, name in the shapefile (at most 10 characters), dBASE type, width, decimals.
const FIELDS = [
  ['id', 'id', 'C', 8],
  ['tag', 'tag', 'C', 8],
  ['species', 'species', 'C', 40],
  ['common_name', 'common_nam', 'C', 32],
  ['dbh_in', 'dbh_in', 'N', 7, 1],
  ['stems_in', 'stems_in', 'C', 24],
  ['girth_in', 'girth_in', 'N', 7, 1],
  ['base_dia_in', 'base_d_in', 'N', 7, 1],
  ['crown_radius_ft', 'crown_r_ft', 'N', 6, 1],
  ['crown_n_ft', 'crown_n_ft', 'N', 6, 1],
  ['crown_e_ft', 'crown_e_ft', 'N', 6, 1],
  ['crown_s_ft', 'crown_s_ft', 'N', 6, 1],
  ['crown_w_ft', 'crown_w_ft', 'N', 6, 1],
  ['height_ft', 'height_ft', 'N', 5, 0],
  ['crown_base_ft', 'crown_b_ft', 'N', 5, 0],
  ['form', 'form', 'C', 12],
  ['age', 'age', 'C', 12],
  ['tolerance', 'tolerance', 'C', 10],
  ['condition', 'condition', 'C', 10],
  ['disposition', 'dispositio', 'C', 12],
  ['off_site', 'off_site', 'C', 4],
  ['protected', 'protected', 'C', 4],
  ['veteran', 'veteran', 'C', 4],
  ['accuracy_ft', 'accur_ft', 'N', 5, 1],
  ['surveyed', 'surveyed', 'D', 8],
  ['surveyor', 'surveyor', 'C', 20],
  ['remarks', 'remarks', 'C', 100],
  ['source', 'source', 'C', 16],
];

/** Every file of the demo: name -> text or bytes. */
export function demoFiles(trees, works) {
  const rows = trees.map((t) => ({ ...t, source: STAMP, grid: toGrid(t.at).map((v) => Number(v.toFixed(3))) }));
  return {
    'survey.csv': csv(rows),
    'survey.zip': shapefile(rows),
    'works.geojson': collection('proposed works', works.map(worksFeature)),
    'option-b.geojson': collection('lot 9, design option B', demoOptionB().map(worksFeature)),
    'existing.geojson': collection('hard ground of today', demoExisting().map(worksFeature)),
    'zones.geojson': collection('zones drawn by an arborist', demoZones(trees).map(zoneFeature)),
    'town.json': `${JSON.stringify(demoRule(), null, 2)}\n`,
    'packet.json': `${JSON.stringify(demoPacket(), null, 2)}\n`,
    'lots.geojson': collection('lots and open tract', [
      ...LOTS.map((ring, i) => lotFeature(`Lot ${i + 1}`, ring)),
      lotFeature('Tract A', TRACT),
    ]),
    'limbs.csv': limbs(demoLimbs(trees)),
    'README.md': readme(trees.length, works.length),
  };
}

function csv(rows) {
  const head = ['id', 'easting', 'northing', ...FIELDS.slice(1).map((f) => f[0]), ...WORTH_COLUMNS];
  const lines = rows.map((row) => {
    const [id, ...rest] = FIELDS.map(([name]) => csvCell(row[name]));
    const looked = WORTH_COLUMNS.map((name) => csvCell(DEMO_WORTH[row.id]?.[name]));
    return [id, row.grid[0].toFixed(3), row.grid[1].toFixed(3), ...rest, ...looked].join(',');
  });
  return `${[head.join(','), ...lines].join('\n')}\n`;
}

function limbs(rows) {
  const names = Object.keys(rows[0]);
  const lines = rows.map((row) => [...names.map((name) => csvCell(row[name])), STAMP].join(','));
  return `${[[...names, 'source'].join(','), ...lines].join('\n')}\n`;
}

function csvCell(value) {
  if (value === null || value === undefined) return '';
  const text = String(value);
  return /[",\n;]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

function shapefile(rows) {
  const parts = writeShapefile({
    type: 'point',
    prj: PRJ,
    cpg: 'UTF-8',
    fields: FIELDS.map(([, name, type, length, decimals]) => ({
      name,
      type,
      length,
      ...(type === 'N' ? { decimals } : {}),
    })),
    features: rows.map((row) => ({
      geometry: { type: 'Point', coordinates: row.grid },
      properties: Object.fromEntries(FIELDS.map(([from, to]) => [to, row[from]])),
    })),
  });
  return zipShapefile('trees', parts);
}

function worksFeature(work) {
  const geometry = work.ring
    ? { type: 'Polygon', coordinates: [closed(work.ring)] }
    : { type: 'LineString', coordinates: work.line.map((p) => toLonLat(toGrid(p))) };
  const { id, kind, remarks, depth_ft, width_ft, height_ft, temporary, option } = work;
  return feature({ id, kind, remarks, depth_ft, width_ft, height_ft, temporary, option, source: STAMP }, geometry);
}

function zoneFeature({ tree, remarks, ring }) {
  return feature({ tree, remarks, source: STAMP }, { type: 'Polygon', coordinates: [closed(ring)] });
}

function lotFeature(id, ring) {
  return feature({ id, plat: 'Alder Bench', source: STAMP }, { type: 'Polygon', coordinates: [closed(ring)] });
}

function closed(ring) {
  const shell = anticlockwise(ring).map((p) => toLonLat(toGrid(p)));
  return [...shell, shell[0]];
}

function feature(properties, geometry) {
  return { type: 'Feature', properties, geometry }; // undefined measures fall away in JSON
}

/** One feature a line, so that a change reads well. */
function collection(title, features) {
  const head = JSON.stringify({ type: 'FeatureCollection', title: `Alder Bench: ${title}`, source: STAMP }).slice(
    0,
    -1,
  );
  return `${head},"features":[\n${features.map((f) => JSON.stringify(f)).join(',\n')}\n]}\n`;
}

function readme(treeCount, worksCount) {
  const renamed = FIELDS.filter(([from, to]) => from !== to);
  const options = renamed.map(([from, to]) => `--field ${from.replace(/_(in|ft)$/, '')}=${to}`);
  return `# Alder Bench: invented data

A subdivision of 14 lots that does not exist: no place, person or firm is meant, and the coordinates are only somewhere
to put it. Every feature carries \`source\` = \`invented data\`. Written by \`node scripts/make-demo.mjs\` from a fixed
seed: the same bytes every run.

| file | what it is | coordinates |
| --- | --- | --- |
| \`survey.csv\` | ${treeCount} surveyed trees, contract field names; for eight of them what an arborist looked at | EPSG:2913 (Oregon North, international feet): give \`--crs EPSG:2913\` |
| \`survey.zip\` | the same trees as a zipped shapefile | the same, stated by its .prj |
| \`works.geojson\` | ${worksCount} proposed works: houses, garages, drives, street, trenches, a bore with 3 ft of cover, a deep fill and a shallow one, a cut; temporary: a yard, a way to it, a washout; house and drive of lot 9 are design option A | lon/lat (RFC 7946) |
| \`option-b.geojson\` | house and drive of lot 9 as design option B, farther from the big oak: give \`--option B=option-b.geojson\` | lon/lat (RFC 7946) |
| \`existing.geojson\` | what is hard today: an old farm drive, the slab of a barn, the shoulder of the lane | lon/lat (RFC 7946) |
| \`zones.geojson\` | the zone of the big oak as an arborist drew it | lon/lat (RFC 7946), joined by \`tree\` |
| \`town.json\` | the tree code of an invented town, as a rule file: terms by diameter, crown, height and table, classes, protected trees, rings by depth, bores and no-dig paving that do not count, an allowance | none |
| \`packet.json\` | who hands in the plans, for where, whom to call: give \`--packet packet.json\` | none |
| \`lots.geojson\` | 14 lots and the open tract behind them | lon/lat (RFC 7946) |
| \`notes.csv\` | one lot, one tree, taken by tape from four stakes: ties, a baseline, a house from one stake, drive, trench and fill; one reading is a foot wrong (docs/field-notes.md); written by hand | none: a system of its own, in feet |
| \`limbs.csv\` | limbs of the big oak, bearings from magnetic north (declination 15 degrees east, invented) | none: joined by \`tree\` |

A shapefile's field names have at most 10 characters, so some differ from the CSV's. With \`survey.zip\` add:

\`\`\`
${options.join(' \\\n')}
\`\`\`

Put there to be found: the big oak of 54 in on lot 9, its crown measured on four sides, in the way of a house; a trunk inside the house of lot 3; a trunk on the corner that
lots 3 and 4 share; six trees listed by their stems and three by girth; one without a diameter; one id given twice and
one place booked twice; four trees off the site, one of them from a survey of 2023; one remark with accents.
Tolerance of root loss, age and condition are invented like the rest.
`;
}
