import { expect, it } from 'vitest';
import type { ManifestClip } from '../../jobs/manifest/manifest.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { joinPlans, namingIn } from '../../planner/join-plans.js';
import { planBatch } from '../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from './make-facts.js';

const TARGETS = new Map((await builtInTargets()).map((target) => [target.name, target]));

function planOf(root: string, clips: ManifestClip[], earlier?: Plan): Plan {
  const named = clips.map(({ file }) => ({ path: `${root}/${file}`, file }));
  const naming = earlier && namingIn(earlier, named, root.slice(root.lastIndexOf('/') + 1));
  return planBatch({
    ...{ root, out: '/out', targets: TARGETS, chosen: ['proxy-h264'], looks: new Map(), naming },
    ...{ capabilities: CAPABILITIES, version: '1', workers: 2 },
    manifest: { schema: 'goodgate/manifest@1', title: root, root, clips },
  });
}

const clip = (file: string, bytes = 1): ManifestClip => ({ file, facts: { ...clipFacts(), bytes } });
const told = (plan: Plan): Set<string> => new Set(plan.jobs.map((job) => job.clip.path));
const names = ({ jobs }: Plan): string[] => jobs.map((job) => job.clip.name);
const join = (earlier: Plan, added: Plan, input = '/other.yaml') =>
  joinPlans(earlier, added, told(added), input);

const FIRST = planOf('/cards/A001', [clip('C001.mov'), clip('C002.mov')]);

it('a card whose names are free keeps them, behind the clips that were there', () => {
  const { plan, kept, clashes } = join(FIRST, planOf('/cards/B002', [clip('D001.mov')], FIRST));
  expect(names(plan)).toEqual(['C001.mov', 'C002.mov', 'D001.mov']);
  expect(kept).toEqual(new Set(FIRST.jobs.map(({ id }) => id)));
  expect(clashes).toEqual([]);
  expect([plan.root, plan.joined]).toEqual(['/cards/A001', ['/cards/B002']]);
  expect(plan.title).toBe('/cards/A001 + /cards/B002');
  expect(plan.totals).toMatchObject({ clips: 3, outputs: 3 });
  expect(plan.totals.bytes).toBe(3 * (FIRST.jobs[0]?.outputs[0]?.estimate.bytes ?? 0));
});

it.each([
  ['the same name', 'C001.mov'],
  ['one that differs in case', 'c001.MOV'],
  ['one whose output would have the same', 'C001.mxf'],
])('where %s is taken, all of the card lie in a folder of its name', (_, taken) => {
  const second = planOf('/cards/B002', [clip('D001.mov'), clip(taken)], FIRST);
  expect(names(second)).toEqual(['B002/D001.mov', `B002/${taken}`]);
  expect(second.jobs.map(({ outputs }) => outputs[0]?.path)).toEqual([
    'proxy-h264/B002/D001.mp4',
    `proxy-h264/B002/${taken.slice(0, 4)}.mp4`,
  ]);
  expect(join(FIRST, second).clashes).toEqual([]);
});

it('the same again is the same: names, keys and id; what came since lies where its card does', () => {
  const second = planOf('/cards/B002', [clip('C001.mov')], FIRST);
  const both = join(FIRST, second).plan;
  for (const [root, clips] of [
    ['/cards/A001', [clip('C001.mov'), clip('C002.mov')]],
    ['/cards/B002', [clip('C001.mov')]],
  ] as const) {
    const again = join(both, planOf(root, [...clips], both)).plan;
    expect(again.id).toBe(both.id);
    expect(again.title).toBe(both.title);
    expect(again.jobs).toEqual(both.jobs);
  }
  const grown = join(both, planOf('/cards/B002', [clip('C001.mov'), clip('E001.mov')], both)).plan;
  expect(names(grown)).toEqual(['C001.mov', 'C002.mov', 'B002/C001.mov', 'B002/E001.mov']);
  // A manifest of both cards, too, speaks of the clips that are there.
  const whole = planOf('/cards', [clip('A001/C001.mov'), clip('B002/C001.mov'), clip('F003/C001.mov')], both);
  expect(names(whole)).toEqual(['C001.mov', 'B002/C001.mov', 'F003/C001.mov']);
});

it('two cards of one name clash, and each name is told', () => {
  const both = join(FIRST, planOf('/cards/B002', [clip('C001.mov')], FIRST)).plan;
  const third = planOf('/copies/B002', [clip('C001.mov')], both);
  expect(join(both, third).clashes).toEqual(['B002/C001.mov', 'proxy-h264/B002/C001.mp4']);
});

it('refusals of other manifests stay, those of the same manifest are told anew', () => {
  const refusal = { target: null, reason: 'r', next: 'n' };
  const earlier: Plan = {
    ...FIRST,
    refused: [
      { ...refusal, clip: 'X.mov', from: '/a.yaml' },
      { ...refusal, clip: 'Y.mov', from: '/b.yaml' },
    ],
  };
  const added = planOf('/cards/B002', [clip('D001.mov')], earlier);
  expect(join(earlier, added, '/b.yaml').plan.refused.map(({ clip }) => clip)).toEqual(['X.mov']);
});

it('a plan of all clips that are there is the whole batch', () => {
  const again = planOf('/cards/A001', [clip('C002.mov'), clip('C001.mov'), clip('C003.mov')], FIRST);
  expect(join(FIRST, again)).toEqual({ plan: again, kept: new Set(), clashes: [] });
});

it('what is asked for and cannot be made is not told as no longer asked for', () => {
  const refused = { target: null, reason: 'it has no target', next: 'name one' };
  const again = { ...planOf('/cards/A001', [clip('C001.mov')]), refused: [{ clip: 'C002.mov', ...refused }] };
  expect(join(FIRST, again).plan.left).toEqual([]);
  const gone = new Set(told(FIRST));
  expect(joinPlans(FIRST, again, gone, '/a.yaml').plan.left.map(({ clip, why }) => [clip, why])).toEqual([
    ['C002.mov', 'refused'],
  ]);
  const without = planOf('/cards/A001', [clip('C001.mov')]);
  const unread = [{ clip: 'C002.mov', target: null }];
  expect(joinPlans(FIRST, without, gone, '/a.yaml', unread).plan.left[0]?.why).toBe('refused');
  expect(joinPlans(FIRST, without, gone, '/a.yaml').plan.left[0]?.why).toBe('not-asked');
  const other = { ...without, refused: [{ clip: 'C002.mov', ...refused, target: 'intermediate-422-10' }] };
  expect(joinPlans(FIRST, other, gone, '/a.yaml').plan.left[0]?.why).toBe('not-asked');
});
