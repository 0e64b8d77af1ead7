// The front of style/: what other rooms may import of it. In and out: see each name’s own file.

export {
  CATEGORY_COLOURS,
  EXISTING_TONE,
  GROUND_TONE,
  INK,
  KIND_TONES,
  LINE_STYLES,
  type Mark,
  markOf,
  PATTERNS,
  TAKEN_OPACITY,
  TAKEN_TONES,
  type Tone,
  VERDICT_STYLES,
} from './colours.js';
export { type MapLibreLayer, type MapLibreOptions, type MapLibreStyle, toMapLibre } from './maplibre.js';
export { lookOf, type StyledRole, type StyleRule } from './role-styles.js';
export { SIMPLE_NAMES, type SimpleName, simpleNames, simpleValue } from './simple.js';
export { toSld } from './sld.js';
