import { mkdir, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { expect } from 'vitest';
import { connect } from '../../jobs/queue/connection.js';
import { joinPrivateRedis } from '../../jobs/queue/private-redis.js';
import { copyTarget, openWorkshop } from './goodgate.js';

/** Volumes `one` and `two` with a card of one clip each, and a private server that stays. */
export async function openTwoVolumes() {
  const shop = await openWorkshop();
  await writeFile(join(shop.folder, 'copy.yaml'), copyTarget());
  const clips = ['one', 'two'].map((volume) => join(shop.folder, volume, 'card', 'clip.mov'));
  for (const clip of clips) await mkdir(join(clip, '..'), { recursive: true });
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'gradients=s=64x36:r=25:d=0.4:c0=0x406080:c1=0x809070'],
    ...clips.flatMap((clip) => ['-c:v', 'ffv1', clip]),
  ]);
  const server = await joinPrivateRedis(join(shop.folder, 'state'));
  const redis = connect(server.server);
  return {
    shop,
    redis,
    /** Submits the card of a volume and gives the id of the batch. */
    async submit(volume: string): Promise<string> {
      const args = ['submit', `${volume}/card`, '--target', 'copy.yaml', '--out', `${volume}/out`, '--json'];
      const submitted = await shop.start(args);
      expect(submitted.exitCode, submitted.stderr).toBe(0);
      return JSON.parse(String(submitted.stdout)).batch;
    },
    /** A worker of these volumes, until there is nothing left to do. */
    work(...roots: string[]) {
      const args = ['work', '--until-empty', '--log-level', 'error'];
      return shop.start([...args, ...roots.flatMap((root) => ['--root', root])]);
    },
    async status(...args: string[]) {
      const told = await shop.start(['status', ...args, '--json']);
      expect(told.exitCode, told.stderr).toBe(0);
      return JSON.parse(String(told.stdout));
    },
    outputs(volume: string): Promise<string[]> {
      return readdir(join(shop.folder, volume, 'out', 'copy')).catch(() => []);
    },
    async close(): Promise<void> {
      redis.disconnect();
      await server.release();
      await shop.close();
    },
  };
}
