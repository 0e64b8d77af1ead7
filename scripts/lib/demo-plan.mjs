// The README's picture: in: the library and a reader of the demo's files; out: SVG of the demo's plan.
// Terms: the options are those of `rootberth demo`, on a sheet that suits a page.

/** @param {(name: string) => Uint8Array} read a file of data/demo/ */
export function demoPlan({ assess, readLayer, toPlan }, read) {
  const layer = (name) => readLayer(read(name), { name });
  const assessment = assess({
    trees: layer('survey.csv'),
    works: [{ layer: layer('works.geojson') }, { layer: layer('option-b.geojson'), option: 'B' }],
    existing: [layer('existing.geojson')],
    zones: layer('zones.geojson'),
    lots: layer('lots.geojson'),
    options: { crs: 'EPSG:2913', clearanceM: 6 * 0.3048, existingUse: 'spared' },
  });
  return toPlan(assessment, {
    units: 'us',
    sheet: 'tabloid',
    stamp: 'invented data',
    title: 'Alder Bench: trees and proposed works',
  });
}
