import { expect, it } from 'vitest';
import type { ManifestClip } from '../../../jobs/manifest/manifest.js';
import { type Plan, plan as planSchema } from '../../../jobs/plan/plan.js';
import { readStoredPlan, storedPlan, storedPlanText } from '../../../jobs/plan/stored-plan.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import { planBatch } from '../../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from '../../planner/make-facts.js';

const TARGETS = new Map((await builtInTargets()).map((target) => [target.name, target]));

function planOf(clips: ManifestClip[]): Plan {
  return planBatch({
    ...{ root: '/cards', out: '/out', targets: TARGETS, chosen: [...TARGETS.keys()], looks: new Map() },
    ...{ capabilities: CAPABILITIES, version: '1', workers: 2 },
    manifest: { schema: 'goodgate/manifest@1', title: 'Night "4"', root: '/cards', clips },
  });
}

const steady = { rate: '25/1', round: 'near', frames: 90, hold: 2 } as const;
const KINDS: ManifestClip[] = [
  { file: 'a.mov', facts: clipFacts() },
  { file: 'hevc [2].mov', facts: clipFacts({ codec: 'hevc', bitDepth: 10, frames: null, steady }) },
  { file: 'silent.mov', facts: clipFacts({}, { audio: [] }) },
  { file: 'uhd.mov', facts: clipFacts({ width: 3840, height: 2160, durationSeconds: null }), reel: 'B 7' },
  { file: 'sound.wav', facts: clipFacts(null) },
];
const PLAN = planOf(KINDS);
const text = (plan: Plan): string => [...storedPlanText(plan)].join('');
const read = (document: string): Plan | null => readStoredPlan(Buffer.from(document));
const written: { kinds: Record<string, unknown[]>; jobs: unknown[] } = JSON.parse(text(PLAN));

it('a plan comes back from its document as it was', () => {
  expect(PLAN.jobs).toHaveLength(4);
  expect(read(text(PLAN))).toEqual(PLAN);
  expect(planSchema.parse(PLAN)).toEqual(PLAN);
});

it('a plan without jobs too', () => {
  const plan = planOf([]);
  expect(read(text(plan))).toEqual(plan);
});

it('the document fits its schema', () => {
  expect(storedPlan.safeParse(written).error).toBeUndefined();
});

it('what clips have in common stands once, and is held once', () => {
  const clips = Array.from({ length: 60 }, (_, index) => {
    const facts = clipFacts({ frames: 100 + index, durationSeconds: 4 + index / 25 });
    const startTimecode = `10:00:${String(index % 60).padStart(2, '0')}:00`;
    const container = { ...facts.container, startTimecode };
    return { file: `clip-${index}.mov`, facts: { ...facts, bytes: 1_000 + index, container } };
  });
  const plan = planOf(clips);
  const document = text(plan);
  const { kinds } = JSON.parse(document);
  expect(kinds.clips).toHaveLength(1);
  expect(kinds.recipes.length).toBeLessThanOrEqual(TARGETS.size);
  expect(document.length).toBeLessThan(JSON.stringify(plan).length / 4);
  const back = read(document);
  expect(back).toEqual(plan);
  const [first, second] = back?.jobs ?? [];
  expect(first?.outputs[0]?.require).toBe(second?.outputs[0]?.require);
});

it.each([
  ['no JSON', (document: string) => document.slice(1)],
  ['cut short', (document: string) => document.slice(0, -10)],
  ['of another schema', (document: string) => document.replace('plan@1', 'plan@9')],
  ['a job that speaks of no kind', (document: string) => document.replace('"recipe":0', '"recipe":99')],
  ['of losses that are not there', (document: string) => document.replace('"losses":0', '"losses":-1')],
  [
    'sound streams that do not fit the kind',
    (document: string) => document.replace('"audioSeconds":[4]', '"audioSeconds":[]'),
  ],
  [
    'a path that leads out of the folder',
    (document: string) => document.replace(/"path":"[^/"]+\/a\.mov"/, '"path":"../a.mov"'),
  ],
  [
    'an encoder nobody knows',
    (document: string) => document.replace(/"encoder": "[^"]+"/, '"encoder": "sh"'),
  ],
])('%s is no plan', (_, change) => {
  const document = text(PLAN);
  expect(change(document)).not.toBe(document);
  expect(read(change(document))).toBeNull();
});
