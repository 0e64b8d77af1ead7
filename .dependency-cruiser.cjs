// The layer rule: a stage imports types, findings, units, layer, rule, geometry and its own folder; assess.ts joins them.
const STAGES = [
  'read',
  'check',
  'project',
  'rules',
  'overlap',
  'crown',
  'draw',
  'plan',
  'siting',
  'shade',
  'split',
  'write',
];
const SHARED = '^src/(types|findings|units|layer|rule|mitigation|facade|version|reasons|geometry/.*)\\.ts$';

const stageRules = STAGES.map((stage) => ({
  name: `stage-${stage}`,
  comment: `the ${stage} stage knows only the shared leaves, the geometry kernel and its own folder`,
  severity: 'error',
  from: { path: `^src/${stage}(\\.ts$|/)` },
  to: { path: '^src/', pathNot: [SHARED, `^src/${stage}(\\.ts$|/)`] },
}));

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    ...stageRules,
    {
      name: 'stage-report',
      comment: 'the report is a sink like write: it prints numbers and pieces of text the way write does',
      severity: 'error',
      from: { path: '^src/report(\\.ts$|/)' },
      to: { path: '^src/', pathNot: [SHARED, '^src/(report|write)(\\.ts$|/)'] },
    },
    {
      name: 'stage-explain',
      comment: 'an explanation writes out rules with their numbers and prints them the way write does',
      severity: 'error',
      from: { path: '^src/explain(\\.ts$|/)' },
      to: { path: '^src/', pathNot: [SHARED, '^src/(explain(\\.ts$|/)|write/|rules/|zone/classes\\.ts$)'] },
    },
    {
      name: 'stage-zone-and-judge',
      comment: 'zones and verdicts are rules evaluated: both may also use rules/',
      severity: 'error',
      from: { path: '^src/(zone|judge)(\\.ts$|/)' },
      to: { path: '^src/', pathNot: [SHARED, '^src/(rules/|judge(\\.ts$|/)|zone/)'] },
    },
    {
      name: 'stage-postgis',
      comment:
        'tables are read into layers and written from the tables of the write stage; its entry joins it to node/',
      severity: 'error',
      from: { path: '^src/postgis/' },
      to: { path: '^src/', pathNot: [SHARED, '^src/(postgis/|(read|write)\\.ts$|node/peer\\.ts$)'] },
    },
    {
      name: 'geometry-is-a-kernel',
      comment: 'geometry knows neither GeoJSON nor trees',
      severity: 'error',
      from: { path: '^src/geometry/' },
      to: { path: '^src/', pathNot: '^src/geometry/' },
    },
    {
      name: 'core-without-node',
      comment: 'only node.ts, node/, queue.ts, postgis.ts, postgis/, cli.ts and cli/ know Node',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/(node|cli|queue|postgis)(\\.ts$|/)' },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'core-without-entry',
      comment: 'the core never imports what stands on it',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/(node|cli|queue|postgis)(\\.ts$|/)' },
      to: { path: '^src/(node|cli|queue|postgis)(\\.ts$|/)' },
    },
    {
      name: 'core-without-crs-table',
      comment: 'the table of the whole world is large: Node registers it, a browser loads what it needs',
      severity: 'error',
      from: {
        path: '^src/',
        pathNot: '^src/(node|cli|queue|postgis|crs)(\\.ts$|/)|^src/web/(us|europe|oceania|world)\\.ts$',
      },
      to: { path: '^src/(crs/|project/crs-data)' },
    },
    {
      name: 'crs-regions-are-data',
      severity: 'error',
      from: { path: '^src/crs/' },
      to: { path: '^src/', pathNot: '^src/project/crs-(data|registry)' },
    },
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
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
