// Files of kinds that are not read. In: first bytes and name; out: what the file is and what to do, or undefined.
// Terms: signature = the bytes a kind of file starts with.
// A surveyor who gives a spreadsheet by mistake should be told so, instead of "line 1 is not JSON".

export interface Foreign {
  readonly message: string;
  readonly cure: string;
}

interface Kind extends Foreign {
  is(bytes: Uint8Array, head: string, name: string): boolean;
}

const starts = (bytes: Uint8Array, ...signature: readonly number[]): boolean =>
  signature.every((b, i) => bytes[i] === b);

/** A zip archive that is not a workbook (a workbook is a zip archive too). */
export function isArchive(bytes: Uint8Array, head: string, name: string): boolean {
  const isZip = starts(bytes, 0x50, 0x4b, 0x03, 0x04) || starts(bytes, 0x50, 0x4b, 0x05, 0x06);
  return isZip && !/\.xls[xm]$/i.test(name) && !/\[Content_Types\]\.xml|(^|\W)xl\//.test(head);
}

const EXCEL: Foreign = {
  message: 'is an Excel workbook',
  cure: 'save it as .xlsx, or the sheet as CSV (UTF-8), and give that file',
};

/** Kinds in the order in which they are asked; the first that applies is named. */
const KINDS: readonly Kind[] = [
  { ...EXCEL, is: (bytes) => starts(bytes, 0xd0, 0xcf, 0x11, 0xe0) },
  {
    message: 'is a zip archive',
    cure: 'read it with readLayerAsync, or with readLayer of rootberth/node; or unpack it',
    is: isArchive,
  },
  {
    message: 'is UTF-16 text',
    cure: 'save it as UTF-8',
    // XML states its encoding and is read in it: `head` is decoded then
    is: (bytes, head) =>
      isBareUtf16(bytes) || (!/^\s*</.test(head) && (starts(bytes, 0xff, 0xfe) || starts(bytes, 0xfe, 0xff))),
  },
  {
    message: 'is a web page, not data',
    cure: 'open the address in a browser: it may ask to log in, or show an error; download the data itself',
    is: (_, head) => /^\s*(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body)\b/is.test(head),
  },
  {
    message: 'is XML, but neither KML nor LandXML (GML?)',
    cure: 'convert it to GeoJSON, shapefile or CSV',
    is: (_, head) => /^\s*<(?:\?xml|!--|[\w:]+[\s>])/i.test(head) && !/<(?:\w+:)?(?:kml|LandXML)\b/i.test(head),
  },
  { message: 'is gzip-compressed', cure: 'unpack it first', is: (bytes) => starts(bytes, 0x1f, 0x8b) },
  {
    message: 'is a PDF',
    cure: 'ask for the data behind the drawing',
    is: (bytes) => starts(bytes, 0x25, 0x50, 0x44, 0x46),
  },
  {
    message: 'is a part of a shapefile that is not read on its own',
    cure: 'give the .shp; its companions are found beside it',
    is: (_bytes, _head, name) => /\.(?:dbf|shx|prj|cpg)$/i.test(name),
  },
  {
    message: 'is a DWG drawing',
    cure: 'save it as DXF (text), or export the lines as a shapefile',
    is: (_, head, name) => /\.dwg$/i.test(name) || /^AC10\d\d\0/.test(head),
  },
];

/** What kind of unreadable file this is; undefined when it is not a known kind. */
export function foreignFile(bytes: Uint8Array, head: string, name: string): Foreign | undefined {
  return KINDS.find((kind) => kind.is(bytes, head, name));
}

/** UTF-16 without a byte order mark: every other byte of the first ones is zero, the others are not. */
function isBareUtf16(bytes: Uint8Array): boolean {
  if (bytes.length < 8) return false;
  const zero = (offset: number): boolean => [0, 2, 4, 6].every((i) => bytes[i + offset] === 0);
  return zero(0) !== zero(1);
}
