// XML bytes -> a plain tree. In: a file's bytes; out: elements with attributes, children and text, names without prefix.
// Terms: prefix = what stands before the colon in kml:Point; skipped = elements whose insides are not needed.

import { type X2jOptions, XMLParser, XMLValidator } from 'fast-xml-parser';
import { InputError } from '../model/index.js';
import { utf16Of } from './text.js';

export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly XmlElement[];
  /** Text of the element itself, trimmed; '' without any. */
  readonly text: string;
}

const OPTIONS: X2jOptions = {
  preserveOrder: true,
  ignoreAttributes: false,
  attributeNamePrefix: '',
  removeNSPrefix: true,
  parseTagValue: false, // "0012" stays as it is written
  parseAttributeValue: false,
  htmlEntities: true, // numeric ones are XML's own; entities a document declares for itself are not expanded
  processEntities: true,
};

type Raw = Record<string, unknown>;

/**
 * Parses a document that is well-formed; entities declared by the document are left as text.
 *
 * @param skipped names of elements whose content is not looked at (large surfaces and alignments)
 * @returns the root element
 * @throws InputError `xml-broken` with line and column
 */
export function parseXml(bytes: Uint8Array, layer: string, skipped: readonly string[] = []): XmlElement {
  const text = decoded(bytes);
  const judged = XMLValidator.validate(text);
  if (judged !== true) throw broken(layer, judged.err.msg, judged.err.line, judged.err.col);
  let nodes: unknown;
  try {
    nodes = new XMLParser({ ...OPTIONS, stopNodes: skipped.map((name) => `..${name}`) }).parse(text);
  } catch (error) {
    throw broken(layer, error instanceof Error ? error.message : String(error));
  }
  const root = (nodes as Raw[]).map(elementOf).find((element) => element !== undefined);
  if (root === undefined) throw broken(layer, 'it has no element');
  return root;
}

/** By a UTF-16 byte order mark, the encoding the declaration names, else UTF-8 (XML 1.0, appendix F). */
function decoded(bytes: Uint8Array): string {
  const wide = utf16Of(bytes);
  if (wide !== undefined) return new TextDecoder(wide).decode(bytes);
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 200));
  const named = /^[^<]*<\?xml[^>]*encoding\s*=\s*["']([\w.:-]+)["']/i.exec(head)?.[1];
  try {
    return new TextDecoder(named ?? 'utf-8').decode(bytes);
  } catch {
    return new TextDecoder('utf-8').decode(bytes); // an unknown encoding
  }
}

function elementOf(node: Raw): XmlElement | undefined {
  const name = Object.keys(node).find((key) => key !== ':@');
  if (name === undefined || name === '#text' || name.startsWith('?')) return undefined;
  const content = (Array.isArray(node[name]) ? node[name] : []) as Raw[];
  let text = '';
  const children: XmlElement[] = [];
  for (const item of content) {
    if (typeof item['#text'] === 'string') text += item['#text'];
    else {
      const child = elementOf(item);
      if (child !== undefined) children.push(child);
    }
  }
  return { name, attributes: (node[':@'] ?? {}) as Record<string, string>, children, text: text.trim() };
}

function broken(layer: string, message: string, line?: number, column?: number): InputError {
  const where = line === undefined ? '' : `, line ${line}, column ${column ?? 1}`;
  return new InputError('xml-broken', `${layer} is not well-formed XML${where}: ${message.replace(/\s+/g, ' ')}`, {
    layer,
    ...(line === undefined ? {} : { path: `line ${line}` }),
    cure: 'export or download it again: the file may have been cut off',
  });
}

// ---------------------------------------------------------------- looking things up

export function childrenNamed(element: XmlElement, name: string): readonly XmlElement[] {
  return element.children.filter((child) => child.name === name);
}

export function childNamed(element: XmlElement, name: string): XmlElement | undefined {
  return element.children.find((child) => child.name === name);
}

/** Every element of that name inside, in document order. */
export function* descendants(element: XmlElement, name: string): Generator<XmlElement> {
  for (const child of element.children) {
    if (child.name === name) yield child;
    yield* descendants(child, name);
  }
}
