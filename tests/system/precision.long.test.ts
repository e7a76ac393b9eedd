import { readFile, rename } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { findings } from '../../jobs/verdict/findings.js';
import { type Finding, verdict } from '../../jobs/verdict/verdict.js';
import { openWorkshop, type Workshop } from './goodgate.js';

let workshop: Workshop;
const at = (name: string): string => join(workshop.folder, name);
const ffmpeg = (...args: string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

const TARGETS = ['intermediate-444-12', 'intermediate-422-10', 'archive-ffv1'] as const;

beforeAll(async () => {
  workshop = await openWorkshop();
  await execa('mkdir', [at('card')]);
  const picture = 'testsrc2=s=128x72:r=25,noise=alls=8:all_seed=1:allf=t';
  // Twelve bits, every one of them used: intermediate-444-12 has to give all back.
  await ffmpeg(
    ...[
      '-f',
      'lavfi',
      '-i',
      `${picture},format=gbrp12le,lutrgb=r=val+mod(val\\,16):g=val+mod(val\\,13):b=val`,
    ],
    ...['-frames:v', '8', '-c:v', 'ffv1', '-timecode', '10:00:00:00', at('card/deep.mov')],
  );
  // A phone's clip: times that fit no rate, a frame repeated where one is missing.
  await ffmpeg(
    ...[
      '-f',
      'lavfi',
      '-i',
      picture,
      '-frames:v',
      '12',
      '-vf',
      "select='not(eq(n,5))',setpts=PTS+mod(N\\,3)*0.002/TB",
    ],
    ...[
      '-fps_mode',
      'passthrough',
      '-pix_fmt',
      'yuv420p',
      '-c:v',
      'libx264',
      '-video_track_timescale',
      '90000',
    ],
    at('card/uneven.mov'),
  );
  const run = await workshop.start([
    ...['run', at('card'), '--out', at('out')],
    ...TARGETS.flatMap((target) => ['--target', target]),
  ]);
  expect(run.exitCode, String(run.stderr)).toBeLessThan(2);
});
afterAll(() => workshop.close());

async function findingOf(
  target: string,
  clip: string,
  requirement = 'precision',
): Promise<Finding | undefined> {
  const found = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
  const items = found.clips.flatMap(({ items: all }) => all);
  const item = items.find((each) => each.target === target && each.path.includes(clip));
  const document = verdict.parse(JSON.parse(await readFile(at(`out/${item?.verdict ?? 'none'}`), 'utf8')));
  return document.findings.find((finding) => finding.requirement === requirement);
}

describe('in a batch', () => {
  it('what is without loss keeps every bit', async () => {
    for (const target of ['intermediate-444-12', 'archive-ffv1']) {
      expect(await findingOf(target, 'deep'), target).toMatchObject({
        ...{ outcome: 'pass', measured: '12 of 12 bits kept' },
      });
    }
  });

  it('a codec of 10 bits keeps fewer, and it is said how many', async () => {
    const found = await findingOf('intermediate-422-10', 'deep');
    expect(found).toMatchObject({
      outcome: 'pass',
      measured: expect.stringMatching(/^[4-9]\.\d of 12 bits kept$/),
    });
  });

  it('a clip without a constant rate is compared as it was made', async () => {
    for (const target of TARGETS) {
      expect(await findingOf(target, 'uneven'), target).toMatchObject({ outcome: 'pass' });
      expect(await findingOf(target, 'uneven', 'same-frames'), target).toMatchObject({
        ...{ outcome: 'pass', measured: expect.stringMatching(/^12 frames, each the original's/) },
      });
    }
    expect(await findingOf('archive-ffv1', 'uneven')).toMatchObject({ measured: '8 of 8 bits kept' });
  });

  it('stands on the page of the file', async () => {
    const page = await readFile(at('out/measurements/intermediate-444-12/deep.mov.html'), 'utf8');
    expect(page).toContain('12 of 12 bits kept');
  });
});

describe('check --original', () => {
  const check = async (copy: string) => {
    const { stdout } = await workshop.start([
      ...['check', copy, '--target', 'intermediate-444-12', '--original', at('card/deep.mov'), '--json'],
    ]);
    const { verdicts } = findings.parse(JSON.parse(String(stdout)));
    return verdicts[0]?.findings.find(({ requirement }) => requirement === 'precision');
  };

  it('finds the same as the batch, and a copy that was mirrored since', async () => {
    const copy = at('out/intermediate-444-12/deep.mov');
    expect(await check(copy)).toMatchObject({ outcome: 'pass', measured: '12 of 12 bits kept' });
    await ffmpeg('-i', copy, '-vf', 'hflip', '-c:v', 'ffv1', '-level', '3', '-g', '1', at('mirrored.mov'));
    await rename(at('mirrored.mov'), copy);
    expect(await check(copy)).toMatchObject({
      ...{ outcome: 'fail', measured: expect.stringMatching(/^mirrored: left and right are exchanged; \d/) },
    });
  });
});
