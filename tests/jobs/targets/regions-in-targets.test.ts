import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PLACED_NAMES, REQUIREMENT_NAMES } from '../../../jobs/requirements/requirement.js';
import { loadTarget } from '../../../jobs/targets/load-target.js';
import { REQUIREMENTS } from '../../../workers/judge/requirements.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-regions-'));
});
afterAll(() => rm(folder, { recursive: true }));

const HEAD = 'schema: goodgate/target@1\nname: t\ntitle: t\nrequire:\n';
async function load(entry: string) {
  const file = join(folder, 't.yaml');
  await writeFile(file, `${HEAD}  ${entry}\n`);
  return loadTarget(file, { baseFolder: folder });
}

describe('regions in a target', () => {
  it.each([
    ['timecodes', '[{ from: "10:00:00:00", to: "10:02:00:00" }]', { from: '10:00:00:00', to: '10:02:00:00' }],
    [
      'timecodes without quotes',
      '[{ from: 10:00:00:00, to: 10:02:00:00 }]',
      { from: '10:00:00:00', to: '10:02:00:00' },
    ],
    [
      'drop-frame labels',
      '[{ from: "10:00:00;00", to: "10:02:00;02" }]',
      { from: '10:00:00;00', to: '10:02:00;02' },
    ],
    ['frames', '[{ from: 0, to: 250 }]', { from: 0, to: 250 }],
    ['an open end', '[{ from: 250 }]', { from: 250 }],
    ['an open start', '[{ to: "00:00:10:00" }]', { to: '00:00:10:00' }],
  ])('takes %s', async (_, regions, first) => {
    const { require } = await load(`signal-range: { regions: ${regions} }`);
    expect(require?.['signal-range']?.regions).toEqual([first]);
  });

  // Line 5 is the requirement's own.
  it.each([
    [
      'raster: { width: 1, height: 1, regions: [{ from: 0 }] }',
      34,
      'raster is judged over the whole file and has no regions; allowed in: ',
    ],
    ['decode: { regions: [{ from: 0 }] }', 13, 'decode is judged over the whole file'],
    [
      'loudness: { target: -23, tolerance: 1, regions: [{ from: 0 }] }',
      42,
      'loudness is judged over the whole file',
    ],
    [
      'raster: { width: 1, height: 1, joinGaps: 2 }',
      34,
      'raster is judged over the whole file and has no joinGaps',
    ],
    [
      'signal-range: { regions: [{ frm: 0, to: 5 }] }',
      31,
      'unknown key "frm"; the nearest is from; allowed: from, to',
    ],
    ['signal-range: { region: [{ from: 0 }] }', 19, 'the nearest is regions'],
    ['signal-range: { regions: [] }', 28, 'at least 1'],
    ['signal-range: { regions: [{}] }', 29, 'allowed: from, to, or both'],
    ['signal-range: { regions: [{ from: ten }] }', 37, 'given "ten"; allowed: a timecode'],
    ['signal-range: { regions: [{ from: -1 }] }', 37, 'given -1'],
    ['signal-range: { regions: [{ from: 1.5 }] }', 37, 'given 1.5'],
    ['signal-range: { regions: [{ from: 5, to: 5 }] }', 29, 'begins before it ends'],
    [
      'signal-range: { regions: [{ from: 0, to: "10:00:00:00" }] }',
      29,
      'both as timecodes or both as frames',
    ],
    ['signal-range: { regions: [{ from: "10:00:00:00", to: "10:00:00:00" }] }', 29, 'not empty'],
  ])('refuses %s', async (entry, column, message) => {
    await expect(load(entry)).rejects.toMatchObject({
      code: 'bad-document',
      where: expect.stringMatching(new RegExp(`t\\.yaml:5:${column}$`)),
      what: expect.stringContaining(message),
    });
  });

  it('every requirement that takes regions can judge them, and no other claims to', () => {
    const judging = REQUIREMENT_NAMES.filter((name) => REQUIREMENTS[name].within !== undefined);
    expect(judging).toEqual(PLACED_NAMES);
    expect(judging).toContain('signal-range');
  });
});
