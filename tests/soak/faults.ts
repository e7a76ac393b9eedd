import { mkdir, rename, rm, statfs, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { execa } from 'execa';
import type { Chance } from './chance.js';
import { type NamedServer, type Shop, type Started, until } from './shop.js';

/** A batch at work, by one `run` with a private server or by two workers of a named one. */
export interface Scene {
  readonly shop: Shop;
  readonly chance: Chance;
  readonly programs: readonly Started[];
  /** Null where the programs have a private server. */
  readonly server: NamedServer | null;
  readonly out: string;
}

export interface Fault {
  readonly name: string;
  readonly queue: 'private' | 'named';
  /** What the programs are given in their environment, made ready before they start. */
  readonly prepare?: (shop: Shop, chance: Chance) => Promise<Readonly<Record<string, string>>>;
  /** Done while the batch is at work, and undone before it returns. */
  disturb(scene: Scene): Promise<void>;
  /** Where the batch goes; a folder of the shop where it is not given. */
  readonly disk?: (shop: Shop) => string;
}

function kill(queue: Fault['queue'], signal: NodeJS.Signals, times = 1): Fault {
  const who = queue === 'private' ? 'run' : 'worker';
  return {
    name: `${who}: ${signal}${times === 1 ? '' : ` ${times} times`}`,
    queue,
    async disturb({ programs, chance }) {
      const program = chance.one(programs);
      for (let time = 0; time < times; time += 1) program.kill(signal);
      await program;
    },
  };
}

function withServer(name: string, disturb: (server: NamedServer, scene: Scene) => Promise<unknown>): Fault {
  return {
    name: `named server: ${name}`,
    queue: 'named',
    async disturb(scene) {
      if (scene.server === null) throw new Error('a named server is needed');
      await disturb(scene.server, scene);
    },
  };
}

/** A program in ffmpeg's place that does something else the first `times` times it is to read a file. */
function standIn(program: 'ffmpeg' | 'ffprobe', does: string, times: number) {
  return async (shop: Shop, chance: Chance): Promise<Record<string, string>> => {
    const folder = join(shop.folder, `stand-in-${chance.whole(0, 2 ** 30).toString(36)}`);
    await mkdir(folder);
    const path = join(folder, program);
    const once = Array.from({ length: times }, (_, time) => `mkdir ${folder}/${time} 2>/dev/null`).join(
      ' || ',
    );
    const reads = program === 'ffmpeg' ? '*"-c:v rawvideo"*' : '*show_streams*';
    const lines = ['#!/bin/sh', `case "$*" in ${reads}) if ${once}; then ${does}; fi;; esac`];
    await writeFile(path, [...lines, `exec ${program} "$@"`].join('\n'), { mode: 0o755 });
    return { [`GOODGATE_${program.toUpperCase()}`]: path };
  };
}

const FULL = 'full';

/** Leaves 64 KiB on the small disk, for a while. */
async function fillDisk({ shop, chance }: Scene): Promise<void> {
  const { bavail, bsize } = await statfs(join(shop.folder, FULL));
  const filler = join(shop.folder, FULL, 'filler');
  await writeFile(filler, Buffer.alloc(Math.max(0, bavail * bsize - 65_536)));
  await sleep(chance.whole(1_000, 12_000));
  await rm(filler);
}

/** A disk of 32 MB in memory; false where this user may mount none. */
export async function mountSmallDisk(shop: Shop): Promise<boolean> {
  const at = join(shop.folder, FULL);
  await mkdir(at, { recursive: true });
  const { exitCode } = await execa('mount', ['-t', 'tmpfs', '-o', 'size=32m', 'tmpfs', at], {
    reject: false,
  });
  return exitCode === 0;
}

export async function unmountSmallDisk(shop: Shop): Promise<void> {
  await execa('umount', [join(shop.folder, FULL)], { reject: false });
}

export const DISK_FULL: Fault = {
  name: 'disk: full, then not',
  queue: 'private',
  disk: (shop) => join(shop.folder, FULL),
  disturb: fillDisk,
};

export const FAULTS: readonly Fault[] = [
  ...(['SIGKILL', 'SIGTERM', 'SIGHUP'] as const).flatMap((signal) => [
    kill('private', signal),
    kill('named', signal),
  ]),
  kill('private', 'SIGINT', 2),
  {
    name: 'private server: SIGKILL',
    queue: 'private',
    async disturb({ shop }) {
      const line = shop
        .left()
        .find((each) => each.includes('redis-server') || each.includes('valkey-server'));
      if (line !== undefined) process.kill(Number(line.split(' ')[0]), 'SIGKILL');
    },
  },
  withServer('killed, and started again', async (server, { chance }) => {
    await server.stop();
    await sleep(chance.whole(0, 5_000));
    await server.start();
  }),
  withServer('silent, then not', async (server, { chance }) => {
    server.signal('SIGSTOP');
    await sleep(chance.whole(0, 8_000));
    server.signal('SIGCONT');
  }),
  withServer('flushed', (server) => server.ask('FLUSHALL')),
  withServer('full, then not', async (server, { chance }) => {
    await server.ask('CONFIG', 'SET', 'maxmemory', '1mb');
    await sleep(chance.whole(500, 8_000));
    await server.ask('CONFIG', 'SET', 'maxmemory', '0');
  }),
  {
    name: 'originals: gone, then back',
    queue: 'private',
    async disturb({ shop, chance }) {
      await rename(join(shop.folder, 'card'), join(shop.folder, 'away'));
      await sleep(chance.whole(200, 4_000));
      await rename(join(shop.folder, 'away'), join(shop.folder, 'card'));
    },
  },
  {
    name: 'ffmpeg: crashes three times',
    queue: 'private',
    prepare: standIn('ffmpeg', 'kill -SEGV $$', 3),
    disturb: async () => undefined,
  },
  {
    name: 'ffprobe: crashes once',
    queue: 'private',
    prepare: standIn('ffprobe', 'kill -SEGV $$', 1),
    disturb: async () => undefined,
  },
  {
    name: 'ffmpeg: hangs, run: SIGTERM',
    queue: 'private',
    prepare: standIn('ffmpeg', 'exec sleep 3600', 1),
    async disturb({ shop, programs }) {
      await until(() => shop.left().some((line) => line.includes('sleep 3600')), 60);
      for (const program of programs) program.kill('SIGTERM');
    },
  },
  {
    name: 'ffmpeg: hangs, run: SIGKILL',
    queue: 'private',
    prepare: standIn('ffmpeg', 'exec sleep 3600', 1),
    async disturb({ shop, programs }) {
      await until(() => shop.left().some((line) => line.includes('sleep 3600')), 60);
      for (const program of programs) program.kill('SIGKILL');
    },
  },
];
