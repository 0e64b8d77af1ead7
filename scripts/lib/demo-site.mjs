// The invented ground of Alder Bench: in: nothing; out: street, lots and open tract in site feet, and the way to
// state plane feet and lon/lat. Site axes: x along the street as it enters, y to its left.
// Terms: station = feet along the street's centre line; offset = feet to the left of it (right is negative).
import proj4 from 'proj4';
import { arc } from './planar.mjs';

/** EPSG:2913, NAD83(HARN) / Oregon North, international feet; its datum is taken as WGS 84. */
export const EPSG_2913 =
  '+proj=lcc +lat_0=43.6666666666667 +lon_0=-120.5 +lat_1=46 +lat_2=44.3333333333333 ' +
  '+x_0=2500000.0001424 +y_0=0 +ellps=GRS80 +units=ft +no_defs';
const LON_LAT = '+proj=longlat +ellps=GRS80 +no_defs';
const ORIGIN = [7640000, 680000];
const TURN = (17 * Math.PI) / 180; // the plat is not square to the grid

/** Site feet to easting, northing. */
export function toGrid([x, y]) {
  return [ORIGIN[0] + x * Math.cos(TURN) - y * Math.sin(TURN), ORIGIN[1] + x * Math.sin(TURN) + y * Math.cos(TURN)];
}

/** Easting, northing to lon, lat with 9 decimals (0.1 mm). */
export function toLonLat(grid) {
  return proj4(EPSG_2913, LON_LAT, grid).map((degrees) => Number(degrees.toFixed(9)));
}

// The street: straight, a long left-hand curve, straight into the bulb of a cul-de-sac.
const CURVE_AT = 100;
const CURVE_RADIUS = 600;
const CURVE_DEGREES = 30;
const CURVE_END = CURVE_AT + (CURVE_RADIUS * CURVE_DEGREES * Math.PI) / 180;
const BULB_AT = 474;
const HALF_WAY = 25; // half the width of the right of way
const HALF_PAVED = 14;
const BULB_WAY = 50;
const BULB_PAVED = 40;
const LOT_DEPTH = 120;

/** A place by station and offset, in site feet. */
export function at(station, offset) {
  if (station <= CURVE_AT) return [station, offset];
  const turned = Math.min((station - CURVE_AT) / CURVE_RADIUS, (CURVE_DEGREES * Math.PI) / 180);
  const beyond = Math.max(0, station - CURVE_END);
  const radius = CURVE_RADIUS - offset;
  return [
    CURVE_AT + radius * Math.sin(turned) + beyond * Math.cos(turned),
    CURVE_RADIUS - radius * Math.cos(turned) + beyond * Math.sin(turned),
  ];
}

/** Heading of the street at a station, degrees from the x axis. */
export function heading(station) {
  return Math.min(CURVE_DEGREES, (Math.max(0, station - CURVE_AT) / CURVE_RADIUS) * (180 / Math.PI));
}

const BULB = at(BULB_AT, 0);

/** A place by distance and angle (degrees left of the street's end heading) from the bulb's centre. */
export function fromBulb(distance, angle) {
  const a = ((angle + CURVE_DEGREES) * Math.PI) / 180;
  return [BULB[0] + distance * Math.cos(a), BULB[1] + distance * Math.sin(a)];
}

const bulbArc = (radius, from, to, steps) => arc(BULB, radius, from + CURVE_DEGREES, to + CURVE_DEGREES, steps);

/** A run along the street at one offset, a point about every 20 ft, both ends included. */
function along(from, to, offset) {
  const steps = Math.max(1, Math.round(Math.abs(to - from) / 20));
  return Array.from({ length: steps + 1 }, (_, i) => at(from + ((to - from) * i) / steps, offset));
}

/** Site feet snapped so that easting and northing are whole thousandths: corners that two lots share stay one. */
const LEFT = [24, 104, 182, 260, 338, 412]; // side lines of lots 1 to 5
const RIGHT = [92, 170, 248, 328, 404]; // side lines of lots 14 back to 11
const SPOKES = [72, 24, -24, -72]; // side lines between lots 6 to 10
const REAR_SPOKE = [152, 166, 162, 152]; // how far those lines run
const WAY_MEETS = (Math.acos(HALF_WAY / BULB_WAY) * 180) / Math.PI + 90; // where the straight way meets the bulb
const REAR = HALF_WAY + LOT_DEPTH;

/** A corner in the middle of the line between lots 3 and 4, where a trunk stands. */
export const LINE_CORNER = at(LEFT[3], HALF_WAY + 84);

function sideLot(side, from, to) {
  const offset = side * HALF_WAY;
  const rear = side * REAR;
  const middle = side > 0 ? (s) => (s === LEFT[3] ? [LINE_CORNER] : []) : () => [];
  return [...along(from, to, offset), ...middle(to), ...along(to, from, rear), ...middle(from)];
}

function bulbLot(i) {
  const left = SPOKES[i];
  const right = SPOKES[i + 1];
  return [...bulbArc(BULB_WAY, left, right, 6), fromBulb(REAR_SPOKE[i + 1], right), fromBulb(REAR_SPOKE[i], left)];
}

function flankLot(side) {
  const last = side > 0 ? LEFT[5] : RIGHT[4];
  const spoke = side > 0 ? 0 : 3;
  const meet = BULB_AT - Math.sqrt(BULB_WAY ** 2 - HALF_WAY ** 2);
  return [
    at(last, side * HALF_WAY),
    at(meet, side * HALF_WAY),
    ...bulbArc(BULB_WAY, side * WAY_MEETS, SPOKES[spoke], 8).slice(1),
    fromBulb(REAR_SPOKE[spoke], SPOKES[spoke]),
    at(last, side * REAR),
  ];
}

/** The lots, in order of number: left side going in, round the bulb, right side coming back. */
export const LOTS = [
  ...[0, 1, 2, 3, 4].map((i) => sideLot(1, LEFT[i], LEFT[i + 1])),
  flankLot(1),
  bulbLot(0),
  bulbLot(1),
  bulbLot(2),
  flankLot(-1),
  ...[3, 2, 1, 0].map((i) => sideLot(-1, RIGHT[i], RIGHT[i + 1])),
];

/** The open tract behind lots 1 to 8; it shares their rear corners. */
export const TRACT = [
  ...along(LEFT[0], LEFT[1], REAR),
  ...[1, 2, 3, 4].flatMap((i) => along(LEFT[i], LEFT[i + 1], REAR).slice(1)),
  fromBulb(REAR_SPOKE[0], SPOKES[0]),
  fromBulb(REAR_SPOKE[1], SPOKES[1]),
  fromBulb(REAR_SPOKE[2], SPOKES[2]),
  fromBulb(255, -10),
  fromBulb(268, 34),
  fromBulb(262, 76),
  at(400, 252),
  at(290, 266),
  at(180, 240),
  at(90, 232),
  at(LEFT[0], 218),
];

const pavedMeet = BULB_AT - Math.sqrt(BULB_PAVED ** 2 - HALF_PAVED ** 2);
const pavedAngle = (Math.acos(HALF_PAVED / BULB_PAVED) * 180) / Math.PI + 90;

/** The street's paving, kerb to kerb, with the bulb. */
export const STREET = [
  ...along(0, pavedMeet, -HALF_PAVED),
  ...bulbArc(BULB_PAVED, -pavedAngle, pavedAngle, 32).slice(1, -1),
  ...along(pavedMeet, 0, HALF_PAVED),
];

/** A main in the street at one offset, from the entrance to the bulb. */
export function main(offset) {
  return [...along(0, BULB_AT - 20, offset), fromBulb(12, 0)];
}

/** Where each lot's house looks from: a point on its front, and the direction to its rear (degrees). */
export const FRONTS = [
  ...[0, 1, 2, 3, 4].map((i) => sideFront(1, (LEFT[i] + LEFT[i + 1]) / 2)),
  { at: fromBulb(BULB_WAY, 100), towards: CURVE_DEGREES + 90 },
  ...[48, 0, -48].map((a) => ({ at: fromBulb(BULB_WAY, a), towards: CURVE_DEGREES + a })),
  { at: fromBulb(BULB_WAY, -106), towards: CURVE_DEGREES - 90 },
  ...[3, 2, 1, 0].map((i) => sideFront(-1, (RIGHT[i] + RIGHT[i + 1]) / 2)),
];

function sideFront(side, station) {
  return { at: at(station, side * HALF_WAY), towards: heading(station) + side * 90 };
}

/** A place on a lot: feet to the right of its middle line (looking to the rear), feet behind its front. */
export function onLot(lot, right, back) {
  const front = FRONTS[lot - 1];
  const a = (front.towards * Math.PI) / 180;
  return [
    front.at[0] + back * Math.cos(a) + right * Math.sin(a),
    front.at[1] + back * Math.sin(a) - right * Math.cos(a),
  ];
}
