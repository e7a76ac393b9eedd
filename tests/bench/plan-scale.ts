import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { loadManifest } from '../../jobs/manifest/load-manifest.js';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import { plan as planSchema } from '../../jobs/plan/plan.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { CAPABILITIES, clipFacts } from '../planner/make-facts.js';

/** Clips of a card as `scan` writes them, in three kinds, each with its own size and time. */
function manifestOf(clips: number): Manifest {
  return {
    schema: 'goodgate/manifest@1',
    title: 'scale',
    root: '/cards',
    defaults: { targets: ['intermediate-422-10', 'proxy-h264'] },
    clips: Array.from({ length: clips }, (_, index) => ({
      file: `A${Math.floor(index / 500) + 1}/clip-${index}.mov`,
      facts: {
        ...clipFacts([{}, { codec: 'hevc', bitDepth: 10 }, { width: 3840, height: 2160 }][index % 3] ?? {}),
        bytes: 1_000_000 + index,
      },
    })),
  };
}

/**
 * What planning so many clips costs, step by step: processor time, and the largest memory of the process so
 * far. Reading a manifest of YAML, planning, and the checks and texts of the plan's document.
 */
export async function* planScaleLines(clips: number): AsyncGenerator<string> {
  const targets = new Map((await builtInTargets()).map((each) => [each.name, each]));
  let before = process.cpuUsage();
  const line = (step: string): string => {
    const { user, system } = process.cpuUsage(before);
    const peak = process.resourceUsage().maxRSS / 1024;
    before = process.cpuUsage();
    return `${step.padEnd(28)}${((user + system) / 1e6).toFixed(2).padStart(8)} s${peak.toFixed(0).padStart(8)} MB`;
  };
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-scale-'));
  try {
    const file = join(folder, 'manifest.json');
    writeFileSync(file, JSON.stringify(manifestOf(clips)));
    yield line(`${clips} clips: made`);
    const { manifest } = await loadManifest(file);
    yield line('manifest read (JSON)');
    const plan = planBatch({
      ...{ manifest, root: '/cards', out: '/out', targets, chosen: [], capabilities: CAPABILITIES },
      ...{ version: '1', looks: new Map(), workers: 2 },
    });
    yield line('planned');
    planSchema.parse(plan);
    yield line('plan checked');
    const text = JSON.stringify(plan, null, 2);
    yield line(`plan.json (${(text.length / 1e6).toFixed(0)} MB)`);
    planSchema.parse(JSON.parse(text));
    yield line('plan.json read');
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
