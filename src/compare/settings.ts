// What the figures were worked out by, before and after. In: two `rootberth` members; out: changes of rule, limits, options.
// Terms: leaf = a value that is no object, by its path (`limits[0].share`); wording = members of a rule that no figure comes
// from. Linear in the members.

import { type Finding, finding, type SettingChange } from '../model/index.js';
import { type Dictionary, dictionary, type Opened } from './submission.js';

/** Of a rule whose words alone are not the same. */
export const WORDING = 'wording of the rule';
/** Members of a rule that are words for people. */
const WORDS = /^(title|source|notes\b|consequences\b)|\.title$/;

export function compareSettings(
  before: Opened,
  after: Opened,
): { readonly settings: readonly SettingChange[]; readonly findings: readonly Finding[] } {
  const [a, b] = [before.provenance, after.provenance];
  if (a === null || b === null) {
    const without = [before, after].filter(({ provenance }) => provenance === null).map(({ name }) => name);
    const message = `${without.join(' and ')} does not say by which rule and options it was made: these were not compared`;
    const cure = 'compare .geojson outputs, or keep the .rootberth.json beside the file';
    return { settings: [], findings: [finding('compare-no-provenance', { layer: without[0]! }, message, cure)] };
  }
  const findings: Finding[] = [];
  if (a.version !== b.version) {
    const message = `${before.name} was made with rootberth ${a.version}, ${after.name} with ${b.version}: figures may differ for that alone`;
    findings.push(finding('compare-version', { layer: after.name }, message, 'assess both with one version'));
  }
  const rules = ruleChanges(dictionary(a.rule), dictionary(b.rule));
  return { settings: [...rules, ...optionChanges(a, b)], findings };
}

function ruleChanges(a: Dictionary | null, b: Dictionary | null): SettingChange[] {
  if (a === null || b === null) return [];
  if (a.id !== b.id) return [{ kind: 'rule', name: 'rule', before: ruleWords(a), after: ruleWords(b) }];
  const [earlier, later] = [leaves(a), leaves(b)];
  const changed = pathsOf(earlier, later);
  const real = changed.filter((path) => !WORDS.test(path));
  if (changed.length > 0 && real.length === 0) {
    return [{ kind: 'rule', name: WORDING, before: null, after: null }];
  }
  return real.map((path): SettingChange => {
    const [from, to] = [earlier.get(path), later.get(path)];
    const limit = /^(?:rings\[(\d+)\]\.)?limits\[(\d+)\]\.share$/.exec(path);
    if (limit === null) return { kind: 'rule', name: `rule.${path}`, before: shown(from), after: shown(to) };
    const ring = limit[1] === undefined ? '' : ` of the ring ${later.get(`rings[${limit[1]}].name`)}`;
    const which = limit[2] === '0' ? '' : ` ${Number(limit[2]) + 1}`;
    return { kind: 'limit', name: `limit${which}${ring}`, before: percent(from), after: percent(to) };
  });
}

export function ruleWords(rule: Dictionary): string {
  return `${String(rule.title ?? '')} (${String(rule.id)})`;
}

function percent(share: unknown): string | null {
  return typeof share === 'number' ? `${Number((share * 100).toFixed(4))} %` : shown(share);
}

/** Options that no figure comes from. */
const NO_FIGURE: ReadonlySet<string> = new Set(['today']);

function optionChanges(a: Dictionary, b: Dictionary): SettingChange[] {
  const [earlier, later] = [optionsOf(a), optionsOf(b)];
  const isSameRule = dictionary(a.rule)?.id === dictionary(b.rule)?.id;
  return pathsOf(earlier, later)
    .filter((path) => !NO_FIGURE.has(path) && !(path === 'limit' && isSameRule)) // the rule holds the limit
    .map((name) => ({ kind: 'option', name, before: shown(earlier.get(name)), after: shown(later.get(name)) }));
}

/** Options, further rules by their id, the design option, and the systems the layers were in. */
function optionsOf(provenance: Dictionary): Map<string, unknown> {
  const out = leaves(dictionary(provenance.options) ?? {});
  const others = Array.isArray(provenance.otherRules) ? provenance.otherRules : [];
  for (const rule of others) out.set(`further rule ${dictionary(rule)?.id}`, JSON.stringify(rule));
  if (provenance.designOption !== undefined) out.set('design option', provenance.designOption);
  const inputs = Array.isArray(provenance.inputs) ? provenance.inputs : [];
  const systems = new Map<string, Set<string>>();
  for (const one of inputs) {
    const input = dictionary(one);
    const role = `coordinate system of ${input?.role}`;
    systems.set(role, (systems.get(role) ?? new Set()).add(String(input?.crs)));
  }
  for (const [role, names] of systems) out.set(role, [...names].sort().join(', '));
  return out;
}

/** Deeper than anything of ours: what lies below is no member of a rule or an option. */
const DEEPEST = 24;

/** Every leaf of an object by its path. */
function leaves(
  value: unknown,
  path: string = '',
  out: Map<string, unknown> = new Map(),
  depth: number = 0,
): Map<string, unknown> {
  if (typeof value !== 'object' || value === null) out.set(path, value);
  else if (depth < DEEPEST) {
    const isList = Array.isArray(value);
    for (const [key, one] of Object.entries(value)) {
      leaves(one, isList ? `${path}[${key}]` : path === '' ? key : `${path}.${key}`, out, depth + 1);
    }
  }
  return out;
}

/** Paths at which two sets of leaves differ, in the order of the earlier, then of the later. */
function pathsOf(a: ReadonlyMap<string, unknown>, b: ReadonlyMap<string, unknown>): string[] {
  return [...new Set([...a.keys(), ...b.keys()])].filter((path) => a.get(path) !== b.get(path));
}

/** Metres that come of feet, without their last bits. */
function shown(value: unknown): string | null {
  if (value === undefined || value === null) return null;
  return typeof value === 'number' ? String(Number(value.toPrecision(12))) : String(value).slice(0, 200);
}
