// Which way to WGS 84 a coordinate reference system gets. In: its datum, its area of use and the ways there are (see
// epsg-operations.mjs); out: one way as +towgs84 values, its name and its accuracy.
// Terms: share = part of the area of use for which a way is meant; null operation = the datum is taken as WGS 84.
// Costs one look at each way of the datum.

import { towgs84Of } from './epsg-operations.mjs';

const FAMILY_ZERO =
  /^(NAD83|ETRS|GDA2020|ITRF|IGS|RGF93|RGFG95|WGS 84|SIRGAS|JGD2011|JGD2000|CGCS2000|NZGD2000|China Geodetic|REGVEN|MAGNA|POSGAR 2007)/;
const WORLD = [-180, -90, 180, 90];
const LEAST_SHARE = 0.5; // a way meant for less of the area than this: its accuracy says nothing of the rest

/** East-west extent in degrees, also over the antimeridian. */
export function width(w, e) {
  return e >= w ? e - w : e + 360 - w;
}

/** Share of area a that lies in area b (west, south, east, north); both may span the antimeridian. */
function covered(a, b) {
  const aw = width(a[0], a[2]);
  const bw = width(b[0], b[2]);
  let shared = 0;
  for (const turn of [-360, 0, 360]) {
    const from = Math.max(a[0], b[0] + turn);
    const to = Math.min(a[0] + aw, b[0] + turn + bw);
    shared = Math.max(shared, to - from);
  }
  const tall = Math.min(a[3], b[3]) - Math.max(a[1], b[1]);
  if (shared < 0 || tall < 0) return 0;
  return (aw > 0 ? shared / aw : 1) * (a[3] > a[1] ? tall / (a[3] - a[1]) : 1);
}

/** Whether a place is sea alone: each of its sentences says so, and names no land before it. */
function isOffshore(place) {
  if (/onshore/i.test(place)) return false;
  return place.split(/\.(?:\s|$)/).every((sentence) => {
    if (sentence.trim() === '') return true;
    const at = sentence.search(/offshore|\bOCS\b|protraction/i);
    return at >= 0 && !/,|(mainland|coast\w*( area)?) and $/.test(sentence.slice(0, at));
  });
}

function shareOf(way, area) {
  const shares = way.places.map((places) => Math.max(...places.map((p) => covered(area, [p.w, p.s, p.e, p.n]))));
  return Math.round(Math.min(1, ...shares) * 20) / 20;
}

const boxOf = (way) => Math.max(0, ...way.places.flat().map((p) => width(p.w, p.e) * (p.n - p.s)));
const lastCode = (way) => Math.max(...way.codes.map(Number));
const byAccuracy = (a, b) =>
  (a.way.accuracyM ?? Infinity) - (b.way.accuracyM ?? Infinity) || lastCode(b.way) - lastCode(a.way);

/** The best way for an area: one that is meant for it, and whose accuracy is known, before any other. */
function bestWay(name, area, ways) {
  const atSea = /offshore/i.test(name);
  const ranked = ways
    .map((way) => ({
      way,
      share: shareOf(way, area),
      meant: atSea || !way.places.some((places) => places.every(({ place }) => isOffshore(place))),
    }))
    .sort((a, b) => b.share - a.share || byAccuracy(a, b));
  const here = ranked.filter(({ meant, share }) => meant && share > 0);
  // Meant for the sea off this land, or for a neighbour: rough, and still far nearer than none.
  const beside = ranked
    .map((one) => ({ ...one, meant: false }))
    .sort((a, b) => b.share - a.share || boxOf(b.way) - boxOf(a.way) || byAccuracy(a, b));
  return here.find(({ way }) => way.accuracyM !== null) ?? here[0] ?? beside[0];
}

const isNull = (shift) => shift.every((v) => v === 0);

/**
 * The way a system gets.
 *
 * @param system `{ name, datumName, area }`: EPSG's names of it and of its geographic system, its area of use or null
 * @param ways of its datum
 * @returns `{ name, shift, accuracy }`: shift null for none; accuracy in metres, null where nobody states it
 */
export function chosenWay({ name, datumName, area }, ways) {
  if (/^WGS 84( \(3D\))?$/.test(datumName)) return { name: 'none needed', shift: null, accuracy: 0 };
  if (/^GDA94/.test(datumName))
    return {
      name: 'taken as WGS 84 (EPSG:1150; GDA2020 lies about 1.8 m to the north-east)',
      shift: null,
      accuracy: 1.8,
    };
  // A null operation first: members of one family (NAD83, HARN, 2011 ...) then stay together.
  const zero = ways.find((way) => isNull(towgs84Of(way.map)));
  if (zero !== undefined)
    return { name: `taken as WGS 84 (EPSG:${zero.codes.join(', ')})`, shift: null, accuracy: zero.accuracyM };
  if (FAMILY_ZERO.test(datumName))
    return { name: 'taken as WGS 84', shift: null, accuracy: datumName.startsWith('NAD83') ? 2 : 1 };
  const best = bestWay(name, area ?? WORLD, ways);
  if (best === undefined) return { name: 'unknown: taken as WGS 84', shift: null, accuracy: null };
  const shift = towgs84Of(best.way.map);
  return {
    name: best.meant ? best.way.name : `${best.way.name}, which is meant for another place`,
    shift: isNull(shift.slice(3)) ? shift.slice(0, 3) : shift,
    accuracy: !best.meant || best.share < LEAST_SHARE ? null : best.way.accuracyM,
  };
}
