// The search for a place, in a thread of its own: the page stays free, and Stop ends it by ending the thread. In: a question;
// out: an answer, or what is wrong. The search is the command line's own (siting/).

import { placeLayers } from '../../crs/index.js';
import { shareOf } from '../../rules/index.js';
import { type LengthUnit, parseRuleText, siting, sitingWords, toSitingPlan } from '../../web.js';
import { inWords, jobFrom, withSystems } from '../job.js';
import { collectionText, piecesOf } from '../plan/layer-edit.js';
import { openPlan } from '../plan-file.js';
import type { Answer, Question, Reply } from './question.js';

async function answered({ plan, rule, asked, units, stamp, dbhUnit }: Question): Promise<Answer> {
  const { sources, settings } = await openPlan(plan, 'plan');
  const job = jobFrom(sources, {
    crs: settings.crs,
    rule: settings.rule ?? 'foot-per-inch',
    ruleFile: rule === null ? null : { name: 'rule.json', rule: parseRuleText(rule, 'rule.json') },
    limit: settings.limit === '' ? undefined : shareOf(settings.limit),
    limitText: settings.limit,
    units,
    dbhUnit: dbhUnit as LengthUnit | '',
    kind: 'building',
    fields: settings.fields,
    values: settings.values,
  });
  if (job === null) throw new Error('a plan without trees has no place to look for');
  const found = await withSystems(() => siting(job, asked));
  const [best] = found.sitings;
  const why = found.findings.find(({ code }) => code === 'siting-no-room' || code === 'siting-trade');
  const words = best === undefined ? 'It fits at none of the places tried.' : `It ${sitingWords(found, best, units)}.`;
  const layers = found.before.job.works.layers;
  const { placed } = placeLayers(
    [{ role: 'trees' as const, layer: job.trees }, ...layers.map((layer) => ({ role: 'works' as const, layer }))],
    found.before.options,
  );
  return {
    status: found.status,
    words: why === undefined ? words : `${words} ${why.message[0]?.toUpperCase()}${why.message.slice(1)}.`,
    places: found.sitings.map((place) => ({
      rank: place.rank,
      words: sitingWords(found, place, units),
      works: place.after.job.works.layers.map((layer, i) => collectionText(piecesOf(layer), placed[i + 1]!.transform)),
    })),
    picture: best === undefined ? '' : toSitingPlan(found, { units, ...(stamp === null ? {} : { stamp }) }),
  };
}

self.addEventListener('message', (event: MessageEvent<Question>) => {
  answered(event.data).then(
    (answer) => self.postMessage({ answer } satisfies Reply),
    (error: unknown) => self.postMessage({ refused: inWords(error) } satisfies Reply),
  );
});
