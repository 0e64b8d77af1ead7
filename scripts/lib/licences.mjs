// Licences of what an installation holds. In: package-lock.json as an object; out: the text of docs/licences.md.
// Terms: runtime = installed with the package, directly or by another; peer = installed by the user where it is wanted.

/** What packages state in no standard form, read in their files by hand. */
const BY_HAND = {
  'geojson-validation': [
    'LGPL-3.0',
    'says "LGPL-3.0" in its package.json without "only" or "or later"; used as it is, not bundled',
  ],
  suncalc: ['BSD-2-Clause', 'states it in its LICENSE file and in no standard form'],
  arc: [
    'BSD (2 clauses) and MIT',
    'LICENSE.md, and GDAL-LICENSE.md for what comes from GDAL; no standard form in its package.json',
  ],
};

/** Why each direct dependency is kept. A new one needs its reason here, or the page is not written. */
const WHY = {
  '@tarikjabiri/dxf': 'writes DXF drawings; loaded when one is asked for',
  '@types/geojson': 'the types of what `toGeoJSON` gives: part of the public API',
  'cli-progress': 'the progress bar of the command line; loaded on a terminal after a second of work',
  'cli-table3': 'the table of `rootberth check`: wraps cells by the width of their characters',
  'clipper2-ts': 'clips and offsets the shapes that are drawn; figures do not come from it',
  commander: 'arguments of the command line',
  delaunator: 'triangulates spot heights; 3 kB, on the exact predicates that are here already',
  'fast-xml-parser': 'well-formed XML of KML and LandXML, with entities kept out',
  flatbush: 'the index of boxes: 4.5 million boxes a second, static, 3 kB',
  'geojson-validation': 'the shape of each GeoJSON feature',
  geotiff: 'datum shift grids in GeoTIFF; loaded when one is given',
  'hyparquet-writer': 'writes GeoParquet; loaded when it is asked for',
  picocolors: 'colours of the terminal, with its rules for when there are none; 3 kB',
  proj4: 'every map projection',
  'robust-predicates': 'the sign of a turn, exact',
  shpjs: 'records of .shp and .dbf',
  suncalc: 'the place of the sun',
  valibot: 'the schemas of rules, jobs and manifests; 12 ms to load',
  yauzl: 'zip archives, entry by entry and within bounds',
};

/** Every package that is reached from the runtime dependencies, in order of name. */
function runtimePackages(lock) {
  const found = new Map();
  const visit = (name, from) => {
    const places = from === '' ? [] : [`${from}/node_modules/${name}`];
    for (let at = from; at.includes('/node_modules/'); ) {
      at = at.slice(0, at.lastIndexOf('/node_modules/'));
      places.push(`${at}/node_modules/${name}`);
    }
    const place = [...places, `node_modules/${name}`].find((one) => lock.packages[one] !== undefined);
    if (place === undefined || found.has(place)) return;
    const about = lock.packages[place];
    found.set(place, { name, version: about.version, licence: about.license });
    for (const one of Object.keys({ ...about.dependencies, ...about.optionalDependencies })) visit(one, place);
  };
  for (const name of Object.keys(lock.packages[''].dependencies)) visit(name, '');
  return [...found.values()].sort((a, b) => (a.name === b.name ? 0 : a.name < b.name ? -1 : 1));
}

/**
 * The page; a package whose licence is not known is an error.
 *
 * @param {{ packages: Record<string, Record<string, unknown>> }} lock
 */
export function licencesPage(lock) {
  const own = lock.packages[''];
  const all = runtimePackages(lock);
  const rows = all.map(({ name, version, licence }) => {
    const [stated, note = ''] = BY_HAND[name] ?? [licence];
    if (stated === undefined)
      throw new Error(`${name} ${version} states no licence: read its files and add it to BY_HAND`);
    return `| ${own.dependencies[name] === undefined ? name : `**${name}**`} | ${version} | ${stated} | ${note} |`;
  });
  const reasons = Object.keys(own.dependencies).map((name) => {
    if (WHY[name] === undefined) throw new Error(`${name} has no reason: state in WHY what it is for, or remove it`);
    return `| ${name} | ${WHY[name]} |`;
  });
  const kinds = new Map();
  for (const { name, licence } of all) {
    const stated = BY_HAND[name]?.[0] ?? licence;
    kinds.set(stated, (kinds.get(stated) ?? 0) + 1);
  }
  const sums = [...kinds].sort(([a], [b]) => (a < b ? -1 : 1)).map(([licence, count]) => `${licence} (${count})`);
  const peers = Object.entries(own.peerDependencies ?? {}).map(([name, range]) => {
    const about = lock.packages[`node_modules/${name}`];
    return `| ${name} | ${range} | ${BY_HAND[name]?.[0] ?? about?.license ?? 'see its files'} |`;
  });
  return `# Licences

rootberth itself is under the MIT licence (LICENSE). What is installed with it, made by \`node scripts/licences.mjs\` from
package-lock.json; in bold what it depends on itself. None of it is copied into the package. This page is no legal advice.

${sums.join(', ')}.

| package | version | licence | note |
|---|---|---|---|
${rows.join('\n')}

Why each direct dependency is there:

| package | reason |
|---|---|
${reasons.join('\n')}

Installed by you where you want the format it is for:

| package | version | licence |
|---|---|---|
${peers.join('\n')}
`;
}
