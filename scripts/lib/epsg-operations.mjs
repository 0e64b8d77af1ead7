// The reader of EPSG's datum operations. In: PROJ's database; out: every way from a datum to WGS 84 that three or seven
// parameters can say, as the values of a +towgs84, with accuracy and place.
// Terms: datum = its code (a datum on another prime meridian is a datum of its own); map = X -> turn * X + move between
// geocentric axes (metres; x through Greenwich); way = a map to WGS 84 with the steps it is made of.
// Costs one pass over the operations, and per datum a look at its own steps and those of the datums one step away.

const SECOND = Math.PI / 180 / 3600;
const PPM = 1e-6;
const WGS84 = '6326';
const UNKNOWN_M = 999; // EPSG's own mark for "accuracy not known"

/**
 * Methods of three and seven parameters, by EPSG code: which way round their rotations are counted. +1 = position
 * vector (9606: the vector is turned), -1 = coordinate frame (9607: the axes are), 0 = translations alone.
 * Guidance Note 7-2, 4.3.3 and 4.3.4. Molodensky-Badekas turns about a point of its own (px, py, pz).
 */
const METHODS = new Map([
  [9603, 0],
  [1031, 0],
  [1035, 0],
  [9606, 1],
  [1033, 1],
  [1037, 1],
  [9607, -1],
  [1032, -1],
  [1038, -1],
  [9636, -1],
  [1034, -1],
  [1039, -1],
  [1061, 1],
  [1062, 1],
  [1063, 1],
]);
const LONGITUDE_ROTATION = 9601;

// ------------------------------------------------------------------ maps

const identity = { turn: [1, 0, 0, 0, 1, 0, 0, 0, 1], move: [0, 0, 0] };
const times = (m, [x, y, z]) => [0, 3, 6].map((r) => m[r] * x + m[r + 1] * y + m[r + 2] * z);
const plus = (a, b) => a.map((v, i) => v + b[i]);
const product = (a, b) =>
  [0, 1, 2].flatMap((r) => [0, 1, 2].map((c) => a[3 * r] * b[c] + a[3 * r + 1] * b[3 + c] + a[3 * r + 2] * b[6 + c]));

/** First `a`, then `b`. */
function then(a, b) {
  return { turn: product(b.turn, a.turn), move: plus(times(b.turn, a.move), b.move) };
}

function inverse({ turn: [a, b, c, d, e, f, g, h, i], move }) {
  const det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  const turn = [
    e * i - f * h,
    c * h - b * i,
    b * f - c * e,
    f * g - d * i,
    a * i - c * g,
    c * d - a * f,
    d * h - e * g,
    b * g - a * h,
    a * e - b * d,
  ].map((v) => v / det);
  return { turn, move: times(turn, move).map((v) => -v) };
}

/** The map of seven parameters and a pivot: P + T + scale * R * (X - P), R of small angles. Exported for its test. */
export function helmert({ t, r, ppm, sign, pivot = [0, 0, 0] }) {
  const [rx, ry, rz] = r.map((v) => v * SECOND * sign);
  const scale = 1 + ppm * PPM;
  const turn = [1, -rz, ry, rz, 1, -rx, -ry, rx, 1].map((v) => v * scale);
  return {
    turn,
    move: plus(
      plus(t, pivot),
      times(turn, pivot).map((v) => -v),
    ),
  };
}

/** A map as +towgs84 says it: metres, arc seconds (position vector), parts per million. */
export function towgs84Of({ turn, move }) {
  const scale = (turn[0] + turn[4] + turn[8]) / 3;
  const angle = (a, b) => (turn[a] - turn[b]) / 2 / scale / SECOND;
  const values = [...move, angle(7, 5), angle(2, 6), angle(3, 1), (scale - 1) / PPM];
  const digits = [1e-6, 1e-6, 1e-6, 1e-9, 1e-9, 1e-9, 1e-9]; // a micrometre, and less than one on the earth's surface
  return values.map((v, i) => Number((Math.round(v / digits[i]) * digits[i]).toFixed(9)) + 0);
}

// ------------------------------------------------------------------ reading

const HELMERTS = `select h.code, h.name, h.method_code as method, h.accuracy, h.tx, h.ty, h.tz, h.rx, h.ry, h.rz,
    h.scale_difference as ds, h.px, h.py, h.pz, h.deprecated, s.datum_code as source, t.datum_code as target,
    ut.conv_factor as tu, ur.conv_factor as ru, us.conv_factor as su, up.conv_factor as pu
  from helmert_transformation_table h
  join geodetic_crs s on s.auth_name = h.source_crs_auth_name and s.code = h.source_crs_code
  join geodetic_crs t on t.auth_name = h.target_crs_auth_name and t.code = h.target_crs_code
  left join unit_of_measure ut on ut.auth_name = h.translation_uom_auth_name and ut.code = h.translation_uom_code
  left join unit_of_measure ur on ur.auth_name = h.rotation_uom_auth_name and ur.code = h.rotation_uom_code
  left join unit_of_measure us on us.auth_name = h.scale_difference_uom_auth_name and us.code = h.scale_difference_uom_code
  left join unit_of_measure up on up.auth_name = h.pivot_uom_auth_name and up.code = h.pivot_uom_code
  where h.auth_name = 'EPSG' and h.rate_tx is null and h.rate_rx is null and h.epoch is null`;
const MERIDIANS = `select o.code, o.name, o.accuracy, o.deprecated, s.datum_code as source, t.datum_code as target,
    o.param1_value as turn, o.param1_uom_code as uom, u.conv_factor as per,
    ps.longitude as ps, pt.longitude as pt, us.conv_factor as psu, ut.conv_factor as ptu,
    ps.uom_code as psuom, pt.uom_code as ptuom
  from other_transformation o
  join geodetic_crs s on s.auth_name = o.source_crs_auth_name and s.code = o.source_crs_code
  join geodetic_crs t on t.auth_name = o.target_crs_auth_name and t.code = o.target_crs_code
  join geodetic_datum ds on ds.auth_name = s.datum_auth_name and ds.code = s.datum_code
  join geodetic_datum dt on dt.auth_name = t.datum_auth_name and dt.code = t.datum_code
  join prime_meridian ps on ps.auth_name = ds.prime_meridian_auth_name and ps.code = ds.prime_meridian_code
  join prime_meridian pt on pt.auth_name = dt.prime_meridian_auth_name and pt.code = dt.prime_meridian_code
  left join unit_of_measure u on u.auth_name = o.param1_uom_auth_name and u.code = o.param1_uom_code
  left join unit_of_measure us on us.auth_name = ps.uom_auth_name and us.code = ps.uom_code
  left join unit_of_measure ut on ut.auth_name = pt.uom_auth_name and ut.code = pt.uom_code
  where o.auth_name = 'EPSG' and o.method_code = ${LONGITUDE_ROTATION}`;
const CHAINS = `select o.code, o.name, o.accuracy, o.deprecated, s.datum_code as source, t.datum_code as target,
    (select group_concat(p.step_code, ' ') from (select step_code from concatenated_operation_step
      where operation_auth_name = 'EPSG' and operation_code = o.code order by step_number) p) as steps
  from concatenated_operation o
  join geodetic_crs s on s.auth_name = o.source_crs_auth_name and s.code = o.source_crs_code
  join geodetic_crs t on t.auth_name = o.target_crs_auth_name and t.code = o.target_crs_code
  where o.auth_name = 'EPSG' and o.deprecated = 0`;
const PLACES = `select u.object_code as code, e.west_lon as w, e.south_lat as s, e.east_lon as e, e.north_lat as n,
    e.description as place from usage u join extent e on e.auth_name = u.extent_auth_name and e.code = u.extent_code
  where u.object_auth_name = 'EPSG'
    and u.object_table_name in ('helmert_transformation', 'other_transformation', 'concatenated_operation')`;
const SUPERSEDED = `select superseded_code as code, replacement_code as by from supersession
  where superseded_auth_name = 'EPSG' and replacement_auth_name = 'EPSG' and same_source_target_crs = 1`;

const SEXAGESIMAL = 9110; // EPSG's unit in which 17.4002 is 17 degrees 40 minutes 02 seconds

function radians(value, uom, factor) {
  if (Number(uom) !== SEXAGESIMAL) return value * factor;
  const [whole, decimals = ''] = Math.abs(value).toFixed(10).split('.');
  const minutes = Number(decimals.slice(0, 2));
  const seconds = Number(`${decimals.slice(2, 4)}.${decimals.slice(4)}`);
  return Math.sign(value) * (Number(whole) * 3600 + minutes * 60 + seconds) * SECOND;
}

/**
 * A longitude rotation between geocentric axes, whose x goes through Greenwich: nothing where it only goes from one
 * meridian to the other; the rest is a turn about the axis (Tokyo 1892 counts from Greenwich, and was 10.405" off).
 */
function meridianMap(row) {
  const between = radians(row.ps, row.psuom, row.psu) - radians(row.pt, row.ptuom, row.ptu);
  const rest = (radians(row.turn, row.uom, row.per) - between) / SECOND;
  return Math.abs(rest) < 1e-6 ? identity : helmert({ t: [0, 0, 0], r: [0, 0, rest], ppm: 0, sign: 1 });
}

/** Rows by what `key` says of them. */
function grouped(rows, key) {
  const groups = new Map();
  for (const row of rows) {
    const list = groups.get(key(row));
    if (list === undefined) groups.set(key(row), [row]);
    else list.push(row);
  }
  return groups;
}

const accuracyOf = (value) => (value === null || value >= UNKNOWN_M ? null : value);

function mapOf(row) {
  const sign = METHODS.get(row.method);
  const length = (...values) => values.map((v) => (v ?? 0) * (row.tu ?? 1));
  const angle = (...values) => values.map((v) => ((v ?? 0) * (row.ru ?? 0)) / SECOND);
  return helmert({
    t: length(row.tx, row.ty, row.tz),
    r: sign === 0 ? [0, 0, 0] : angle(row.rx, row.ry, row.rz),
    ppm: ((row.ds ?? 0) * (row.su ?? 0)) / PPM,
    sign,
    pivot: [row.px, row.py, row.pz].map((v) => (v ?? 0) * (row.pu ?? 1)),
  });
}

/**
 * Every operation of three or seven parameters, longitude rotations and concatenated operations, ready to be asked.
 *
 * @param sql runs a query on PROJ's database
 */
export function epsgOperations(sql) {
  const places = grouped(sql(PLACES), (row) => String(row.code));
  const superseded = grouped(sql(SUPERSEDED), (row) => String(row.code));
  const step = (row, map) => ({
    code: String(row.code),
    name: row.name,
    source: String(row.source),
    target: String(row.target),
    accuracyM: accuracyOf(row.accuracy),
    deprecated: row.deprecated === 1,
    places: places.get(String(row.code)) ?? [],
    map,
  });
  const steps = [
    ...sql(HELMERTS)
      .filter((row) => METHODS.has(Number(row.method)))
      .map((row) => step(row, mapOf({ ...row, method: Number(row.method) }))),
    ...sql(MERIDIANS).map((row) => ({ ...step(row, meridianMap(row)), isMeridian: true })),
  ];
  const byCode = new Map(steps.map((one) => [one.code, one]));
  const chains = sql(CHAINS).flatMap((row) => {
    const parts = row.steps.split(' ').map((code) => byCode.get(code));
    const map = chained(String(row.source), String(row.target), parts);
    return map === undefined ? [] : [{ ...step(row, map), parts }];
  });
  const alive = steps.filter((one) => !one.deprecated);
  const direct = (from) => [...alive, ...chains].filter((one) => one.source === from && one.target === WGS84);
  const fromDatum = grouped(alive, (one) => one.source);

  /** Ways of a datum: its own, those of the datum it is but for the meridian, else by way of one datum between. */
  function waysOf(datum) {
    const own = direct(datum).map(alone);
    const next = fromDatum.get(datum) ?? [];
    const meridians = next
      .filter((one) => one.isMeridian === true)
      .flatMap((one) => direct(one.target).map((way) => joined(one, way)));
    const near = unreplaced([...own, ...meridians]);
    if (near.length > 0) return near;
    const between = next
      .filter((one) => one.target !== WGS84)
      .flatMap((one) => direct(one.target).map((way) => joined(one, way)));
    return unreplaced(between);
  }

  /** A superseded operation gives way where what replaces it is there too. */
  function unreplaced(ways) {
    const there = new Set(ways.flatMap((way) => way.codes));
    const old = (code) => (superseded.get(code) ?? []).some((row) => there.has(String(row.by)));
    return ways.filter((way) => !way.codes.some(old));
  }

  return { waysOf, stepOf: (code) => byCode.get(String(code)) };
}

/** The map of steps taken one after the other, each forwards or backwards; undefined where one is not read. */
function chained(source, target, parts) {
  let at = source;
  let map = identity;
  for (const part of parts) {
    if (part === undefined) return undefined;
    if (part.source === at) {
      map = then(map, part.map);
      at = part.target;
    } else if (part.target === at) {
      map = then(map, inverse(part.map));
      at = part.source;
    } else return undefined;
  }
  return at === target ? map : undefined;
}

function alone(one) {
  const parts = one.parts ?? [one];
  return {
    codes: [one.code],
    name: `${one.name} (EPSG:${one.code})`,
    accuracyM: one.accuracyM ?? summed(parts),
    places: [one.places],
    map: one.map,
  };
}

function joined(first, second) {
  return {
    codes: [first.code, second.code],
    name: `${first.name} (EPSG:${first.code}), ${second.name} (EPSG:${second.code})`,
    accuracyM: summed([first, second]),
    places: [first.places, second.places].filter((list) => list.length > 0),
    map: then(first.map, second.map),
  };
}

/** Accuracies add up: the worst case of errors that know nothing of each other. */
function summed(parts) {
  let sum = 0;
  for (const { accuracyM } of parts) {
    if (accuracyM === null) return null;
    sum += accuracyM;
  }
  return Number(sum.toFixed(3));
}
