import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';

/** Files of 25 frames a second, whose sequence headers were then rewritten to say another rate. */
const folder = await temporaryFolder();
afterAll(folder.remove);

async function make(name: string, ...args: readonly string[]): Promise<string> {
  const file = join(folder.path, name);
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args, file]);
  return file;
}
async function finding(file: string, limits: object = {}) {
  const require = requirementSet.parse({ 'rate-layers': limits });
  const { findings } = judge(await measureFile(file), { name: 't', require }, {});
  return findings.find(({ requirement }) => requirement === 'rate-layers');
}
const coded = (name: string, ...args: readonly string[]) =>
  make(name, '-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=1', '-pix_fmt', 'yuv420p', ...args);
const X264 = ['-c:v', 'libx264', '-preset', 'ultrafast'];

describe('frame rate of container and bitstream', () => {
  // A tick of H.264 is a field: 60 of them are 30 frames.
  it.each([
    ['H.264, fixed', [...X264, '-x264-params', 'force-cfr=1'], 'h264_metadata=tick_rate=60', '30/1', 'fail'],
    ['H.264, not fixed', X264, 'h264_metadata=tick_rate=60', '30/1', 'warn'],
    ['HEVC', ['-c:v', 'libx265'], 'hevc_metadata=tick_rate=30000/1001', '30000/1001', 'warn'],
    ['MPEG-2', ['-c:v', 'mpeg2video'], 'mpeg2_metadata=frame_rate=24000/1001', '24000/1001', 'fail'],
  ])('%s', async (name, encoder, rewrite, rate, ruling) => {
    const file = await coded(`${name}.mov`, ...encoder);
    expect(await finding(file)).toMatchObject({ outcome: 'pass', measured: 'both 25/1' });
    const liar = await make(`${name}, liar.mov`, '-i', file, '-c', 'copy', '-bsf:v', rewrite);
    const found = await finding(liar);
    expect(found?.outcome, found?.measured).toBe(ruling);
    expect(found?.measured.startsWith(`container 25/1; bitstream ${rate}`)).toBe(true);
  });

  it('is unmeasured where the bitstream states none, and no proof may be asked', async () => {
    const file = await coded('silent.mov', '-c:v', 'mjpeg', '-pix_fmt', 'yuvj420p');
    expect(await finding(file)).toMatchObject({ outcome: 'unmeasured' });
    expect(await finding(file, { proof: false })).toMatchObject({ outcome: 'pass' });
  });
});
