// The formats in XML. In and out: see each file. Loaded, with the XML parser, when the first file of one is read.

export { readKml } from './kml.js';
export { readLandXml } from './landxml.js';
export { readLandXmlSurface } from './landxml-surfaces.js';
