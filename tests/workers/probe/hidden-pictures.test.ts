import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { temporaryFolder } from '../../media/known-clip.js';

/** Pictures that VP8 codes to predict from and never shows (RFC 6386, 9.1): a packet each, and no frame. */
const FRAMES = 67;
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);
const ffmpeg = (...args: readonly string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args]);

beforeAll(async () => {
  const picture = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=24', '-frames:v', String(FRAMES)];
  const coded = ['-c:v', 'libvpx', '-auto-alt-ref', '1', '-lag-in-frames', '25', '-b:v', '60k'];
  const pass = (n: number): string[] => ['-pass', String(n), '-passlogfile', path('pass')];
  await ffmpeg(...picture, ...coded, ...pass(1), '-f', 'null', '-');
  await ffmpeg(...picture, ...coded, ...pass(2), path('with-the-next.webm'));
  // Other programs put it half-way between two frames: the second packet is the first of these pictures.
  const halfway = 'setts=pts=if(eq(N\\,1)\\,21\\,PTS):dts=if(eq(N\\,1)\\,21\\,DTS)';
  await ffmpeg('-i', path('with-the-next.webm'), '-c', 'copy', '-bsf:v', halfway, path('half-way.webm'));
  // Every frame is shown, and one in five comes late.
  const uneven = "select='not(eq(mod(n,5),2))',setpts=PTS+eq(mod(N\\,4)\\,1)*0.03/TB";
  await ffmpeg(...picture, '-vf', uneven, '-fps_mode', 'passthrough', '-c:v', 'libvpx', path('uneven.webm'));
}, 60_000);

async function told(name: string) {
  const { video } = await probeClip(path(name));
  return [video?.frameRate, video?.constantRate, video?.frames];
}

/** Frames that ffprobe decodes, each once. */
async function decoded(name: string): Promise<number> {
  const entries = ['-select_streams', 'v', '-show_entries', 'frame=key_frame', '-of', 'csv=p=0'];
  const { stdout } = await execa('ffprobe', ['-v', 'error', ...entries, path(name)]);
  return stdout.split('\n').filter((line) => line.trim() !== '').length;
}

/** Packets, shown or not. */
async function packets(name: string): Promise<number> {
  const entries = ['-select_streams', 'v', '-show_entries', 'packet=size', '-of', 'csv=p=0'];
  const { stdout } = await execa('ffprobe', ['-v', 'error', ...entries, path(name)]);
  return stdout.split('\n').filter((line) => line.trim() !== '').length;
}

describe('pictures of VP8 that are never shown', () => {
  it.each(['with-the-next.webm', 'half-way.webm'])('are no frames: %s', async (name) => {
    expect(await packets(name)).toBeGreaterThan(FRAMES);
    expect(await decoded(name)).toBe(FRAMES);
    expect(await told(name)).toEqual(['24/1', true, FRAMES]);
  });

  it('are not looked for where every picture is shown: uneven times stay', async () => {
    const frames = await decoded('uneven.webm');
    expect(await packets('uneven.webm')).toBe(frames);
    expect((await told('uneven.webm')).slice(1)).toEqual([false, frames]);
  });
});
