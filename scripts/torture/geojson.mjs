// GeoJSON files as they should not be (RFC 7946). In: nothing; out: cases: name, content, role, options.
// Terms: good = two sound trees near 122.5 W, 45.5 N; shapes = geometries by type, one level of arrays after the other.

/** @param {number} dx @param {number} dy */
export const at = (dx, dy) => [-122.5 + dx / 1e4, 45.5 + dy / 1e4];
/** @param {unknown} geometry @param {unknown} [properties] @param {object} [more] */
export const feature = (geometry, properties = { dbh_in: 20, tag: 'T1' }, more = {}) => ({
  type: 'Feature',
  ...more,
  geometry,
  properties,
});
/** @param {unknown[]} features @param {object} [more] */
export const collection = (features, more = {}) => ({ type: 'FeatureCollection', ...more, features });
/** @param {number[]} coordinates */
export const point = (coordinates) => ({ type: 'Point', coordinates });
const good = feature(point(at(0, 0)));
const second = feature(point(at(3, 1)), { dbh_in: 12, tag: 'T2' });
const json = JSON.stringify;
/** @param {number} x @param {number} y @param {number} s */
const ring = (x, y, s) => [at(x, y), at(x + s, y), at(x + s, y + s), at(x, y + s), at(x, y)];

export function geojsonCases() {
  return [...documents(), ...features(), ...geometries(), ...rings(), ...treeFields(), ...worksFields(), ...systems()];
}

function documents() {
  const text = json(collection([good, second]));
  const utf16 = (/** @type {boolean} */ big) => {
    const out = Buffer.from(`\ufeff${text}`, 'utf16le');
    return new Uint8Array(big ? out.swap16() : out);
  };
  /** @type {Record<string, string | Uint8Array>} */
  const list = {
    empty: '',
    blank: ' \n\t\n',
    'bom-only': '\ufeff',
    'with-bom': `\ufeff${text}`,
    null: 'null',
    true: 'true',
    number: '42',
    string: '"trees"',
    'empty-array': '[]',
    'array-of-features': json([good, second]),
    'array-of-numbers': '[1,2]',
    'empty-object': '{}',
    'cut-in-half': text.slice(0, text.length >> 1),
    'cut-last-byte': text.slice(0, -1),
    'cut-in-number': text.slice(0, text.indexOf('45.5') + 3),
    'cut-in-string': text.slice(0, text.indexOf('"T1') + 2),
    'trailing-comma-features': text.replace(/\]\}$/, ',]}'),
    'trailing-comma-position': text.replace('45.5]', '45.5,]'),
    'missing-comma': text.replace('},{', '}{'),
    'missing-colon': text.replace('"features":', '"features"'),
    'single-quotes': text.replaceAll('"', "'"),
    'unquoted-keys': text.replace('"type"', 'type'),
    'comment-line': `// trees\n${text}`,
    'comment-block': text.replace('"features"', '/* all */"features"'),
    'literal-nan': text.replace('-122.5', 'NaN'),
    'literal-infinity': text.replace('-122.5', '-Infinity'),
    'literal-not-defined': text.replace('"dbh_in":20', '"dbh_in":undefined'),
    'number-plus': text.replace('-122.5', '+122.5'),
    'number-leading-zero': text.replace('45.5', '045.5'),
    'number-bare-point': text.replace('45.5]', '45.]'),
    'number-hex': text.replace('"dbh_in":20', '"dbh_in":0x14'),
    'number-overflow': text.replace('-122.5', '-1e999'),
    'number-underflow': text.replace('"dbh_in":20', '"dbh_in":1e-999'),
    'number-long': text.replace('45.5]', `45.5${'0'.repeat(300)}1]`),
    'two-documents': text + text,
    'two-documents-lines': `${text}\n${text}`,
    'text-behind': `${text} and more`,
    'bracket-behind': `${text}}`,
    'utf16-le': utf16(false),
    'utf16-be': utf16(true),
    'latin-1': Uint8Array.from(text.replace('"T1"', '"Ch\u00eane"'), (c) => c.charCodeAt(0)),
    'bad-utf8': Uint8Array.from(text.replace('"T1"', '"T\u00ff\u00fe\u0080"'), (c) => c.charCodeAt(0)),
    'newline-in-string': text.replace('"T1"', '"T\n1"'),
    'control-in-string': text.replace('"T1"', '"T\u00011"'),
    'bad-escape': text.replace('"T1"', '"T\\x31"'),
    'lone-surrogate': text.replace('"T1"', '"T\\ud800"'),
    'nul-bytes-behind': `${text}\0\0\0\0`,
    'deep-nesting': '['.repeat(20_000),
    'deep-geometry': text.replace('[-122.5,45.5]', `${'['.repeat(3000)}1${']'.repeat(3000)}`),
    'html-page': '<!DOCTYPE html><html><head><title>Sign in</title></head><body>Session expired</body></html>',
    'error-json': '{"error":{"code":400,"message":"Invalid URL"}}',
    'esri-json': '{"geometryType":"esriGeometryPoint","features":[{"attributes":{"DBH":20},"geometry":{"x":1,"y":2}}]}',
    topojson: '{"type":"Topology","objects":{},"arcs":[]}',
    'type-missing': json({ features: [good] }),
    'type-lower-case': json({ type: 'featurecollection', features: [good] }),
    'type-plural': json({ type: 'FeaturesCollection', features: [good] }),
    'type-number': json({ type: 7, features: [good] }),
    'type-proto': '{"type":"__proto__","features":[]}',
    'features-missing': json({ type: 'FeatureCollection' }),
    'features-null': json({ type: 'FeatureCollection', features: null }),
    'features-object': json({ type: 'FeatureCollection', features: { 0: good } }),
    'features-string': json({ type: 'FeatureCollection', features: 'none' }),
    'features-empty': json(collection([])),
    'features-first-of-two-keys': `{"type":"FeatureCollection","features":[],"features":[${json(good)}]}`,
    'features-before-type': `{"features":[${json(good)}],"type":"FeatureCollection"}`,
    'single-feature': json(good),
    'bare-point': json(point(at(0, 0))),
    'bare-collection': json({ type: 'GeometryCollection', geometries: [point(at(0, 0))] }),
    pretty: JSON.stringify(collection([good, second]), null, 4).replaceAll('\n', '\r\n'),
  };
  return Object.entries(list).map(([name, data]) => ({ name: `document-${name}.geojson`, data }));
}

function features() {
  const trees = (/** @type {unknown[]} */ ...list) => json(collection([good, ...list]));
  const p = point(at(5, 5));
  /** @type {Record<string, string>} */
  const list = {
    null: trees(null),
    number: trees(5),
    string: trees('tree'),
    array: trees([1, 2]),
    'empty-object': trees({}),
    'type-missing': trees({ geometry: p, properties: { dbh_in: 9 } }),
    'type-lower-case': trees({ type: 'feature', geometry: p, properties: { dbh_in: 9 } }),
    'bare-geometry': trees(p),
    'nested-collection': trees(collection([good])),
    'geometry-missing': trees({ type: 'Feature', properties: { dbh_in: 9 } }),
    'geometry-null': trees(feature(null, { dbh_in: 9 })),
    'geometry-array': trees(feature([1, 2], { dbh_in: 9 })),
    'geometry-string': trees(feature('POINT (1 2)', { dbh_in: 9 })),
    'geometry-number': trees(feature(9, { dbh_in: 9 })),
    'geometry-empty': trees(feature({}, { dbh_in: 9 })),
    'geometry-type-null': trees(feature({ type: null, coordinates: [1, 2] }, { dbh_in: 9 })),
    'geometry-type-unknown': trees(feature({ type: 'Circle', coordinates: [1, 2] }, { dbh_in: 9 })),
    'geometry-type-lower-case': trees(feature({ type: 'point', coordinates: [1, 2] }, { dbh_in: 9 })),
    'geometry-type-proto': trees(feature({ type: '__proto__', coordinates: [1, 2] }, { dbh_in: 9 })),
    'geometry-type-constructor': trees(feature({ type: 'constructor', coordinates: [1, 2] }, { dbh_in: 9 })),
    'geometry-collection': trees(feature({ type: 'GeometryCollection', geometries: [p] }, { dbh_in: 9 })),
    'geometry-collection-empty': trees(feature({ type: 'GeometryCollection', geometries: [] }, { dbh_in: 9 })),
    'geometry-two-keys': trees(feature(p)).replace(
      /"coordinates":\[-122.4995/,
      '"coordinates":[0,0],"coordinates":[-122.4995',
    ),
    'properties-missing': trees({ type: 'Feature', geometry: p }),
    'properties-null': trees(feature(p, null)),
    'properties-array': trees(feature(p, [1, 2])),
    'properties-string': trees(feature(p, 'dbh 20')),
    'properties-number': trees(feature(p, 7)),
    'properties-true': trees(feature(p, true)),
    'properties-proto': trees(feature(p)).replace(/"dbh_in":20(?=[\s\S]*$)/, '"__proto__":{"dbh_in":3},"dbh_in":20'),
    'properties-constructor': trees(feature(p, { dbh_in: 9, constructor: 'x', toString: 1, hasOwnProperty: null })),
    'properties-two-keys': trees(feature(p, { dbh_in: 9 })).replace('"dbh_in":9', '"dbh_in":1,"dbh_in":9'),
    'properties-nested': trees(feature(p, { dbh_in: 9, more: { deep: [1, { x: null }] } })),
    'properties-empty-key': trees(feature(p, { dbh_in: 9, '': 'nameless' })),
    'properties-own-prefix': trees(feature(p, { dbh_in: 9, rb_verdict: 'untouched', rb_role: 'zone', rb_id: 4 })),
    'properties-long': trees(feature(p, { dbh_in: 9, remarks: 'long '.repeat(2000) })),
    'properties-markup': trees(feature(p, { dbh_in: 9, remarks: '<script>alert(1)</script>', tag: '=1+1' })),
    'properties-terminal': trees(feature(p, { dbh_in: 9, tag: '\u001b[31mred\u0007' })),
    'id-null': trees(feature(p, { dbh_in: 9 }, { id: null })),
    'id-object': trees(feature(p, { dbh_in: 9 }, { id: { a: 1 } })),
    'id-true': trees(feature(p, { dbh_in: 9 }, { id: true })),
    'id-array': trees(feature(p, { dbh_in: 9 }, { id: [1] })),
    'id-empty': trees(feature(p, { dbh_in: 9 }, { id: '' })),
    'id-twice': json(
      collection([feature(p, { dbh_in: 9 }, { id: 5 }), feature(point(at(9, 9)), { dbh_in: 9 }, { id: 5 })]),
    ),
    'id-number-and-string': json(
      collection([feature(p, { dbh_in: 9 }, { id: 5 }), feature(point(at(9, 9)), { dbh_in: 9 }, { id: '5' })]),
    ),
    'position-zero': json(collection([good, second, feature(point([0, 0]), { dbh_in: 9 })])),
    'same-place': trees(feature(point(at(0, 0)), { dbh_in: 9 })),
  };
  return Object.entries(list).map(([name, data]) => ({ name: `feature-${name}.geojson`, data }));
}

/** One sound geometry of each type, and how deep its positions lie. */
const SHAPES = {
  Point: { coordinates: at(5, 5), depth: 0 },
  MultiPoint: { coordinates: [at(5, 5)], depth: 1 },
  LineString: { coordinates: [at(5, 5), at(6, 8)], depth: 1 },
  MultiLineString: { coordinates: [[at(5, 5), at(6, 8)]], depth: 2 },
  Polygon: { coordinates: [ring(5, 5, 3)], depth: 2 },
  MultiPolygon: { coordinates: [[ring(5, 5, 3)]], depth: 3 },
};

/** What stands in place of the first position. */
const POSITIONS = {
  empty: [],
  'one-number': [-122.5],
  'four-numbers': [...at(5, 5), 100, 7],
  'five-numbers': [...at(5, 5), 1, 2, 3],
  text: ['-122.5', '45.5'],
  null: [null, null],
  'height-null': [...at(5, 5), null],
  'height-text': [...at(5, 5), 'high'],
  booleans: [true, false],
  object: { lon: -122.5, lat: 45.5 },
  'lat-95': [-122.5, 95],
  'lon-200': [200, 45.5],
  swapped: [45.5, -122.5],
  zero: [0, 0],
  projected: [7650000, 680000],
  huge: [1e300, -1e300],
};

function geometries() {
  const cases = [];
  for (const [type, { coordinates, depth }] of Object.entries(SHAPES)) {
    const role = depth === 0 || type === 'MultiPoint' ? 'trees' : 'works';
    const own = role === 'trees' ? { dbh_in: 9 } : { kind: 'trench', width_ft: 3, depth_ft: 2 };
    const around =
      role === 'trees' ? good : feature({ type: 'Polygon', coordinates: [ring(0, 0, 2)] }, { kind: 'building' });
    const add = (/** @type {string} */ name, /** @type {unknown} */ c) => {
      const geometry = c === undefined ? { type } : { type, coordinates: c };
      const name2 = `geometry-${type.toLowerCase()}-${name}.geojson`;
      cases.push({ name: name2, role, data: json(collection([around, feature(geometry, own)])) });
    };
    add('sound', coordinates);
    add('missing', undefined);
    add('null', null);
    add('string', '1 2');
    add('number', 12);
    add('object', { 0: 1 });
    add('empty', []);
    add('too-deep', [coordinates]);
    if (depth > 0) add('too-shallow', /** @type {unknown[]} */ (coordinates)[0]);
    if (depth > 1) add('inner-empty', [[]]);
    if (depth > 1) add('inner-null', [null, .../** @type {unknown[]} */ (coordinates)]);
    for (const [name, position] of Object.entries(POSITIONS)) {
      const copy = JSON.parse(json(coordinates));
      if (depth === 0) add(`position-${name}`, position);
      else {
        let list = copy;
        for (let d = 1; d < depth; d++) list = list[0];
        list[0] = position;
        add(`position-${name}`, copy);
      }
    }
  }
  return cases;
}

function rings() {
  const sound = ring(0, 0, 4);
  /** @type {Record<string, unknown>} */
  const list = {
    open: [sound.slice(0, -1)],
    'bow-tie': [[at(0, 0), at(4, 4), at(4, 0), at(0, 4), at(0, 0)]],
    figure8: [[at(0, 0), at(2, 2), at(4, 0), at(4, 4), at(2, 2), at(0, 4), at(0, 0)]],
    spike: [[at(0, 0), at(4, 0), at(9, 0), at(4, 0), at(4, 4), at(0, 4), at(0, 0)]],
    'repeated-corner': [[at(0, 0), at(4, 0), at(4, 0), at(4, 0), at(4, 4), at(0, 4), at(0, 0)]],
    'no-area': [[at(0, 0), at(4, 0), at(8, 0), at(0, 0)]],
    'one-corner': [[at(0, 0)]],
    'two-corners': [[at(0, 0), at(4, 4), at(0, 0)]],
    'same-corner': [[at(0, 0), at(0, 0), at(0, 0), at(0, 0)]],
    clockwise: [[...sound].reverse()],
    hole: [sound, [...ring(1, 1, 2)].reverse()],
    'hole-outside': [sound, ring(9, 9, 2)],
    'hole-is-shell': [sound, sound],
    'hole-crosses': [sound, ring(3, 3, 4)],
    'hole-touches': [sound, [at(0, 2), at(1, 1), at(1, 3), at(0, 2)]],
    'hole-in-hole': [sound, ring(1, 1, 2), ring(1.5, 1.5, 1)],
    'hole-short': [sound, [at(1, 1), at(2, 2)]],
    'shell-short': [[at(1, 1), at(2, 2)], ring(0, 0, 4)],
    retraced: [[...sound, ...sound]],
    'whole-world': [
      [
        [-180, -90],
        [180, -90],
        [180, 90],
        [-180, 90],
        [-180, -90],
      ],
    ],
    antimeridian: [
      [
        [179.999, 0],
        [-179.999, 0],
        [-179.999, 0.001],
        [179.999, 0.001],
        [179.999, 0],
      ],
    ],
    'at-the-pole': [
      [
        [0, 89.9999],
        [90, 90],
        [180, 89.9999],
        [0, 89.9999],
      ],
    ],
    tiny: [ring(0, 0, 1e-6)],
  };
  const works = (/** @type {unknown} */ geometry) =>
    json(
      collection([
        feature({ type: 'Polygon', coordinates: [ring(9, 0, 2)] }, { kind: 'paving' }),
        feature(geometry, { kind: 'building' }),
      ]),
    );
  const cases = Object.entries(list).map(([name, coordinates]) => ({
    name: `ring-${name}.geojson`,
    role: 'works',
    data: works({ type: 'Polygon', coordinates }),
  }));
  const multi = {
    'shells-overlap': [[ring(0, 0, 4)], [ring(2, 2, 4)]],
    'shells-same': [[sound], [sound]],
    'shell-in-hole': [[sound, ring(1, 1, 2)], [ring(1.5, 1.5, 1)]],
  };
  for (const [name, coordinates] of Object.entries(multi)) {
    cases.push({ name: `ring-${name}.geojson`, role: 'works', data: works({ type: 'MultiPolygon', coordinates }) });
  }
  cases.push({
    name: 'ring-lot-open.geojson',
    role: 'lots',
    data: json(collection([feature({ type: 'Polygon', coordinates: [sound.slice(0, -1)] }, { id: 'L1' })])),
  });
  cases.push({
    name: 'ring-lot-line.geojson',
    role: 'lots',
    data: json(collection([feature({ type: 'LineString', coordinates: sound }, { id: 'L1' })])),
  });
  return cases;
}

function treeFields() {
  const p = point(at(5, 5));
  /** @type {Record<string, object>} */
  const list = {
    'dbh-null': { dbh_in: null },
    'dbh-blank': { dbh_in: '' },
    'dbh-words': { dbh_in: 'about 24' },
    'dbh-range': { dbh_in: '20-24' },
    'dbh-negative': { dbh_in: -5 },
    'dbh-zero': { dbh_in: 0 },
    'dbh-huge': { dbh_in: 1e9 },
    'dbh-absurd': { dbh_in: 565 },
    'dbh-tiny': { dbh_in: 0.1 },
    'dbh-with-unit': { dbh_in: '24"' },
    'dbh-decimal-comma': { dbh_in: '24,5' },
    'dbh-thousands': { dbh_in: '1,234' },
    'dbh-true': { dbh_in: true },
    'dbh-array': { dbh_in: [24] },
    'dbh-object': { dbh_in: { value: 24 } },
    'dbh-nan-text': { dbh_in: 'NaN' },
    'dbh-infinity-text': { dbh_in: 'Infinity' },
    'dbh-exponent': { dbh_in: '2.4e1' },
    'dbh-two-units': { dbh_in: 24, dbh_cm: 30 },
    'stems-list': { stems_in: '12;9;7' },
    'stems-words': { stems_in: 'multi' },
    'stems-hole': { stems_in: '12;;7' },
    'stems-negative': { stems_in: '12;-9' },
    'stems-conflict': { stems_in: '12;9', dbh_in: 40 },
    'girth-conflict': { girth_in: 20, dbh_in: 40 },
    'disposition-unknown': { dbh_in: 9, disposition: 'maybe' },
    'age-unknown': { dbh_in: 9, age: 'teenage' },
    'crown-negative': { dbh_in: 9, crown_radius_ft: -4 },
    'crown-words': { dbh_in: 9, crown_radius_ft: 'wide' },
    'height-huge': { dbh_in: 9, height_ft: 1e12 },
    'zone-radius-zero': { dbh_in: 9, zone_radius_ft: 0 },
    'zone-radius-given': { zone_radius_ft: 12 },
    'species-number': { dbh_in: 9, species: 7 },
    'species-object': { dbh_in: 9, species: { genus: 'Quercus' } },
  };
  const cases = Object.entries(list).map(([name, properties]) => ({
    name: `tree-${name}.geojson`,
    data: json(collection([good, feature(p, properties)])),
  }));
  const only = (/** @type {object} */ properties) => json(collection([feature(p, properties)]));
  return [
    ...cases,
    { name: 'tree-no-size-field.geojson', data: only({ tag: 'T1', DIAM: 20 }) },
    { name: 'tree-no-unit.geojson', data: only({ dbh: 20 }), options: { dbhUnit: null } },
    { name: 'tree-height-no-unit.geojson', data: only({ dbh_in: 20, height: 40 }) },
    { name: 'tree-field-not-there.geojson', data: only({ dbh_in: 20 }), options: { fields: { dbh: 'DIAMETER' } } },
    { name: 'tree-no-properties.geojson', data: json(collection([{ type: 'Feature', geometry: p }])) },
  ];
}

function worksFields() {
  const area = { type: 'Polygon', coordinates: [ring(0, 0, 4)] };
  const line = { type: 'LineString', coordinates: [at(0, 0), at(5, 5)] };
  /** @type {Record<string, unknown[]>} */
  const list = {
    'kind-missing': [area, {}],
    'kind-unknown': [area, { kind: 'pergola' }],
    'kind-number': [area, { kind: 3 }],
    'kind-synonym': [area, { kind: 'Driveway' }],
    'line-without-width': [line, { kind: 'trench' }],
    'line-width-zero': [line, { kind: 'trench', width_ft: 0 }],
    'line-width-negative': [line, { kind: 'trench', width_ft: -3 }],
    'line-width-huge': [line, { kind: 'trench', width_ft: 1e9 }],
    'line-width-words': [line, { kind: 'trench', width_ft: 'narrow' }],
    'depth-negative': [area, { kind: 'excavation', depth_ft: -3 }],
    'depth-words': [area, { kind: 'excavation', depth_ft: 'deep' }],
    'depth-no-unit': [area, { kind: 'excavation', depth: 3 }],
    'no-dig-words': [area, { kind: 'paving', no_dig: 'perhaps' }],
    'line-one-point': [
      { type: 'LineString', coordinates: [at(0, 0)] },
      { kind: 'trench', width_ft: 3 },
    ],
    'line-no-length': [
      { type: 'LineString', coordinates: [at(0, 0), at(0, 0)] },
      { kind: 'trench', width_ft: 3 },
    ],
    point: [point(at(0, 0)), { kind: 'building' }],
    'bore-no-depth': [line, { kind: 'bore', width_ft: 1 }],
  };
  return Object.entries(list).map(([name, [geometry, properties]]) => ({
    name: `works-${name}.geojson`,
    role: 'works',
    data: json(collection([feature(geometry, properties)])),
  }));
}

function systems() {
  const far = feature(point([7650000, 680000]));
  const named = (/** @type {unknown} */ name) => ({ type: 'name', properties: { name } });
  /** @type {Record<string, unknown>} */
  const list = {
    'epsg-2913': collection([far], { crs: named('EPSG:2913') }),
    urn: collection([far], { crs: named('urn:ogc:def:crs:EPSG::2913') }),
    'crs84-projected': collection([far], { crs: named('urn:ogc:def:crs:OGC:1.3:CRS84') }),
    unknown: collection([far], { crs: named('EPSG:99999') }),
    nonsense: collection([far], { crs: named('my grid') }),
    empty: collection([far], { crs: named('') }),
    'name-number': collection([far], { crs: named(2913) }),
    null: collection([good], { crs: null }),
    string: collection([far], { crs: 'EPSG:2913' }),
    'properties-null': collection([far], { crs: { type: 'name', properties: null } }),
    link: collection([far], {
      crs: { type: 'link', properties: { href: 'http://example.com/crs/42', type: 'proj4' } },
    }),
    array: collection([far], { crs: ['EPSG:2913'] }),
    'mixed-degrees-feet': collection([good, far]),
    'degrees-as-feet': collection([good], { crs: named('EPSG:2913') }),
    'swapped-axes': collection([feature(point([680000, 7650000]))], { crs: named('EPSG:2913') }),
  };
  const cases = Object.entries(list).map(([name, data]) => ({ name: `crs-${name}.geojson`, data: json(data) }));
  return [
    ...cases,
    { name: 'crs-none-projected.geojson', data: json(collection([far])), options: { crs: null } },
    { name: 'crs-option-unknown.geojson', data: json(collection([far])), options: { crs: 'EPSG:99999' } },
    { name: 'crs-prj-nul.geojson', data: json(collection([far], { crs: named('EPSG:2913\u0000') })) },
  ];
}
