import { writeFile } from 'node:fs/promises';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { comparison } from '../../jobs/comparison/comparison.js';
import { verdict } from '../../jobs/verdict/verdict.js';
import { temporaryFolder } from '../media/known-clip.js';
import { runCommand } from './run-command.js';

/**
 * What `compare` says of a copy and what `check --original` says by the same requirements: one verdict, of
 * media whose mistake is known from how they were made.
 */
const FRAMES = 12;
const SIZE = 's=96x54:r=25';
const PICTURE = [
  `testsrc2=${SIZE}[a]`,
  `gradients=${SIZE}:c0=0x203080:c1=0xe0c050:c2=0x30a060:n=3:speed=0.06:seed=7[b]`,
  '[a][b]blend=all_expr=0.5*A+0.5*B,noise=alls=6:all_seed=3:allf=t',
].join(';');
const SOUND = 'anoisesrc=c=pink:a=0.3:seed=4:r=48000:d=0.48';
const LOSSLESS = ['-c:v', 'ffv1', '-c:a', 'pcm_s24le'];
const LOOK = 'lutrgb=r=maxval*pow(val/maxval\\,0.75):g=maxval*pow(val/maxval\\,1.1):b=val*0.8+maxval*0.05';

interface Copy {
  readonly picture?: string;
  readonly sound?: string;
  readonly coded?: readonly string[];
  /** In place of the original. */
  readonly from?: readonly string[];
}

const SECOND_PICTURE = ['-f', 'lavfi', '-i', `mandelbrot=s=96x54:rate=25:start_scale=1.2`];
const SECOND_NOISE = ['-f', 'lavfi', '-i', `color=gray:${SIZE},noise=alls=60:all_seed=99:allf=t`];
const OTHER_SOUND = ['-f', 'lavfi', '-i', 'anoisesrc=c=pink:a=0.3:seed=77:r=48000:d=0.48'];

/** Name, how it is made, and what has to be said of it. */
const WRONG: readonly (readonly [string, Copy, RegExp])[] = [
  ['level', { picture: 'lutyuv=y=val+40' }, /level shift/],
  ['gamma', { picture: 'lutyuv=y=64+876*pow((clip(val\\,64\\,940)-64)/876\\,1.2)' }, /gamma/],
  ['range', { picture: 'scale=in_range=full:out_range=limited:flags=accurate_rnd' }, /wrong range/],
  ['matrix', { picture: 'zscale=min=709:m=2020_ncl,setparams=colorspace=bt709' }, /wrong matrix/],
  ['swapped fields', { picture: 'il=ls=1:cs=1' }, /swapped fields/],
  ['chroma half a sample', { picture: 'zscale=cin=left:c=center' }, /chroma shift/],
  ['a frame late', { picture: `tpad=start=1:start_mode=clone,trim=end_frame=${FRAMES}` }, /frame/],
  ['a sample late', { sound: 'adelay=delays=1S:all=1,atrim=end_sample=23040' }, /1 sample late/],
  ['mirrored', { picture: 'hflip' }, /mirrored/],
  ['cropped', { picture: 'crop=w=iw*0.9:h=ih*0.9,scale=96:54:flags=bicubic' }, /cropped/],
  [
    'a look baked in',
    { picture: `zscale=min=709:m=gbr:r=full,format=gbrp12le,${LOOK},zscale=m=709:r=limited` },
    /look/,
  ],
  ['clipped highlights', { picture: 'lutyuv=y=min(val\\,600)' }, /clipped highlight/],
  ['muted', { sound: "volume=0:enable='between(t,0.2,0.3999)'" }, /muted/],
  ['fewer frames', { picture: 'trim=end_frame=11' }, /11 frames/],
  ['no sound', { coded: ['-an', '-c:v', 'ffv1'] }, /no sound/],
  ['no picture', { coded: ['-vn', '-c:a', 'pcm_s24le'] }, /no picture/],
];

const CLEAN: readonly (readonly [string, Copy])[] = [
  ['without loss', {}],
  ['prores', { coded: ['-c:v', 'prores_ks', '-profile:v', 'hq', '-c:a', 'pcm_s24le'] }],
  ['h264', { coded: ['-c:v', 'libx264', '-crf', '20', '-c:a', 'pcm_s24le'] }],
  [
    'hevc',
    { coded: ['-c:v', 'libx265', '-crf', '22', '-x265-params', 'log-level=none', '-c:a', 'pcm_s16le'] },
  ],
];

/** Pictures and sound of another take, short ones too: never a pass. */
const OTHER: readonly (readonly [string, number, Copy, Copy])[] = [
  ['another picture, one frame', 1, {}, { from: SECOND_PICTURE }],
  ['another picture, two frames', 2, {}, { from: SECOND_PICTURE }],
  ['another picture', FRAMES, {}, { from: SECOND_PICTURE }],
  ['other noise, ten frames', 10, { from: noise(1) }, { from: noise(2) }],
  ['strong noise in place of a picture', 10, {}, { from: SECOND_NOISE }],
];

function noise(seed: number): readonly string[] {
  return ['-f', 'lavfi', '-i', `color=gray:${SIZE},noise=alls=40:all_seed=${seed}:allf=t`];
}

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
const at = (name: string): string => `${folder.path}/${name.replaceAll(' ', '-')}`;
const ffmpeg = (...args: readonly string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

async function make(
  name: string,
  { picture = 'null', sound = 'anull', coded = LOSSLESS }: Copy,
): Promise<string> {
  await ffmpeg(
    ...['-i', at('original.mov'), '-vf', `${picture},format=yuv422p10le`, '-af', sound],
    ...['-fps_mode', 'passthrough', ...coded, '-timecode', '10:00:00:00', at(`${name}.mov`)],
  );
  return at(`${name}.mov`);
}

/** A picture without sound, of so many frames. */
async function draw(
  name: string,
  frames: number,
  { from = ['-f', 'lavfi', '-i', PICTURE] }: Copy,
): Promise<string> {
  await ffmpeg(
    ...[...from, '-frames:v', String(frames), '-vf', 'format=yuv422p10le', '-c:v', 'ffv1'],
    ...['-colorspace', 'bt709', '-color_range', 'tv', at(`${name}.mov`)],
  );
  return at(`${name}.mov`);
}

/** Findings that are no pass, by both commands, which have to say the same. */
async function bothSay(
  original: string,
  copy: string,
): Promise<{ word: string; code: number; said: string }> {
  const compared = await runCommand('compare', original, copy, '--json');
  const checked = await runCommand(
    'check',
    copy,
    '--original',
    original,
    '--target',
    at('copy.yaml'),
    '--json',
  );
  const found = comparison.parse(JSON.parse(compared.out));
  const [judged] = z.object({ verdicts: z.array(verdict) }).parse(JSON.parse(checked.out)).verdicts;
  const told = (findings: typeof found.findings) =>
    findings.map(({ requirement, outcome, measured }) => `${requirement} ${outcome}: ${measured}`);
  expect(told(found.findings)).toEqual(told(judged?.findings ?? []));
  expect(found.verdict).toBe(judged?.verdict);
  expect(compared.code).toBe(checked.code);
  return { word: found.verdict, code: compared.code, said: told(found.findings).join('\n') };
}

beforeAll(async () => {
  folder = await temporaryFolder();
  await ffmpeg(
    ...['-f', 'lavfi', '-i', PICTURE, '-f', 'lavfi', '-i', SOUND, '-frames:v', String(FRAMES)],
    ...['-pix_fmt', 'yuv422p10le', '-colorspace', 'bt709', '-color_range', 'tv', ...LOSSLESS],
    ...['-timecode', '10:00:00:00', at('original.mov')],
  );
  await writeFile(
    at('copy.yaml'),
    [
      'schema: goodgate/target@1',
      'name: copy',
      'title: Copy',
      'require:',
      '  as-original: { sound: false }',
      '  same-frames: {}',
      '  same-sound: {}',
      '  precision: { minBits: 1 }',
    ].join('\n'),
  );
});
afterAll(() => folder.remove());

describe('compare and check --original say the same', () => {
  it.each(WRONG)('a copy with a mistake: %s', async (name, copy, what) => {
    const { word, code, said } = await bothSay(at('original.mov'), await make(name, copy));
    expect({ word, code }).toEqual({ word: 'fail', code: 1 });
    expect(said).toMatch(what);
  });

  it.each(CLEAN)('a clean copy: %s', async (name, copy) => {
    const { said, code } = await bothSay(at('original.mov'), await make(name, copy));
    expect(said).not.toMatch(/fail|warn|unmeasured/);
    expect(code).toBe(0);
  });

  it.each(OTHER)('%s is no pass', async (name, frames, original, copy) => {
    const had = await draw(`${name} original`, frames, original);
    const { code, said } = await bothSay(had, await draw(name, frames, copy));
    expect(code, said).toBeGreaterThan(0);
  });

  it('another sound', async () => {
    const path = at('other-sound.mov');
    await ffmpeg(
      ...['-i', at('original.mov'), ...OTHER_SOUND, '-map', '0:v', '-map', '1:a', '-c:v', 'copy'],
      ...['-c:a', 'pcm_s24le', '-timecode', '10:00:00:00', path],
    );
    const { code, said } = await bothSay(at('original.mov'), path);
    expect(code, said).toBeGreaterThan(0);
  });
});
