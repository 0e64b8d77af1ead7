// What --help shows by example. In: nothing; out: one text a command, to stand after its options.
// Terms: every line that begins with "  rootberth" is run by a test on the demo's files, which stand in for the names here.

const EXIT_CODES =
  'Exit: 0 done, 1 the input can’t be used, 2 wrong usage, 3 --fail-on was met, 70 a defect, 130 stopped by Ctrl-C.\n' +
  'The tool informs a decision; a qualified arborist and the local code decide.';

function examples(...pairs: readonly (readonly [what: string, command: string])[]): string {
  return `\nExamples:\n${pairs.map(([what, command]) => `  # ${what}\n  ${command}`).join('\n')}`;
}

export const EXAMPLES: Readonly<
  Record<
    | 'rootberth'
    | 'assess'
    | 'siting'
    | 'compare'
    | 'split'
    | 'run'
    | 'merge'
    | 'enqueue'
    | 'work'
    | 'check'
    | 'notes'
    | 'rules'
    | 'demo'
    | 'completion',
    string
  >
> = {
  rootberth: `${examples(
    ['the whole job on invented data', 'rootberth demo'],
    ['what is in a file, and the command that would assess it', 'rootberth check survey.zip works.geojson'],
    [
      'assess a survey',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --out assessed.geojson',
    ],
  )}\n\nrootberth <command> --help shows its options, with more examples.`,
  assess: `${examples(
    [
      'a survey in State Plane feet, works in longitude and latitude',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --out assessed.geojson',
    ],
    [
      'the rule and limit of the place, feet and inches, a report to print',
      'rootberth assess --trees survey.zip --works works.geojson --rule as4970-2009 --limit 15% \\\n' +
        '      --units us --out assessed.geojson --report report.html',
    ],
    [
      'columns by other names; a whole file of paving; 2 ft dug beyond the walls',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --field dbh=base_dia_in --works works.geojson \\\n' +
        '      --works paving=drive.geojson --overdig building=2ft --out assessed.gpkg',
    ],
    [
      'keep the job, and repeat it with another limit',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --out a.geojson --save-config job.json\n' +
        '  rootberth assess --config job.json --limit 25%',
    ],
    [
      'one tree’s figures and verdict, step by step',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --units us --explain T109',
    ],
    [
      'only the schedule, down a pipe',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --quiet --out a.geojson --schedule -',
    ],
  )}\n\n${EXIT_CODES}`,
  siting: `${examples(
    [
      'where can house B-08 go on its lot, 5 ft from every line, so that every tree is within its limits',
      'rootberth siting --trees survey.csv --crs EPSG:2913 --works works.geojson --lots lots.geojson \\\n' +
        '      --move B-08 --setback 5ft --out siting.geojson',
    ],
    [
      'the same turned by up to 15 degrees or mirrored, with a table of the trees before and after',
      'rootberth siting --trees survey.csv --crs EPSG:2913 --works works.geojson --lots lots.geojson \\\n' +
        '      --move B-08 --turn 15deg --mirror --setback front=20ft,side=5ft,rear=10ft --front 160 \\\n' +
        '      --out siting.geojson --table before-after.csv --units us',
    ],
  )}\n\n${EXIT_CODES}`,
  compare: `${examples(
    [
      'two designs of one site: what changed, line by line',
      'rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --out before.geojson\n' +
        '  rootberth assess --trees survey.csv --crs EPSG:2913 --works works.geojson --limit 25% --out after.geojson\n' +
        '  rootberth compare before.geojson after.geojson',
    ],
    [
      'the same as a table, and as a report with both plans side by side',
      'rootberth compare before.geojson after.geojson --out changes.csv --report changes.html --units us',
    ],
  )}\n\n${EXIT_CODES}`,
  split: `${examples([
    'a job in 8 tiles, run here one after the other, and put together again',
    'rootberth split --trees survey.csv --crs EPSG:2913 --works works.geojson --margins none --tiles 8 \\\n' +
      '      --manifest job.json --out assessed.geojson\n' +
      '  rootberth run job.json --index all\n' +
      '  rootberth merge job.json',
  ])}\n\n${EXIT_CODES}`,
  run: examples(
    ['the fourth tile; a tile that is done is not run again', 'rootberth run job.json --index 3'],
    ['tiles named line by line on a pipe, a line of JSON for each', 'seq 0 7 | rootberth run job.json --stdin'],
  ),
  merge: examples(
    ['which tiles are left to run', 'rootberth merge job.json --missing'],
    [
      'all tiles, with the findings beside them',
      'rootberth merge job.json --out assessed.geojson --findings findings.json',
    ],
  ),
  enqueue: examples([
    'tiles and merge, for all workers at this Redis; run it again after a tile was given up',
    'rootberth enqueue job.json --redis redis://127.0.0.1:6379 --wait',
  ]),
  work: examples([
    'two tiles at a time, on each machine that can read the files',
    'rootberth work --redis redis://127.0.0.1:6379 --concurrency 2',
  ]),
  check: examples(
    ['what a survey holds, and which coordinate system it states', 'rootberth check survey.zip'],
    [
      'several files together: datums and feet are compared',
      'rootberth check survey.csv works.geojson --crs EPSG:2913',
    ],
  ),
  notes: examples(
    ['positions from tape readings, with a sketch', 'rootberth notes notes.csv --sketch sketch.svg'],
    [
      'the same file read by role',
      'rootberth assess --trees notes.csv --works notes.csv --lots notes.csv --out a.geojson',
    ],
  ),
  rules: examples(
    ['all of them, with source and cautions', 'rootberth rules'],
    ['a rule file of your own to start from', 'rootberth rules foot-per-inch > our-code.json'],
    ['whether it can be used, and how it is read', 'rootberth rules our-code.json'],
  ),
  demo: examples(['results in demo-out/, or in a folder of your own', 'rootberth demo']),
  completion: examples(
    [
      'bash: from the next shell on',
      'rootberth completion bash > ~/.local/share/bash-completion/completions/rootberth',
    ],
    ['zsh: in a folder of your fpath', 'rootberth completion zsh > ~/.zfunc/_rootberth'],
    ['fish', 'rootberth completion fish > ~/.config/fish/completions/rootberth.fish'],
  ),
};
