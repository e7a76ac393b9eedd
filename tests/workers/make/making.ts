import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe, PlannedClip } from '../../../jobs/plan/plan.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { makeCommand } from '../../../workers/make/make-command.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { HD, planned, RECIPE } from './recipes.js';

export const NOISE = 'testsrc2=s=128x72:r=30000/1001,noise=alls=20:all_seed=1';
let made = 0;

/** A folder of one test file in which clips are drawn and outputs made. */
export class Making {
  private constructor(readonly folder: string) {}

  static async begin(): Promise<Making> {
    return new Making(await mkdtemp(join(tmpdir(), 'goodgate-make-')));
  }

  end(): Promise<void> {
    return rm(this.folder, { recursive: true, force: true });
  }

  /** Ten frames of a filter's picture, with a tone. */
  async source(name: string, input: string, ...options: string[]): Promise<PlannedClip> {
    const path = join(this.folder, name);
    const result = await runFfmpeg({
      inputs: [
        { path: input, options: ['-f', 'lavfi'] },
        { path: 'sine=f=1000:r=48000', options: ['-f', 'lavfi'] },
      ],
      outputs: [{ path, options: ['-frames:v', '10', '-t', '0.334', ...options] }],
    });
    expect(result.errors).toEqual([]);
    return { path, name, facts: await probeClip(path), colour: HD };
  }

  /** A filter's picture without sound, kept without loss. */
  async clip(name: string, input: string, ...options: string[]): Promise<PlannedClip> {
    const path = join(this.folder, name);
    const result = await runFfmpeg({
      inputs: [{ path: input, options: ['-f', 'lavfi'] }],
      outputs: [{ path, options: [...options, '-c:v', 'ffv1'] }],
    });
    expect(result.errors).toEqual([]);
    return { path, name, facts: await probeClip(path), colour: HD };
  }

  /** Makes a clip by a recipe and reads back what the file says. */
  async make(
    recipe: Partial<OutputRecipe>,
    clip: PlannedClip,
    fontFile: string | null = null,
  ): Promise<ClipFacts & { path: string }> {
    const path = join(this.folder, `${made++}.part`);
    const full = { ...RECIPE, frameRate: '30000/1001', ...recipe };
    const command = makeCommand({
      clip,
      outputs: [{ output: planned(full), temporaryPath: path, baked: null, quantiser: null }],
      taps: [],
      capabilities: { fontFile },
    });
    const result = await runFfmpeg(command);
    expect(result).toMatchObject({ exitCode: 0, errors: [] });
    return { ...(await probeClip(path)), path };
  }

  /** Hash of the decoded samples, as planes of one pixel format. */
  async hash(path: string, pixelFormat: string): Promise<string> {
    return (await this.decoded(path, pixelFormat, 'md5')).toString();
  }

  /** The decoded samples of the first frame. */
  async frame(path: string, pixelFormat: string): Promise<number[]> {
    const bytes = await this.decoded(path, pixelFormat, 'rawvideo', '-frames:v', '1');
    if (!/\d\dle$/.test(pixelFormat)) return [...bytes];
    return Array.from({ length: bytes.length / 2 }, (_, i) => bytes.readUInt16LE(2 * i));
  }

  private async decoded(path: string, pixelFormat: string, muxer: string, ...more: string[]) {
    const to = join(this.folder, `${made++}.${muxer}`);
    await runFfmpeg({
      inputs: [{ path, options: [] }],
      outputs: [{ path: to, options: ['-map', '0:v', '-pix_fmt', pixelFormat, ...more, '-f', muxer] }],
    });
    return readFile(to);
  }
}
