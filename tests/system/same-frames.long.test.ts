import { chmod, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { findings } from '../../jobs/verdict/findings.js';
import { type Finding, verdict } from '../../jobs/verdict/verdict.js';
import { openWorkshop, type Workshop } from './goodgate.js';

let workshop: Workshop;
const at = (name: string): string => join(workshop.folder, name);

const FRAMES = 24;
const ALL = Array.from({ length: FRAMES }, (_, frame) => frame);
const OTHER: Readonly<Record<number, number>> = { 7: 8, 8: 7, 10: 1, 17: 16, 18: 17 };
const shuffle = (of: (frame: number) => number): string => `shuffleframes=${ALL.map(of).join(' ')}`;

/**
 * Mistakes of a machine that makes copies, each between the three frames that `precision` looks at (4,
 * 12, 20) as far as it can be: filters put into the command that makes the copy of the clip of this
 * name.
 */
const PLANTED = {
  clean: { filter: 'null', told: null },
  // 7 and 8 swapped, 10 replaced, 14 black; 16 stands in place of 17 as well, 17 in place of 18, and 18
  // is lost.
  several: {
    filter: `${shuffle((frame) => OTHER[frame] ?? frame)},lutyuv=y=64:enable='eq(n\\,14)'`,
    told: [
      'frame 7 (10:00:00:07) showing frame 8',
      '8 (10:00:00:08) showing frame 7',
      '10 (10:00:00:10) showing frame 1',
      '14 (10:00:00:14)',
      '17 to 18 (10:00:00:17) showing frames 16 to 17',
    ].join(', '),
  },
  shifted: {
    filter: shuffle((frame) => (frame >= 13 ? Math.min(frame + 1, FRAMES - 1) : frame)),
    told: 'frame 13 to 22 (10:00:00:13) showing frames 14 to 23',
  },
} as const;
type Planted = keyof typeof PLANTED;
const NAMES = Object.keys(PLANTED) as Planted[];
const TARGETS = ['intermediate-422-10', 'archive-ffv1'] as const;

beforeAll(async () => {
  workshop = await openWorkshop();
  await execa('mkdir', [at('card')]);
  await execa('ffmpeg', [
    ...['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', '-f', 'lavfi'],
    ...['-i', 'testsrc2=s=128x72:r=25,noise=alls=8:all_seed=1:allf=t,format=yuv422p10le'],
    ...['-f', 'lavfi', '-i', `anoisesrc=a=0.3:seed=4:r=48000:d=${FRAMES / 25},aformat=channel_layouts=mono`],
    ...NAMES.flatMap((name) => [
      ...['-map', '0:v', '-map', '1:a', '-frames:v', String(FRAMES), '-c:v', 'ffv1', '-c:a', 'pcm_s24le'],
      ...['-timecode', '10:00:00:00'],
      at(`card/${name}.mov`),
    ]),
  ]);
  await writeFile(at('ffmpeg'), ffmpegThatErrs());
  await chmod(at('ffmpeg'), 0o755);
  const run = await workshop.start(
    ['run', at('card'), '--out', at('out'), ...TARGETS.flatMap((target) => ['--target', target])],
    { env: { GOODGATE_STATE: at('state'), REDIS_URL: '', GOODGATE_FFMPEG: at('ffmpeg') } },
  );
  expect(run.exitCode, String(run.stderr)).toBe(1);
}, 400_000);
afterAll(() => workshop.close());

/** ffmpeg itself, but for a filter before the encoder where it makes a copy of one of the clips. */
function ffmpegThatErrs(): string {
  const cases = NAMES.map((name) => `*card/${name}.mov*) plant=${JSON.stringify(PLANTED[name].filter)};;`);
  // biome-ignore-start lint/suspicious/noTemplateCurlyInString: the shell's, not ours
  return [
    '#!/usr/bin/env bash',
    'plant=null',
    `case "$*" in ${cases.join(' ')} esac`,
    'args=()',
    'for arg in "$@"; do',
    '  case "$arg" in',
    '    *format=*"[v0]"*) arg="${arg/\\[v0\\]/,$plant[v0]}";;',
    '    *format=*"[v1]"*) arg="${arg/\\[v1\\]/,$plant[v1]}";;',
    '  esac',
    '  args+=("$arg")',
    'done',
    'exec ffmpeg "${args[@]}"',
    '',
  ].join('\n');
  // biome-ignore-end lint/suspicious/noTemplateCurlyInString: as above
}

async function findingOf(
  target: string,
  clip: Planted,
  requirement = 'same-frames',
): Promise<Finding | undefined> {
  const found = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
  const items = found.clips.flatMap(({ items: all }) => all);
  const item = items.find((each) => each.target === target && each.path.includes(clip));
  const document = verdict.parse(JSON.parse(await readFile(at(`out/${item?.verdict ?? 'none'}`), 'utf8')));
  return document.findings.find((finding) => finding.requirement === requirement);
}

function told(name: Planted): string {
  const { told: places } = PLANTED[name];
  return places === null
    ? `${FRAMES} frames, each the original's`
    : `another picture than the original in ${places}`;
}

describe('in a batch', () => {
  it.each(NAMES.flatMap((name) => TARGETS.map((target) => ({ name, target }))))(
    '$target, $name',
    async ({ name, target }) => {
      const outcome = PLANTED[name].told === null ? 'pass' : 'fail';
      expect(await findingOf(target, name)).toMatchObject({ outcome, measured: told(name) });
    },
  );
});

it.each(TARGETS)('the sound of a batch is that of the clip: %s', async (target) => {
  expect(await findingOf(target, 'clean', 'same-sound')).toMatchObject({
    ...{ outcome: 'pass', measured: '1 stream in step to the sample, level 0.0 dB' },
  });
});

describe('later', () => {
  const copyOf = (name: Planted): string => at(`out/intermediate-422-10/${name}.mov`);

  it.each(['clean', 'several'] as const)('check --original: %s', async (name) => {
    const original = at(`card/${name}.mov`);
    const { stdout } = await workshop.start([
      ...['check', copyOf(name), '--target', 'intermediate-422-10', '--original', original, '--json'],
    ]);
    const { verdicts } = findings.parse(JSON.parse(String(stdout)));
    const found = verdicts[0]?.findings.find(({ requirement }) => requirement === 'same-frames');
    expect(found?.measured).toBe(told(name));
  });

  it('sound that was muted for two tenths of a second is found, and where', async () => {
    const muted = at('muted.mov');
    const filter = "asetnsamples=480,volume=0:enable='between(t,0.3,0.4999)'";
    await execa('ffmpeg', [
      ...[
        '-hide_banner',
        '-nostdin',
        '-y',
        '-loglevel',
        'error',
        '-i',
        copyOf('clean'),
        '-map',
        '0:v',
        '-map',
        '0:a',
      ],
      ...['-c:v', 'copy', '-af', filter, '-c:a', 'pcm_s24le', '-timecode', '10:00:00:00', muted],
    ]);
    const original = at('card/clean.mov');
    const { stdout } = await workshop.start([
      ...['check', muted, '--target', 'intermediate-422-10', '--original', original, '--json'],
    ]);
    const { verdicts } = findings.parse(JSON.parse(String(stdout)));
    const found = verdicts[0]?.findings.find(({ requirement }) => requirement === 'same-sound');
    expect(found).toMatchObject({
      ...{ outcome: 'fail', measured: 'stream 1: muted: silent from 0.300 to 0.500 s' },
    });
  });

  it.each(['clean', 'several'] as const)('compare: %s', async (name) => {
    const compared = await workshop.start(['compare', at(`card/${name}.mov`), copyOf(name)]);
    expect(compared.exitCode).toBe(name === 'clean' ? 0 : 1);
    if (name === 'clean') expect(compared.stdout).not.toMatch(/FAIL|WARN|UNMEASURED/);
    else expect(compared.stdout).toContain(`FAIL: Frames of the original, in their order: ${told(name)}`);
  });
});

it('a copy without a pattern is unmeasured: by rank of its levels it would be any picture', async () => {
  await writeFile(
    at('frames.yaml'),
    'schema: goodgate/target@1\nname: frames\ntitle: Frames\nrequire: { same-frames: {} }\n',
  );
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'color=gray:s=128x72:r=25', '-frames:v', String(FRAMES)],
    ...['-filter_complex', '[0:v]split[a][b];[b]noise=alls=60:allf=t[noise]'],
    ...['-map', '[a]', '-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le', at('grey.mov')],
    ...[
      '-map',
      '[noise]',
      '-frames:v',
      String(FRAMES),
      '-c:v',
      'ffv1',
      '-pix_fmt',
      'yuv422p10le',
      at('noise.mov'),
    ],
  ]);
  for (const copy of ['grey.mov', 'noise.mov']) {
    const checked = await workshop.start([
      ...['check', at(copy), '--original', at('card/clean.mov'), '--target', at('frames.yaml'), '--json'],
    ]);
    const { verdicts } = findings.parse(JSON.parse(String(checked.stdout)));
    const found = verdicts[0]?.findings.find(({ requirement }) => requirement === 'same-frames');
    expect([copy, found?.outcome]).toEqual([copy, 'unmeasured']);
    expect(found?.measured).toMatch(/shows no pattern/);
  }
});
