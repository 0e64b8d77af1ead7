// The layer rule. A room is a folder of src; its front is its index.ts. A stage imports the shared rooms (model, text,
// geometry, style), the stages listed with it here, and nothing of another room but its front. Only assess, siting and compare join stages.
const SHARED = ['model', 'text', 'geometry', 'style'];

/** What each room may import, besides the shared rooms and itself. */
const ROOMS = {
  notes: ['crs'], // where bearings count from true north, and known points are in degrees
  grades: [],
  read: ['grades', 'notes'],
  check: [],
  crs: [],
  rules: [],
  overlap: [],
  crown: [],
  shade: [],
  worth: [],
  facts: [],
  plan: [],
  packet: [],
  tiles: [],
  write: ['facts'], // the published figures that stand beside a tree's own
  assess: ['check', 'crown', 'crs', 'overlap', 'plan', 'rules', 'worth'],
  // reads what assess wrote: it knows no assessment
  compare: ['check', 'crs', 'read'],
  siting: ['assess', 'check', 'crs', 'overlap', 'rules'],
  // sinks print numbers and pieces of text the way write does; an explanation also writes out rules
  report: ['facts', 'packet', 'write'], // figures and notes that hold where a job brings none
  explain: ['write', 'rules'],
  describe: ['check', 'crs', 'read'],
  // what knows Node
  postgis: ['read', 'write'],
  node: [
    'assess',
    'compare',
    'crs',
    'grades',
    'facts',
    'overlap',
    'plan',
    'postgis',
    'read',
    'rules',
    'siting',
    'tiles',
    'write',
  ],
  cli: [
    'assess',
    'check',
    'compare',
    'crs',
    'describe',
    'explain',
    'node',
    'notes',
    'packet',
    'plan',
    'postgis',
    'read',
    'report',
    'rules',
    'shade',
    'write',
  ],
};
const KNOWS_NODE = '^src/(node|cli|queue|postgis|index)(\\.ts$|/)';

const roomRules = Object.entries(ROOMS).map(([room, others]) => ({
  name: `room-${room}`,
  comment: `${room}/ knows the shared rooms${others.length === 0 ? '' : `, ${others.join(', ')}`} and itself`,
  severity: 'error',
  from: { path: `^src/${room}/` },
  to: { path: '^src/', pathNot: `^src/(${[...SHARED, ...others, room].join('|')})/` },
}));

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    ...roomRules,
    {
      name: 'by-the-front',
      comment: 'another room is entered by its index.ts; node/ has a front for each of its parts',
      severity: 'error',
      from: { path: '^src/([^/]+)/', pathNot: '^src/page/' }, // a page takes single modules, so that it loads no more
      to: {
        path: '^src/[^/]+/',
        pathNot: [
          '^src/$1/',
          '^src/[^/]+/index\\.ts$',
          '^src/node/[^/]+/index\\.ts$',
          '^src/crs/tables/',
          '^src/node/crs\\.ts$',
        ],
      },
    },
    {
      name: 'entries-by-the-front',
      comment: 'entries take names from fronts',
      severity: 'error',
      from: { path: '^src/[^/]+\\.ts$' },
      to: {
        path: '^src/[^/]+/',
        pathNot: ['/index\\.ts$', '^src/(web|crs/tables)/', '^src/node/crs\\.ts$'],
      },
    },
    {
      name: 'page-is-a-program',
      comment: 'like the command line it stands on all others; nothing stands on it',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/page/' },
      to: { path: '^src/page/' },
    },
    {
      name: 'text-knows-nothing',
      severity: 'error',
      from: { path: '^src/text/' },
      to: { path: '^src/', pathNot: '^src/text/' },
    },
    {
      name: 'geometry-is-a-kernel',
      comment: 'geometry knows neither GeoJSON nor trees',
      severity: 'error',
      from: { path: '^src/geometry/' },
      to: { path: '^src/', pathNot: '^src/geometry/' },
    },
    {
      name: 'model-is-a-leaf',
      comment: 'the model is types, findings and units; it names columns of the kernel and words of text/',
      severity: 'error',
      from: { path: '^src/model/' },
      to: { path: '^src/', pathNot: '^src/(model|geometry|text)/' },
    },
    {
      name: 'style-is-a-table',
      comment: 'colours, and how they are told to map tools: it knows words of the model alone',
      severity: 'error',
      from: { path: '^src/style/' },
      to: { path: '^src/', pathNot: '^src/(style|model)/' },
    },
    {
      name: 'core-without-node',
      comment: 'only node/, postgis/, cli/ and the entries of the same names know Node',
      severity: 'error',
      from: { path: '^src/', pathNot: KNOWS_NODE },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'core-without-entry',
      comment: 'the core never imports what stands on it',
      severity: 'error',
      // the page takes the FlatGeobuf reader, which knows no Node
      from: { path: '^src/', pathNot: `${KNOWS_NODE}|^src/page/` },
      to: { path: KNOWS_NODE },
    },
    {
      name: 'core-without-crs-table',
      comment: 'tables of systems are large: Node registers the whole, a browser loads what it needs',
      severity: 'error',
      from: {
        path: '^src/',
        pathNot: '^src/(node|crs/tables)/|^src/web/(us|europe|oceania|world)\\.ts$|^src/crs/(wkt/esri-wkt|twins)\\.ts$',
      },
      to: { path: '^src/crs/tables/', pathNot: '^src/crs/tables/(base|table)\\.ts$' },
    },
    {
      name: 'crs-tables-are-data',
      severity: 'error',
      from: { path: '^src/crs/tables/' },
      to: { path: '^src/', pathNot: '^src/crs/(tables/|crs-registry)' },
    },
    {
      name: 'no-cycles',
      comment: 'neither of values nor of types',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'require', 'node', 'default', 'types'],
    },
  },
};
