// Options of the commands. In: a command; out: the same with its options, in the groups its help shows.
// Terms: placeholder = the words in angle brackets after an option: completion and job files read from it what a value is
// (file, [kind=]file, id|file.json), so it is written with care.

import { type Command, Option } from 'commander';
import { EXISTING_USES, type FormatName } from '../model/index.js';

const FORMATS: readonly FormatName[] = [
  'geojson',
  'geojsonseq',
  'csv',
  'points',
  'shapefile',
  'geopackage',
  'kml',
  'landxml',
  'dxf',
  'flatgeobuf',
  'xlsx',
];

const COLUMNS_HELP =
  'columns of a survey without a heading: letters P,N,E,Z,D (point, northing, easting, elevation, description), or names';
const SALVAGE_HELP = 'read damaged shapefiles and zips as far as they go, with a finding for each record lost';
const BBOX_HELP =
  'read only what meets a box, in the file’s own coordinates (GeoPackage, FlatGeobuf; of the trees, or works= and the like)';
const DATABASE_HELP =
  'where tables (postgis:SCHEMA.TABLE for a file) are: postgres://user@host/name; default: PGHOST, PGDATABASE, PGUSER, ...';
const CODE_HELP =
  'description code of survey points -> species: OAK=Quercus; points of other codes are set aside; repeat';

/** Everything `assess` takes. */
export function assessOptions(command: Command): Command {
  layerOptions(command).option('--crowns <file>', 'crowns that an arborist drew, each named after its tree');
  figureOptions(command);
  coordinateOptions(command, true);
  readingOptions(command);
  crownOptions(command);
  resultOptions(command);
  return runOptions(command);
}

/** Everything `split` takes: what `assess` takes for files, rules and figures, and how to cut. */
export function splitOptions(command: Command): Command {
  command
    .optionsGroup('Tiles:')
    .option(
      '--manifest <file.json>',
      'the manifest to write (required); a folder of the same name with .d stands beside it',
    )
    .option('--tiles <n>', 'how many tiles')
    .option('--trees-per-tile <n>', 'or how many trees a tile, on average');
  layerOptions(command).option('--crowns <file>', 'crowns that an arborist drew, each named after its tree');
  figureOptions(command);
  coordinateOptions(command, true);
  readingOptions(command);
  crownOptions(command);
  command
    .optionsGroup('What the merge will write:')
    .option('--out <file>', 'the result: .geojson, .ndjson for one feature a line, or postgis:SCHEMA.NAME')
    .option('--out-crs <code>', 'coordinate system of the output, such as EPSG:2913, in place of longitude, latitude')
    .addOption(new Option('--units <system>', 'units of the output').choices(['us', 'metric']).default('metric'))
    .option('--roles <list>', 'features to write, such as tree,zone')
    .option('--prefix <text>', 'what each computed property begins with', 'rb_')
    .option('--schedule <file.csv>', 'tree schedule')
    .option('--lot-table <file.csv>', 'trees kept and lost, diameters and replacement per lot and in total')
    .option('--mitigation <id|file.json>', 'what replaces lost trees: inch-for-inch, 125-percent, ... or a table')
    .option('--findings <file.json>', 'findings')
    .optionsGroup('Fences:')
    .option('--working-space <length>', 'kept free between works and protection fences: 1.5m (the default), 5ft')
    .option('--post-spacing <length>', 'most between two posts of a fence; default 10ft');
  return runOptions(command, false);
}

/** What `run` takes. */
export function runTileOptions(command: Command): Command {
  return command
    .option('--manifest <file.json>', 'the manifest that rootberth split wrote')
    .option('--index <n>', 'the tile, counted from 0; several: 0-9,12; every 100th from 3 on: 3-last:100; all')
    .option('--stdin', 'tiles from standard input, one a line: 3, or {"index":3}; a line of JSON for each on stdout')
    .option('--again', 'run it although its result is there')
    .option('--database <url>', DATABASE_HELP);
}

/** What `merge` takes. */
export function mergeOptions(command: Command): Command {
  return command
    .option('--out <file>', 'the result, .geojson, .ndjson or postgis:SCHEMA.NAME; default: as the split was told')
    .option('--schedule <file.csv>', 'tree schedule, where the split was told to make one')
    .option('--lot-table <file.csv>', 'trees kept and lost, diameters and replacement per lot and in total')
    .option('--findings <file.json>', 'findings')
    .option('--database <url>', DATABASE_HELP)
    .option('--missing', 'merge nothing: print the tiles that are not done, one a line')
    .addOption(
      new Option('--fail-on <verdict>', 'exit 3 when a tree to be kept is over its limit').choices(['over-limit']),
    )
    .option('--quiet', 'no findings on stderr');
}

const REDIS_HELP = 'where Redis is; default redis://127.0.0.1:6379';

/** What `enqueue` takes. */
export function enqueueOptions(command: Command): Command {
  return command
    .option('--redis <url>', REDIS_HELP)
    .option('--attempts <n>', 'how often a tile is tried before it is given up; default 3')
    .option('--backoff <time>', 'wait before the second try, doubled before each further one; default 1s')
    .option('--wait', 'wait until the job is merged, or can’t go on');
}

/** What `work` takes. */
export function workOptions(command: Command): Command {
  return command
    .option('--redis <url>', REDIS_HELP)
    .option('--concurrency <n>', 'tiles run beside each other; default 1')
    .option('--lock <time>', 'after about so long the tile of a dead worker is taken up; default 30s');
}

/** Everything `siting` takes: files and how they are read as `assess` does, and what may be done with the footprint. */
export function sitingOptions(command: Command): Command {
  layerOptions(command)
    .optionsGroup('What moves, and where it may go:')
    .option('--move <id>', 'works that move together, by id; repeat; default: all buildings', collect)
    .option('--shift <length>', 'farthest they may go from where they are drawn; default 15m')
    .option('--turn <angle>', 'farthest they may be turned either way: 15deg; default not at all')
    .option('--mirror', 'they may be built as in a mirror, too')
    .option('--setback <distance>', 'kept free along the edges of the lot: 3m, or front=6m,side=1.5m,rear=3m')
    .option('--front <bearing>', 'where the lot’s front faces, degrees clockwise from true north, for setbacks by side')
    .option('--buildable <file>', 'the ground to build on, as polygons, in place of lots and setbacks');
  ruleOptions(command);
  coordinateOptions(command, false);
  readingOptions(command);
  command
    .optionsGroup('The result:')
    .option('--out <file.geojson>', 'sitings, trees before and after, map and allowed region; - is standard output')
    .option('--out-crs <code>', 'coordinate system of the output, such as EPSG:2913, in place of longitude, latitude')
    .addOption(new Option('--units <system>', 'units of the output').choices(['us', 'metric']).default('metric'))
    .option('--prefix <text>', 'what each computed property begins with', 'rb_')
    .option('--table <file.csv>', 'trees before and after, siting by siting; - is standard output')
    .option('--plan <file.svg>', 'drawing of the best siting beside the works as drawn')
    .option('--report <file.html>', 'report of the works at the best siting, with that drawing')
    .option('--title <text>', 'heading of the report')
    .option('--findings <file.json>', 'findings')
    .addOption(new Option('--fail-on <verdict>', 'exit 3 when no place keeps every tree').choices(['over-limit']));
  return runOptions(command);
}

function layerOptions(command: Command): Command {
  return command
    .optionsGroup('Layers:')
    .option(
      '--trees <file>',
      'tree survey (required), in any format of docs/formats.md; - is standard input; postgis:SCHEMA.TABLE a table',
    )
    .option('--database <url>', DATABASE_HELP)
    .option('--works <[kind=]file>', 'proposed works; repeat for several files', collect)
    .option('--option <A=[kind=]file>', 'works of design option A; repeat', collect)
    .option('--overdig <kind=length>', 'working space round a kind: building=0.6m; repeat', collect)
    .option('--existing <file>', 'hard surfaces and structures that stand today; repeat', collect)
    .addOption(
      new Option(
        '--existing-use <use>',
        'counted: works on them count too (default); spared: they are no new loss; regrown: and zones grow',
      ).choices(EXISTING_USES),
    )
    .option('--lots <file>', 'parcels')
    .option('--zones <file>', 'zones that an arborist drew, each named after its tree');
}

function ruleOptions(command: Command): Command {
  return command
    .optionsGroup('Rule:')
    .option(
      '--rule <id|file.json>',
      'the rule that applies (rootberth rules lists them); repeat to judge under several, the first in the plain figures',
      collect,
    )
    .option('--limit <share>', 'overall limit in place of the rule’s: 20% or 0.2');
}

function figureOptions(command: Command): Command {
  return ruleOptions(command)
    .addOption(
      new Option(
        '--margins <which>',
        'how far works may approach or must retreat; default for up to 1,000 trees',
      ).choices(['all', 'none']),
    )
    .option('--dbh-accuracy <length>', 'how far diameters may be off, 1cm: tells which verdicts hold all the same');
}

function coordinateOptions(command: Command, crowns: boolean): Command {
  command
    .optionsGroup('Coordinates:')
    .option('--crs <code>', 'coordinate system of every layer that does not state its own, such as EPSG:2913')
    .option('--trees-crs <code>', 'of the trees')
    .option('--works-crs <code>', 'of the works')
    .option('--existing-crs <code>', 'of what stands today')
    .option('--lots-crs <code>', 'of the lots')
    .option('--zones-crs <code>', 'of the drawn zones');
  if (crowns) command.option('--crowns-crs <code>', 'of the drawn crowns');
  return command
    .addOption(gridOption())
    .option('--ground-factor <factor>', 'ground over grid: coordinates scaled to ground are brought to grid')
    .option('--ground-origin <E,N>', 'the point about which they were scaled; default 0,0')
    .addOption(new Option('--stem-at <place>', 'where trunks were shot').choices(['centre', 'face']))
    .option('--stem-bearing <field>', 'field of the bearing from the face to the trunk’s centre, degrees')
    .addOption(new Option('--stem-north <north>', 'what it counts from; default true').choices(['true', 'grid']));
}

function readingOptions(command: Command): Command {
  return command
    .optionsGroup('Reading the files:')
    .addOption(dbhUnit())
    .option('--field <field=SOURCE>', 'take a field from another column: dbh=DIAM, works.depth=D; repeat', collect)
    .option('--survey-age <age>', 'age from which a survey date is old: 2y (default), 18mo, or never')
    .option('--today <date>', 'date to count it from (default: today), such as 2026-10-01')
    .option('--xy <E,N>', 'columns of easting and northing in a CSV: names, or positions counted from 1')
    .option('--no-header', 'the CSV has no heading row')
    .option('--columns <list>', COLUMNS_HELP)
    .option('--code <code=species>', CODE_HELP, collect)
    .option('--salvage', SALVAGE_HELP)
    .addOption(
      new Option('--format <name>', 'format of standard input, where its content does not tell').choices(FORMATS),
    )
    .option(
      '--layer <[role=]name|name=kind>',
      'layer of a file that holds several (of the trees, or works=, existing=, lots=, zones=, crowns=); drawing layer -> kind of works; repeat',
      collect,
    )
    .option('--bbox <[role=]W,S,E,N>', BBOX_HELP, collect);
}

function crownOptions(command: Command): Command {
  return command
    .optionsGroup('Crowns and limbs:')
    .option('--clearance <length>', 'kept free between crowns and buildings, sideways and upwards: 2m; default none')
    .option('--limbs <file>', 'limb list: tree, bearing, diameter, height, length of each limb')
    .addOption(
      new Option('--limb-bearing <north>', 'what its bearings count from, where it does not say').choices([
        'true',
        'grid',
        'magnetic',
      ]),
    )
    .option('--declination <degrees>', 'of magnetic north, east positive: 15.2, 15.2E or 3W')
    .option('--limb-limit <length>', 'diameter at the cut above which a limb is flagged, such as 4in');
}

function resultOptions(command: Command): Command {
  return command
    .optionsGroup('Crowns and limbs:')
    .option('--limb-schedule <file.csv>', 'the limbs, and which of them are in the way')
    .optionsGroup('The result:')
    .option(
      '--out <file>',
      'the result (required), in the format of its ending: .geojson, .ndjson, .gpkg (GeoPackage), .zip (shapefiles), ' +
        '.fgb (FlatGeobuf), .parquet (GeoParquet), .csv (trees), .dxf (drawing in the survey’s own coordinates), ' +
        '.xlsx (schedule); - is standard output (GeoJSON, NDJSON, CSV); a name ending in / one file per role; ' +
        'postgis:SCHEMA.NAME tables NAME_tree, NAME_zone, ...',
    )
    .option('--out-format <name>', 'format of --out where its ending does not tell, such as gpkg for a folder')
    .option('--out-crs <code>', 'coordinate system of the output, such as EPSG:2913, in place of longitude, latitude')
    .addOption(new Option('--units <system>', 'units of the output').choices(['us', 'metric']).default('metric'))
    .option('--roles <list>', 'features to write, such as tree,zone')
    .option('--prefix <text>', 'what each computed property begins with', 'rb_')
    .addOption(
      new Option('--fail-on <verdict>', 'exit 3 when a tree to be kept is over its limit').choices(['over-limit']),
    )
    .optionsGroup('Tables beside it (- is standard output, for one of them):')
    .option('--schedule <file.csv>', 'tree schedule')
    .option('--lot-table <file.csv>', 'trees kept and lost, diameters and replacement per lot and in total')
    .option('--mitigation <id|file.json>', 'what replaces lost trees: inch-for-inch, 125-percent, ... or a table')
    .option('--option-table <file.csv>', 'design options side by side, tree by tree')
    .option('--findings <file.json>', 'findings')
    .option(
      '--explain <tree>',
      'print the whole reckoning of a tree, step by step (id, tag or trees:17); repeat',
      collect,
    )
    .optionsGroup('Fences:')
    .option('--working-space <length>', 'kept free between works and protection fences: 1.5m (the default), 5ft')
    .option('--post-spacing <length>', 'most between two posts of a fence; default 10ft')
    .option('--stakes <file.csv>', 'corners of the fences for staking out, in the survey’s own coordinates')
    .optionsGroup('Sun and shade of proposed buildings:')
    .option('--shade <file.geojson>', 'facades with the direct sun they get and what trees keep off')
    .option('--shade-table <file.csv>', 'the same as a table: by month, with and without each tree')
    .option('--storey <length>', 'height of buildings that give none; default 3m')
    .option('--leaf-dates <on,off>', 'days of leaf and leaf fall, north of the equator; default 04-15,11-01')
    .option('--transmission <leaf-on,leaf-off>', 'shares of direct sun that pass a crown; default 20%,65%')
    .optionsGroup('Report and plan:')
    .option(
      '--report <file.html>',
      'report: one page that prints, with the plan and a card for each tree over its limit',
    )
    .option('--plan <file.svg>', 'plan drawing, true to scale')
    .option('--sheet <name>', 'sheet of the plan: A4 to A0, letter, legal, tabloid, ansi-c, arch-d, ...; A3-portrait')
    .option('--scale <scale>', 'scale of the plan: 1:200, 1in=20ft; default the largest round one that fits')
    .option('--title <text>', 'heading of report and plan')
    .option('--cards <n|all>', 'trees over their limit that get a card in the report, worst first; default 200');
}

function runOptions(command: Command, isMeasured: boolean = true): Command {
  command
    .optionsGroup('The run:')
    .option('--config <file.json>', 'take options from a job file (default: rootberth.json, where the folder has one)')
    .option('--no-config', 'do not look for rootberth.json')
    .option('--save-config <file.json>', 'write the options of this run as a job file, to be repeated');
  if (isMeasured) command.option('--threads <n>', 'threads that measure (default: as many as the machine offers)');
  return command.option('--quiet', 'no progress and no findings on stderr');
}

/** Everything `check` takes. */
export function checkOptions(command: Command): Command {
  return command
    .optionsGroup('Coordinates:')
    .option('--crs <code>', 'coordinate system of every file that does not state its own')
    .addOption(gridOption())
    .option('--ground-factor <factor>', 'ground over grid: coordinates scaled to ground are brought to grid')
    .option('--ground-origin <E,N>', 'the point about which they were scaled; default 0,0')
    .optionsGroup('Reading the files:')
    .option('--database <url>', DATABASE_HELP)
    .addOption(dbhUnit())
    .option('--field <field=SOURCE>', 'take a field from another column: dbh=DIAM; repeat', collect)
    .option('--xy <E,N>', 'columns of easting and northing in a CSV: names, or positions counted from 1')
    .option('--no-header', 'the CSV has no heading row')
    .option('--columns <list>', COLUMNS_HELP)
    .option('--code <code=species>', CODE_HELP, collect)
    .option('--salvage', SALVAGE_HELP)
    .option('--bbox <W,S,E,N>', BBOX_HELP, collect)
    .option('--layer <name|name=kind>', 'layer of a file that holds several; drawing layer -> kind; repeat', collect);
}

function dbhUnit(): Option {
  return new Option('--dbh-unit <unit>', 'unit of a diameter field whose name does not say it').choices([
    'in',
    'cm',
    'mm',
    'm',
    'ft',
  ]);
}

function gridOption(): Option {
  const words = 'shift grid of an old datum, NTv2 (.gsb) or GeoTIFF (.tif); NAD27=F names the datum; repeat';
  return new Option('--grid <[datum=]file>', words).argParser(collect);
}

/** Gathers the values of an option that may be repeated. */
export function collect(value: string, earlier: string[] | undefined): string[] {
  return [...(earlier ?? []), value];
}
