import { execFile } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Capabilities } from '../../../jobs/plan/capabilities.js';
import type { OutputRecipe, PlannedClip } from '../../../jobs/plan/plan.js';
import { builtInTargets } from '../../../jobs/targets/load-target.js';
import type { MakeRecipe } from '../../../jobs/targets/target.js';
import { planRecipe, type RecipeResult } from '../../../planner/plan-output.js';
import { nameUncarried } from '../../../planner/uncarried.js';
import { askCapabilities } from '../../../workers/capabilities/ask-ffmpeg.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { box, u16, u32, withBox } from '../../media/boxes.js';
import { Making, NOISE } from './making.js';
import { HD, PQ } from './recipes.js';

const run = promisify(execFile);
const TARGETS = new Map((await builtInTargets()).map((each) => [each.name, each]));
/** Alpha that differs from every plane of the picture, at every depth: a ramp down the lines. */
const ALPHA = "format=yuva444p16le,geq=lum='p(X,Y)':cb='p(X,Y)':cr='p(X,Y)':a='Y*907'";

let making: Making;
let capabilities: Capabilities;
beforeAll(async () => {
  making = await Making.begin();
  capabilities = await askCapabilities();
});
afterAll(() => making.end());

function makeOf(name: string, changes: Partial<MakeRecipe> = {}): MakeRecipe {
  const make = TARGETS.get(name)?.make;
  if (make === undefined) throw new Error(`no target ${name} that makes`);
  return { ...make, ...changes };
}

/** What the planner decides for a clip. */
function planned({ facts, name, colour }: PlannedClip, make: MakeRecipe): RecipeResult {
  if (facts.video === null || colour === null) throw new Error('no picture');
  const own = {
    look: null,
    exposure: 0,
    sound: undefined,
    laying: { ok: true, laid: null, notes: [] } as const,
    reel: null,
    startTimecode: null,
  };
  const scan = facts.video.scan ?? 'progressive';
  const wish = { name, file: name, parts: [], facts, video: facts.video, colour, scan, ...own };
  return planRecipe(wish, make, capabilities);
}

function recipeOf(clip: PlannedClip, make: MakeRecipe): OutputRecipe {
  const result = planned(clip, make);
  if (!result.ok) throw new Error(result.reason);
  return result.recipe;
}

function lossesOf(clip: PlannedClip, name: string): string[] {
  return nameUncarried(clip.facts, recipeOf(clip, makeOf(name))).map(({ what }) => what);
}

/** A clip made by ffmpeg from these arguments, ten frames of noise and a tone before them. */
async function clipOf(name: string, inputs: readonly string[], options: readonly string[]) {
  const path = join(making.folder, name);
  const media = ['-f', 'lavfi', '-i', NOISE, '-f', 'lavfi', '-i', 'sine=f=1000:r=48000'];
  await run('ffmpeg', ['-v', 'error', '-y', ...media, ...inputs, '-t', '0.3337', ...options, path]);
  return read(path);
}

async function read(path: string): Promise<PlannedClip> {
  return { path, name: 'clip.mov', facts: await probeClip(path), colour: HD };
}

describe('alpha', () => {
  it.each([
    // Depth of Y'CbCr alpha in FFV1, and what 12 bits become.
    ['yuva444p10le', 'ffv1', 'yuva444p10le'],
    ['yuva422p', 'ffv1', 'yuva422p'],
    ['gbrap12le', 'ffv1', 'gbrap12le'],
    ['rgba', 'png', 'bgra'],
    ['yuva444p10le', 'prores_ks', 'yuva444p16le'],
  ])('of %s in %s comes back from the archive, sample for sample', async (format, codec, kept) => {
    const options = codec === 'prores_ks' ? ['-profile:v', '4444', '-alpha_bits', '16'] : [];
    const clip = await clipOf(
      `alpha-${format}-${codec}.mov`,
      [],
      ['-vf', ALPHA, '-pix_fmt', format, '-c:v', codec, '-c:a', 'pcm_s16le', ...options],
    );
    const rgb = clip.facts.video?.pixelFormat.startsWith('yuv') === false;
    const recipe = recipeOf(
      { ...clip, colour: rgb ? { ...HD, matrix: 'gbr', range: 'full' } : HD },
      makeOf('archive-ffv1'),
    );
    expect(recipe.video).toMatchObject({ alpha: true, pixelFormat: kept });
    const made = await making.make(recipe, clip);
    expect(made.video?.pixelFormat).toBe(kept);
    const native = clip.facts.video?.pixelFormat ?? '';
    expect(native).toMatch(/^(yuva|gbrap|rgba)/);
    const before = await making.frame(clip.path, native);
    const after = await making.frame(made.path, native);
    expect(new Set(before).size).toBeGreaterThan(50);
    expect(after).toEqual(before);
  });

  it('comes back from ProRes 4444, which codes it without loss', async () => {
    const clip = await clipOf(
      'alpha-to-prores.mov',
      [],
      ['-vf', ALPHA, '-pix_fmt', 'yuva444p10le', '-c:v', 'ffv1', '-c:a', 'pcm_s16le'],
    );
    const video = {
      codec: 'prores',
      profile: '4444',
      bitDepth: 10,
      chroma: '4:4:4',
      rgb: false,
      lossless: false,
    } as const;
    const recipe = recipeOf(clip, makeOf('intermediate-422-10', { video }));
    expect(recipe.video).toMatchObject({ alpha: true, pixelFormat: 'yuva444p10le' });
    const made = await making.make(recipe, clip);
    const [before, after] = [await alphaOf(clip.path), await alphaOf(made.path)];
    expect(new Set(before).size).toBeGreaterThanOrEqual(72);
    // 10 bits go out as 16 and come back as 12.
    const worst = Math.max(...after.map((value, i) => Math.abs(value / 4095 - (before[i] ?? 0) / 1023)));
    expect(worst).toBeLessThan(1 / 1023);
  });

  it('is named as lost by every other target', async () => {
    const clip = await clipOf(
      'alpha-lost.mov',
      [],
      ['-vf', ALPHA, '-pix_fmt', 'yuva444p10le', '-c:v', 'ffv1', '-c:a', 'pcm_s16le'],
    );
    for (const name of ['intermediate-422-10', 'proxy-h264', 'review-hevc-10']) {
      expect(lossesOf(clip, name), name).toContain('alpha');
      expect(recipeOf(clip, makeOf(name)).video.alpha).toBe(false);
    }
  });

  async function alphaOf(path: string): Promise<number[]> {
    const to = `${path}.alpha`;
    const graph = ['-vf', 'alphaextract', '-frames:v', '1', '-f', 'rawvideo'];
    await run('ffmpeg', ['-v', 'error', '-y', '-i', path, ...graph, to]);
    const bytes = await readFile(to);
    return Array.from({ length: bytes.length / 2 }, (_, i) => bytes.readUInt16LE(2 * i));
  }
});

describe('subtitles, chapters and descriptive metadata', () => {
  const METADATA = [
    ';FFMETADATA1',
    'title=Night',
    'comment=two trams',
    'location=+50.0800+014.4200/',
    'creation_time=2026-03-04T05:06:07.000000Z',
    ...['[CHAPTER]', 'TIMEBASE=1/1000', 'START=0', 'END=200', 'title=one'],
    ...['[CHAPTER]', 'TIMEBASE=1/1000', 'START=200', 'END=330', 'title=two'],
  ];

  async function rich(name: string, codec: string): Promise<PlannedClip> {
    const metadata = join(making.folder, 'metadata.txt');
    const titles = join(making.folder, 'titles.srt');
    await writeFile(metadata, `${METADATA.join('\n')}\n`);
    await writeFile(titles, '1\n00:00:00,000 --> 00:00:00,300\nGood evening\n');
    return clipOf(
      name,
      ['-i', metadata, '-i', titles],
      [
        ...['-map', '0:v', '-map', '1:a', '-map', '3:s', '-map_metadata', '2', '-map_chapters', '2'],
        ...['-pix_fmt', 'yuv422p10le', '-c:v', 'ffv1', '-c:a', 'pcm_s16le', '-c:s', codec],
        ...['-metadata:s:a', 'language=ces', '-metadata:s:s', 'language=eng', '-metadata:s:s', 'title=Full'],
        ...['-timecode', '10:00:00:00'],
      ],
    );
  }

  it.each([
    ['rich.mov', 'mov_text', ['subtitle-style']],
    ['rich.mkv', 'subrip', []],
  ])('of %s are all in the archive', async (name, codec, losses) => {
    const clip = await rich(name, codec);
    const { container } = clip.facts;
    expect(container).toMatchObject({ chapters: 2, startTimecode: '10:00:00:00' });
    expect(container.tags).toMatchObject({
      title: 'Night',
      creation_time: '2026-03-04T05:06:07.000000Z',
      location: '+50.0800+014.4200/',
      'audio[0] language': 'ces',
      'subtitle[0] language': 'eng',
    });
    const recipe = recipeOf(clip, makeOf('archive-ffv1'));
    expect(nameUncarried(clip.facts, recipe).map(({ what }) => what)).toEqual(losses);
    const made = await making.make(recipe, clip);
    expect(made.container.tags).toEqual(container.tags);
    expect(made.container).toMatchObject({ chapters: 2, startTimecode: '10:00:00:00' });
    expect(made.otherStreams).toEqual([{ stream: 2, kind: 'subtitles', codec: 'subrip' }]);
    const { stdout } = await run('ffmpeg', ['-v', 'error', '-i', made.path, '-map', '0:s', '-f', 'srt', '-']);
    expect(stdout).toContain('Good evening');
    const titles = ['-v', 'error', '-show_entries', 'chapter_tags=title', '-of', 'csv=p=0', made.path];
    expect((await run('ffprobe', titles)).stdout).toBe('one\ntwo\n');
  });

  it('stay out of a proxy, which says so', async () => {
    const clip = await rich('to-proxy.mov', 'mov_text');
    for (const name of ['proxy-h264', 'intermediate-422-10']) {
      expect(lossesOf(clip, name)).toEqual(['subtitles', 'chapters', 'metadata']);
    }
    const { burnIn, ...plain } = makeOf('proxy-h264');
    expect(burnIn).toBeDefined();
    const made = await making.make(recipeOf(clip, plain), clip);
    expect(made.container).toMatchObject({ tags: {}, chapters: 0 });
    expect(made.otherStreams.map(({ kind }) => kind)).toEqual(['timecode']);
  });
});

describe('mastering display and light level', () => {
  /**
   * P3-D65, 0.005 to 1000 cd/m2; MaxCLL 1000, MaxFALL 180. Boxes of ISO/IEC 14496-12 in their order of
   * primaries: G, B, R.
   */
  const HDR = {
    mastering: {
      red: [0.68, 0.32],
      green: [0.265, 0.69],
      blue: [0.15, 0.06],
      white: [0.3127, 0.329],
      minLuminance: 0.005,
      maxLuminance: 1000,
    },
    lightLevel: { maxCll: 1000, maxFall: 180 },
  };
  const POINTS = [13250, 34500, 7500, 3000, 34000, 16000, 15635, 16450];
  const MDCV = box('mdcv', u16(...POINTS), u32(10_000_000, 50));
  const CLLI = box('clli', u16(1000, 180));

  it('of the container come back from the archive, there and as text', async () => {
    const plain = await clipOf(
      'pq-plain.mov',
      [],
      ['-pix_fmt', 'yuv422p10le', '-c:v', 'ffv1', '-c:a', 'pcm_s16le'],
    );
    const path = join(making.folder, 'pq.mov');
    const entry = ['moov', 'trak', 'mdia', 'minf', 'stbl', 'stsd', 'FFV1'];
    await writeFile(path, withBox(withBox(await readFile(plain.path), entry, MDCV), entry, CLLI));
    const clip = { ...(await read(path)), colour: PQ };
    expect(clip.facts.video?.hdr).toEqual(HDR);
    expect(lossesOf(clip, 'intermediate-422-10')).toContain('hdr');
    const recipe = recipeOf(clip, makeOf('archive-ffv1'));
    expect(nameUncarried(clip.facts, recipe).map(({ what }) => what)).toEqual(['hdr-tags']);
    const made = await making.make(recipe, clip);
    expect(made.video?.hdr).toEqual(HDR);
    expect(made.container.tags).toMatchObject({
      cta_861_3: '1000,180',
      smpte_st_2086: expect.stringMatching(/^G\(13250,34500\)/),
    });
  });

  it('of the bitstream alone come back as text', async () => {
    const params = `log-level=none:master-display=G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50):max-cll=1000,180`;
    const clip = {
      ...(await clipOf(
        'pq-hevc.mkv',
        [],
        ['-pix_fmt', 'yuv420p10le', '-c:v', 'libx265', '-x265-params', params],
      )),
      colour: PQ,
    };
    expect(clip.facts.video?.hdr).toEqual(HDR);
    const made = await making.make(recipeOf(clip, makeOf('archive-ffv1')), clip);
    expect(made.container.tags).toMatchObject({
      cta_861_3: '1000,180',
      smpte_st_2086: 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)',
    });
  });
});

describe('8-bit RGB without alpha', () => {
  it.each([
    ['rgb24', 'png'],
    ['bgr0', 'ffv1'],
    ['gbrp', 'utvideo'],
  ])('of %s in %s comes back from the archive, sample for sample', async (format, codec) => {
    const clip = await clipOf(
      `rgb-${format}-${codec}.mkv`,
      [],
      ['-pix_fmt', format, '-c:v', codec, '-c:a', 'pcm_s16le'],
    );
    const recipe = recipeOf(
      { ...clip, colour: { ...HD, matrix: 'gbr', range: 'full' } },
      makeOf('archive-ffv1'),
    );
    expect(recipe.video).toMatchObject({ alpha: false, pixelFormat: 'bgr0', bitDepth: 8 });
    const made = await making.make(recipe, clip);
    expect(made.video).toMatchObject({ pixelFormat: 'bgr0', bitDepth: 8, chroma: '4:4:4' });
    expect(new Set(await making.frame(clip.path, 'rgb24')).size).toBeGreaterThan(50);
    expect(await making.hash(made.path, 'rgb24')).toBe(await making.hash(clip.path, 'rgb24'));
  });
});

describe('what an archive cannot hold', () => {
  it('a second picture: the archive keeps the first and names the other; told to keep all, it refuses', async () => {
    const clip = await clipOf(
      'two.mov',
      ['-f', 'lavfi', '-i', 'testsrc2=s=64x36'],
      [
        '-map',
        '0:v',
        '-map',
        '2:v',
        '-map',
        '1:a',
        '-c:v',
        'ffv1',
        '-pix_fmt',
        'yuv422p10le',
        '-c:a',
        'pcm_s16le',
      ],
    );
    expect(clip.facts.otherStreams).toEqual([{ stream: 1, kind: 'picture', codec: 'ffv1' }]);
    const refused = planned(clip, makeOf('archive-ffv1', { carry: 'all' }));
    expect(refused).toMatchObject({
      ok: false,
      reason: expect.stringContaining('another picture track (stream 1, ffv1)'),
    });
    const recipe = recipeOf(clip, makeOf('archive-ffv1'));
    expect(nameUncarried(clip.facts, recipe).map(({ what }) => what)).toEqual(['second-picture']);
    expect(lossesOf(clip, 'proxy-h264')).toContain('second-picture');
  });

  it.each([
    ['dynamicHdr', ['SMPTE ST 2094-40'], 'dynamic-hdr'],
    ['iccProfile', true, 'icc-profile'],
    ['captions', true, 'captions'],
  ])('%s of the picture: named by every target, refused where all is asked for', async (key, value, what) => {
    const clip = await clipOf(
      `${key}.mov`,
      [],
      ['-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le', '-c:a', 'pcm_s16le'],
    );
    if (clip.facts.video === null) throw new Error('no picture');
    const changed = { ...clip, facts: { ...clip.facts, video: { ...clip.facts.video, [key]: value } } };
    expect(planned(changed, makeOf('archive-ffv1', { carry: 'all' })).ok).toBe(false);
    expect(lossesOf(changed, 'archive-ffv1')).toContain(what);
    expect(lossesOf(changed, 'intermediate-422-10')).toContain(what);
  });
});
