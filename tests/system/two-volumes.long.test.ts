import { mkdir, readdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { openTwoVolumes } from './two-volumes.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

let volumes: Awaited<ReturnType<typeof openTwoVolumes>>;
beforeEach(async () => {
  volumes = await openTwoVolumes();
});
afterEach(() => volumes.close());

it('workers of two volumes do each their own, leave the other untouched, and say so', async () => {
  const [one, two] = [await volumes.submit('one'), await volumes.submit('two')];
  const first = await volumes.work('one');
  expect(first.exitCode, first.stderr).toBe(3);
  expect(first.stderr).toContain(`batch ${two} (card) is not done: outside-roots`);
  expect([await volumes.outputs('one'), await volumes.outputs('two')]).toEqual([['clip.mkv'], []]);

  // A volume that is not mounted: an empty folder stands in its place.
  await rename(join(volumes.shop.folder, 'two', 'out'), join(volumes.shop.folder, 'two', 'away'));
  await mkdir(join(volumes.shop.folder, 'two', 'out'));
  const unmounted = await volumes.work('two');
  expect(unmounted.exitCode).toBe(3);
  expect(unmounted.stderr).toContain('its volume is not mounted');
  expect(await readdir(join(volumes.shop.folder, 'two', 'out'))).toEqual([]);
  await rm(join(volumes.shop.folder, 'two', 'out'), { recursive: true });
  await rename(join(volumes.shop.folder, 'two', 'away'), join(volumes.shop.folder, 'two', 'out'));

  const second = await volumes.work('two');
  expect(second.exitCode, second.stderr).toBe(0);
  expect(await volumes.outputs('two')).toEqual(['clip.mkv']);
  const states = await volumes.status();
  expect(states.map(({ batch }: { batch: string }) => batch).sort()).toEqual([one, two].sort());
  for (const { clips, report, by } of states) {
    expect(clips).toMatchObject([{ state: 'completed' }]);
    expect(report.state).toBe('written');
    expect(by.user.length * by.host.length).toBeGreaterThan(0);
  }
});
