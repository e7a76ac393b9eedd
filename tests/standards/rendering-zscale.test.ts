import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BT1886 } from '../../signal/transfer/bt1886.js';
import { hlgInverseEotf } from '../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../signal/transfer/pq.js';
import { SRGB } from '../../signal/transfer/srgb.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';

/**
 * A second opinion on our curves from zscale, which has its own: every 10-bit code in a lossless file,
 * decoded to light by zscale, must come back to that code by our formulas. It shows television on BT.1886 and
 * HLG on 1,000 cd/m2, as we do.
 */
const WIDTH = 64;
const HEIGHT = 16;
const CODES = Array.from({ length: WIDTH * HEIGHT }, (_, code) => code);

let folder: string;
let ramp: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-zscale-'));
  ramp = join(folder, 'ramp.mkv');
  const raw = join(folder, 'ramp.raw');
  await writeFile(raw, new Uint8Array(Uint16Array.from([...CODES, ...CODES, ...CODES]).buffer));
  const size = `${WIDTH}x${HEIGHT}`;
  await run(raw, ['-f', 'rawvideo', '-pix_fmt', 'gbrp10le', '-video_size', size], ramp, ['-c:v', 'ffv1']);
});
afterAll(() => rm(folder, { recursive: true }));

async function run(input: string, inputOptions: string[], output: string, options: string[]): Promise<void> {
  const result = await runFfmpeg({
    inputs: [{ path: input, options: inputOptions }],
    outputs: [{ path: output, options }],
  });
  expect(result.errors).toEqual([]);
  expect(result.exitCode).toBe(0);
}

describe('zscale to light and our formulas back', () => {
  it.each([
    ['smpte2084', 10_000, (light: number) => PQ.inverseEotf(light * 10_000)],
    ['709', 100, BT1886.inverseEotf],
    ['2020_10', 100, BT1886.inverseEotf],
    ['iec61966-2-1', 100, SRGB.inverseEotf],
    ['arib-std-b67', 1000, (light: number) => hlgInverseEotf([light * 1000, light * 1000, light * 1000])[1]],
  ] as const)('%s', async (transfer, peak, encode) => {
    const out = join(folder, `${transfer}.raw`);
    const filter = `zscale=tin=${transfer}:t=linear:npl=${peak}:pin=2020:p=2020:min=gbr:agamma=0,format=gbrpf32le`;
    await run(ramp, [], out, ['-vf', filter, '-f', 'rawvideo', '-pix_fmt', 'gbrpf32le']);
    const bytes = await readFile(out);
    for (const code of CODES) {
      const back = 1023 * encode(bytes.readFloatLE(code * 4));
      // zscale calls everything up to PQ signal 7.3e-7 black, as the formula does: code 0 comes back as that.
      expect(Math.abs(back - code)).toBeLessThan(0.05);
    }
  });
});
