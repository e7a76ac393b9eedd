import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { formatTarget } from '../../cli/target-text.js';
import { loadLayeredTarget, loadTarget } from '../../jobs/targets/load-target.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-target-text-'));
});
afterAll(() => rm(folder, { recursive: true }));

const HOUSE = `schema: goodgate/target@1
name: house
title: House
extends: hd-sdr-master
require:
  loudness: { target: -24, source: house rules }
  signal-range: { regions: [{ from: "10:00:00:00", to: "10:02:00:00" }] }
  colour-layers: null
`;

describe('formatTarget', () => {
  it('says of each value where it comes from and what it replaced, and can be used as a target again', async () => {
    const file = join(folder, 'house.yaml');
    await writeFile(file, HOUSE);
    const text = formatTarget(await loadLayeredTarget(file, { baseFolder: folder }));
    const lines = text.split('\n').map((line) => line.trim());
    for (const line of [
      'target: -24 # house instead of -23 in hd-sdr-master',
      'tolerance: 0.2 # hd-sdr-master',
      'severity: fail # default',
      'regions: [ { from: "10:00:00:00", to: "10:02:00:00" } ] # house',
      'colour-layers: null # taken away by house',
    ]) {
      expect(lines).toContain(line);
    }
    expect(lines.some((line) => line.startsWith('source: house rules # house instead of "EBU R 128'))).toBe(
      true,
    );

    const again = join(folder, 'again.yaml');
    await writeFile(again, text);
    const [first, second] = await Promise.all(
      [file, again].map((path) => loadTarget(path, { baseFolder: folder })),
    );
    expect(second).toEqual(first);
  });

  it('of a target that stands alone tells its defaults only', async () => {
    const text = formatTarget(await loadLayeredTarget('hd-sdr-master', { baseFolder: folder }));
    expect(text).toContain('target: -23\n');
    expect(text).toContain('severity: fail # default');
  });
});
