import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';

/** A second at 25 frames a second is 25 frames, whatever a container says of it. */
const folder = await temporaryFolder();
afterAll(folder.remove);

const path = (name: string): string => join(folder.path, name);
const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=1'];
const MPEG2 = ['-c:v', 'mpeg2video', '-bf', '2', '-g', '12', '-pix_fmt', 'yuv420p'];

async function make(name: string, ...args: readonly string[]): Promise<string> {
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args, path(name)]);
  return path(name);
}
async function finding(file: string, requirement: 'frame-count' | 'duration') {
  const require = requirementSet.parse({ [requirement]: {} });
  const { findings } = judge(await measureFile(file), { name: 't', require }, {});
  return findings.find((one) => one.requirement === requirement);
}
/**
 * Writes another value into every Duration (SMPTE ST 377-1, local tag 02.02, 8 bytes) of an MXF file that has
 * this one.
 */
async function mxfDuration(from: string, name: string, before: number, after: number): Promise<string> {
  const bytes = await readFile(from);
  const item = (value: number): Buffer => Buffer.from([2, 2, 0, 8, 0, 0, 0, 0, 0, 0, 0, value]);
  let at = bytes.indexOf(item(before));
  expect(at).toBeGreaterThan(0);
  for (; at >= 0; at = bytes.indexOf(item(before), at)) item(after).copy(bytes, at);
  await writeFile(path(name), bytes);
  return path(name);
}

describe('frames counted by header, packets and decoder', () => {
  it('agree in MOV with reordered pictures', async () => {
    const file = await make('b.mov', ...PICTURE, ...MPEG2);
    expect(await finding(file, 'frame-count')).toMatchObject({
      outcome: 'pass',
      measured: "25 decoded, 25 declared, 25 in the track's table, 25 in packets",
    });
  });

  it('agree where an edit list hides the frames before a cut', async () => {
    const long = await make(
      'long.mov',
      '-f',
      'lavfi',
      '-i',
      'testsrc2=s=64x64:r=25:d=2',
      ...MPEG2,
      '-bf',
      '0',
    );
    // Key frames stand at 0, 12, 24, ...: from 0.6 s on (frame 15) are 35 frames, decoded from frame 12.
    const file = await make('cut.mov', '-ss', '0.6', '-i', long, '-c', 'copy');
    expect(await finding(file, 'frame-count')).toMatchObject({
      outcome: 'pass',
      measured: expect.stringMatching(/^35 decoded, 35 declared.*without 3 samples hidden by the edit list$/),
    });
  });

  it('agree in MXF, and its track is told where it is a frame longer', async () => {
    const file = await make('ok.mxf', ...PICTURE, ...MPEG2);
    expect(await finding(file, 'frame-count')).toMatchObject({
      outcome: 'pass',
      measured: '25 decoded, 25 declared, 25 in packets',
    });
    expect(await finding(file, 'duration')).toMatchObject({ outcome: 'pass' });
    const liar = await mxfDuration(file, 'liar.mxf', 25, 26);
    expect(await finding(liar, 'frame-count')).toMatchObject({
      outcome: 'fail',
      measured: '25 decoded, 26 declared, 25 in packets: the count declared differs from the others',
    });
    expect(await finding(liar, 'duration')).toMatchObject({ outcome: 'fail' });
  });

  it('are unmeasured in Matroska, which declares none; its length is judged', async () => {
    const file = await make('none.mkv', ...PICTURE, '-c:v', 'ffv1');
    expect(await finding(file, 'frame-count')).toMatchObject({
      outcome: 'unmeasured',
      measured: 'not measured: 25 decoded, 25 in packets; the container declares no count',
    });
    expect(await finding(file, 'duration')).toMatchObject({
      outcome: 'pass',
      measured: '1.000 s of picture, 1.000 s declared for all tracks',
    });
  });
});
