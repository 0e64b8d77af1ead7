// In: the parameters of a projection as texts name them; out: one name per parameter, and a reader that notes what was
// not asked for. Terms: key = the WKT 1 name without case, underscores and spaces (ESRI's and GDAL's differ no more).

/** Parameters of a text, by simplified name. */
export interface WktParameters {
  /** The value under the first of the names that the text has. */
  (...names: readonly string[]): number | undefined;
  /** Names of parameters that were not used: they are not understood. */
  unasked(): readonly string[];
}

/** Lengths in metres, angles in degrees, whatever the text's units. */
export function parameterReader(found: ReadonlyMap<string, number>): WktParameters {
  const asked = new Set<string>();
  const read = (...names: readonly string[]): number | undefined => {
    for (const name of names) asked.add(name);
    for (const name of names) {
      const value = found.get(name);
      if (value !== undefined && !Number.isNaN(value)) return value;
    }
    return undefined;
  };
  const idle = (name: string, value: number): boolean => value === 0 || (value === 1 && /scal/.test(name));
  const unasked = (): string[] => [...found].filter(([n, v]) => !asked.has(n) && !idle(n, v)).map(([n]) => n);
  return Object.assign(read, { unasked });
}

/** A WKT name without case, underscores and spaces. */
export function methodKey(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, '');
}

// Parameters of WKT 2 under the names of WKT 1, by EPSG code and by the registry's name for it.
const PARAMETERS: readonly (readonly [key: string, code: number, name: string])[] = [
  ['latitudeoforigin', 8801, 'latitudeofnaturalorigin'],
  ['centralmeridian', 8802, 'longitudeofnaturalorigin'],
  ['scalefactor', 8805, 'scalefactoratnaturalorigin'],
  ['falseeasting', 8806, 'falseeasting'],
  ['falsenorthing', 8807, 'falsenorthing'],
  ['latitudeofcenter', 8811, 'latitudeofprojectioncentre'],
  ['longitudeofcenter', 8812, 'longitudeofprojectioncentre'],
  ['azimuth', 8813, 'azimuthofinitialline'],
  ['azimuth', 8813, 'azimuthatprojectioncentre'],
  ['rectifiedgridangle', 8814, 'anglefromrectifiedtoskewgrid'],
  ['scalefactor', 8815, 'scalefactoroninitialline'],
  ['scalefactor', 8815, 'scalefactoratprojectioncentre'],
  ['falseeasting', 8816, 'eastingatprojectioncentre'],
  ['falsenorthing', 8817, 'northingatprojectioncentre'],
  ['pseudostandardparallel1', 8818, 'latitudeofpseudostandardparallel'],
  ['scalefactor', 8819, 'scalefactoronpseudostandardparallel'],
  ['latitudeoforigin', 8821, 'latitudeoffalseorigin'],
  ['centralmeridian', 8822, 'longitudeoffalseorigin'],
  ['standardparallel1', 8823, 'latitudeof1ststandardparallel'],
  ['standardparallel2', 8824, 'latitudeof2ndstandardparallel'],
  ['falseeasting', 8826, 'eastingatfalseorigin'],
  ['falsenorthing', 8827, 'northingatfalseorigin'],
  ['standardparallel1', 8832, 'latitudeofstandardparallel'],
  ['centralmeridian', 8833, 'longitudeoforigin'],
  ['azimuth', 1036, 'colatitudeofconeaxis'],
  ['ellipsoidscalingfactor', 1038, 'ellipsoidscalingfactor'],
];
const KEY_OF_NAME: ReadonlyMap<string, string> = new Map(PARAMETERS.map(([key, , name]) => [name, key]));
const KEY_OF_CODE: ReadonlyMap<number, string> = new Map(PARAMETERS.map(([key, code]) => [code, key]));

/** The key under which a parameter of WKT 2 is read: by its name where that is known, else by its EPSG code. */
export function parameterKey(name: string, code: number): string {
  const key = methodKey(name);
  return KEY_OF_NAME.get(key) ?? KEY_OF_CODE.get(code) ?? key;
}
