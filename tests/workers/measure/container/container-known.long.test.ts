import { readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { readBoxes } from '../../../../workers/probe/boxes/read-boxes.js';
import { box, patched, u8, u16, u32, withBox } from '../../../media/boxes.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';
import { measured } from '../../judge/measured.js';

/**
 * Files of known structure, made by ffmpeg and then changed byte by byte where container and bitstream are to
 * differ.
 */
const folder = await temporaryFolder();
afterAll(folder.remove);

const path = (name: string): string => join(folder.path, name);
const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=1'];
const TONE = ['-f', 'lavfi', '-i', 'sine=r=48000:d=1'];
const X264 = ['-c:v', 'libx264', '-preset', 'ultrafast', '-pix_fmt', 'yuv420p'];
const PRORES = ['-c:v', 'prores_ks', '-profile:v', 'hq'];

async function make(name: string, ...args: readonly string[]): Promise<string> {
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args, path(name)]);
  return path(name);
}
/** A copy of a file with changed bytes. */
async function changed(from: string, name: string, change: (file: Buffer) => Buffer): Promise<string> {
  await writeFile(path(name), change(await readFile(from)));
  return path(name);
}
/**
 * The measurement of a faultless file of a second at 25 frames/s, with the container of this one: for what
 * container and judge alone decide.
 */
async function contained(file: string): Promise<Measurement> {
  const { wrapper, picture } = await readBoxes(file, (await stat(file)).size);
  return measured((m) => {
    m.file.path = file;
    m.wrapper = wrapper;
    m.layers.container = picture;
    if (m.video) Object.assign(m.video, { frames: 25, durationSeconds: 1 });
  });
}
/** The same measurement with the container of another file: one whose samples are the same. */
async function rewrapped(m: Measurement, file: string): Promise<Measurement> {
  const { wrapper, picture } = await readBoxes(file, (await stat(file)).size);
  return { ...m, wrapper, layers: { ...m.layers, container: picture } };
}
function outcome(measurement: Measurement, requirement: string, limits: object = {}) {
  const require = requirementSet.parse({ [requirement]: limits });
  const { findings } = judge(measurement, { name: 't', require }, {});
  return findings.find((finding) => finding.requirement === requirement);
}

describe('container against bitstream', () => {
  const h264 = make(
    'h264.mov',
    ...PICTURE,
    ...X264,
    '-vf',
    'setsar=1',
    '-color_primaries',
    'bt709',
    '-color_trc',
    'bt709',
    '-colorspace',
    'bt709',
    '-color_range',
    'tv',
  );
  const fields = make('fields.mov', ...PICTURE, '-vf', 'setfield=tff', ...PRORES, '-flags', '+ildct');

  it('as one program wrote both, they agree', async () => {
    const m = await measureFile(await h264);
    const tags = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709' };
    expect(m.layers.container).toMatchObject({ colour: tags, sampleAspect: '1/1' });
    expect(m.layers.bitstream).toMatchObject({
      colour: tags,
      sampleAspect: '1/1',
      scan: 'progressive',
      chromaSiting: 'left',
    });
    expect(m.layers.container?.profile).toBe(m.layers.bitstream?.profile);
    expect(outcome(m, 'aspect-layers')?.outcome).toBe('pass');
    expect(outcome(m, 'colour-layers')?.outcome).toBe('pass');
  });

  it.each([
    ['H.264', 'h264.mov', () => h264],
    ['ProRes', 'fields.mov', () => fields],
  ])('another raster in the container of %s', async (_, name, made) => {
    // The sample entry: its size, its four characters, 24 bytes, then width and height (ISO/IEC 14496-12,
    // 12.1.3).
    const file = await changed(await made(), `raster-${name}`, (bytes) => {
      const copy = Buffer.from(bytes);
      const entry = bytes.indexOf('stsd') + 12 + 8;
      expect([copy.readUInt16BE(entry + 24), copy.readUInt16BE(entry + 26)]).toEqual([64, 36]);
      copy.writeUInt16BE(40, entry + 26);
      return copy;
    });
    const m = await measureFile(file);
    expect(outcome(m, 'raster-layers')).toMatchObject({
      outcome: 'fail',
      measured: 'container 64 x 40; bitstream 64 x 36',
    });
    expect(outcome(await measureFile(await made()), 'raster-layers')?.outcome).toBe('pass');
  });

  it('another sample aspect, colour and level in the container', async () => {
    // H.264, table A-1: level_idc 51 is 5.1; 64 x 36 at 25 needs level 1.
    const file = await changed(await h264, 'liar.mov', (bytes) =>
      patched(patched(patched(bytes, 'pasp', 0, u32(4, 3)), 'colr', 4, u16(9, 16, 9)), 'avcC', 3, u8(51)),
    );
    const m = await measureFile(file);
    expect(m.layers.container).toMatchObject({ sampleAspect: '4/3', level: '5.1' });
    expect(m.layers.bitstream).toMatchObject({ sampleAspect: '1/1', level: '1' });
    expect(outcome(m, 'aspect-layers')).toMatchObject({
      outcome: 'fail',
      measured: 'container 4/3; bitstream 1/1',
    });
    const bt2020 = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc' };
    expect(m.layers.container?.colour).toMatchObject(bt2020);
    expect(m.layers.bitstream?.colour?.primaries).toBe('bt709');
    expect(outcome(m, 'colour-layers')?.outcome).toBe('fail');
    const profiles = [m.layers.bitstream?.profile];
    expect(outcome(m, 'codec-level', { profiles, levels: ['1', '5.1'] })?.outcome).toBe('fail');
  });

  it('fields: agreeing, in the other order, and called frames', async () => {
    const agreeing = await measureFile(await fields);
    expect(agreeing.layers.container?.scan).toBe('interlaced-tff');
    expect(agreeing.layers.bitstream?.scan).toBe('interlaced-tff');
    expect(outcome(agreeing, 'scan-layers')?.outcome).toBe('pass');

    const swapped = await changed(await fields, 'swapped.mov', (bytes) =>
      patched(bytes, 'fiel', 0, u8(2, 14)),
    );
    const swappedMeasured = await rewrapped(agreeing, swapped);
    expect(outcome(swappedMeasured, 'scan-layers')).toMatchObject({
      outcome: 'fail',
      measured: 'container interlaced-bff; bitstream interlaced-tff',
    });

    const frames = await changed(await fields, 'frames.mov', (bytes) => patched(bytes, 'fiel', 0, u8(1, 0)));
    const framesMeasured = await rewrapped(agreeing, frames);
    expect(outcome(framesMeasured, 'scan-layers')?.outcome).toBe('fail');
    expect(outcome(framesMeasured, 'scan-layers', { segmented: true })?.outcome).toBe('warn');
  });

  it('HDR metadata: in the bitstream alone, then in both, then differing by one unit', async () => {
    const display = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,1)';
    const hevc = await make(
      'hdr.mp4',
      ...[...PICTURE, '-c:v', 'libx265', '-preset', 'ultrafast', '-pix_fmt', 'yuv420p10le', '-tag:v', 'hvc1'],
      ...['-x265-params', `log-level=none:master-display=${display}:max-cll=1000,400`],
    );
    const inside = await measureFile(hevc);
    expect(inside.layers.bitstream?.lightLevel).toEqual({ maxCll: 1000, maxFall: 400 });
    expect(inside.layers.bitstream?.mastering).toMatchObject({ green: [0.265, 0.69], maxLuminance: 1000 });
    expect(inside.layers.container?.lightLevel).toBeNull();
    expect(outcome(inside, 'hdr-layers')?.outcome).toBe('unmeasured');

    const entry = ['moov', 'trak', 'mdia', 'minf', 'stbl', 'stsd', 'hvc1'];
    const mdcv = box(
      'mdcv',
      u16(13_250, 34_500, 7500, 3000, 34_000, 16_000, 15_635, 16_450),
      u32(10_000_000, 1),
    );
    const both = await changed(hevc, 'both.mp4', (bytes) =>
      withBox(withBox(bytes, entry, mdcv), entry, box('clli', u16(1000, 400))),
    );
    expect(outcome(await rewrapped(inside, both), 'hdr-layers')?.outcome).toBe('pass');

    const other = await changed(both, 'other.mp4', (bytes) => patched(bytes, 'clli', 0, u16(1001, 400)));
    expect(outcome(await rewrapped(inside, other), 'hdr-layers')).toMatchObject({
      outcome: 'fail',
      measured: 'the light level: container MaxCLL 1001, MaxFALL 400; bitstream MaxCLL 1000, MaxFALL 400',
    });
  });
});

describe('edit lists', () => {
  it('sound 200 ms after the picture', async () => {
    const m = await contained(
      await make('late.mov', ...PICTURE, '-itsoffset', '0.2', ...TONE, ...X264, '-c:a', 'pcm_s16le'),
    );
    const sound = m.wrapper?.tracks.find(({ kind }) => kind === 'audio');
    expect(sound?.startSeconds).toBeCloseTo(0.2, 9);
    expect(sound?.edits?.[0]).toMatchObject({ seconds: 0.2, mediaStartSeconds: null });
    // 0.2 s at 48 kHz.
    expect(outcome(m, 'edit-list')).toMatchObject({
      outcome: 'fail',
      measured: 'sound 1 begins 0.200 s (9,600 samples) after the picture',
    });
    expect(outcome(m, 'edit-list', { maxSamples: 9600 })?.outcome).toBe('pass');
    expect(outcome(m, 'edit-list', { maxSamples: 9599 })?.outcome).toBe('fail');
  });

  it('priming of AAC is taken away by its edit', async () => {
    const m = await contained(await make('aac.mp4', ...PICTURE, ...TONE, ...X264, '-c:a', 'aac'));
    const sound = m.wrapper?.tracks.find(({ kind }) => kind === 'audio');
    // One frame of AAC at 48 kHz.
    expect(sound?.edits?.[0]?.mediaStartSeconds).toBeCloseTo(1024 / 48_000, 9);
    expect(sound?.startSeconds).toBe(0);
    expect(outcome(m, 'edit-list', { maxSamples: 0 })?.outcome).toBe('pass');
  });

  it('pictures kept to decode from are hidden', async () => {
    const whole = await make('whole.mp4', ...PICTURE, ...X264, '-g', '25', '-bf', '0');
    const cut = await make('cut.mp4', '-ss', '0.4', '-i', whole, '-c', 'copy');
    const m = await contained(cut);
    // 10 of the 25 frames lie before the cut.
    expect(outcome(m, 'edit-list')?.measured).toContain('hides 10 frames');
  });
});

describe('timecode track', () => {
  const clip = make('timecode.mov', ...PICTURE, ...X264, '-timecode', '10:00:00:00');
  /**
   * Flags, time scale, frame duration and labels a second of the entry `tmcd`: the last of that name in the
   * file.
   */
  const entry = (flags: number, scale: number, duration: number, perSecond: number) => (bytes: Buffer) =>
    patched(bytes, 'tmcd', 12, Buffer.concat([u32(flags, scale, duration), u8(perSecond)]));

  it('as written', async () => {
    const m = await contained(await clip);
    expect(m.wrapper?.timecode).toEqual({
      start: '10:00:00:00',
      frameRate: '25/1',
      framesPerSecond: 25,
      dropFrame: false,
      samples: 1,
      frames: 25,
      jumps: [],
    });
    expect(outcome(m, 'timecode', { start: '10:00:00:00', continuous: true })?.outcome).toBe('pass');
  });

  it('at another rate than the picture', async () => {
    const m = await contained(await changed(await clip, 'tc24.mov', entry(0, 12_288, 512, 24)));
    expect(m.wrapper?.timecode).toMatchObject({ frameRate: '24/1', framesPerSecond: 24 });
    expect(outcome(m, 'timecode')?.outcome).toBe('fail');
    expect(outcome(m, 'timecode')?.measured).toContain('24/1 frames/s, the picture has 25/1');
  });

  it('flagged drop frame at 25 (ST 12-1: 29.97 and 59.94 only)', async () => {
    const m = await contained(await changed(await clip, 'drop.mov', entry(1, 12_800, 512, 25)));
    expect(m.wrapper?.timecode).toMatchObject({ dropFrame: true, start: null });
    expect(outcome(m, 'timecode')?.outcome).toBe('fail');
  });

  it('drop frame at 29.97 fits', async () => {
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=30000/1001:d=1'];
    const m = await measureFile(await make('ndf.mov', ...source, ...X264, '-timecode', '00:01:00;02'));
    expect(m.wrapper?.timecode).toMatchObject({
      start: '00:01:00;02',
      dropFrame: true,
      frameRate: '30000/1001',
    });
    expect(outcome(m, 'timecode', { continuous: true })?.outcome).toBe('pass');
  });
});

describe('structure', () => {
  const limits = {};

  it('index at the end, at the start, in fragments, with bytes after it', async () => {
    const behind = await make('behind.mp4', ...PICTURE, ...X264);
    const measured = await contained(behind);
    expect(outcome(measured, 'fast-start')?.outcome).toBe('fail');
    expect(outcome(measured, 'container-structure', limits)?.outcome).toBe('pass');
    expect(outcome(measured, 'file-type')?.outcome).toBe('pass');

    const front = await contained(
      await make('front.mp4', '-i', behind, '-c', 'copy', '-movflags', '+faststart'),
    );
    expect(outcome(front, 'fast-start')?.outcome).toBe('pass');

    const fragments = await make(
      'pieces.mp4',
      ...PICTURE,
      ...X264,
      '-g',
      '5',
      '-movflags',
      '+frag_keyframe+empty_moov',
    );
    const pieces = await measureFile(fragments);
    // 25 frames with a key frame every 5.
    expect(pieces.wrapper?.fragments).toBe(5);
    expect(pieces.coding?.packets).toBe(25);
    expect(outcome(pieces, 'container-structure', limits)?.outcome).toBe('fail');

    const junk = await contained(
      await changed(behind, 'junk.mp4', (bytes) => Buffer.concat([bytes, Buffer.alloc(5)])),
    );
    expect(junk.wrapper?.trailingBytes).toBe(5);
    expect(outcome(junk, 'container-structure', limits)?.outcome).toBe('fail');
  });

  it('MOV named .mp4', async () => {
    const mov = await make('really.mov', ...PICTURE, ...X264);
    const renamed = await changed(mov, 'renamed.mp4', (bytes) => bytes);
    expect(outcome(await contained(renamed), 'file-type')?.measured).toBe('.mp4, brand "qt"');
  });

  it('an index that contradicts itself is told, and its figures are unmeasured', async () => {
    const mov = await make('contradiction.mov', ...PICTURE, ...PRORES);
    // Media time -1 in a list of 2^32-1 rows: the demuxer takes what there is.
    const broken = await changed(mov, 'broken.mov', (bytes) => patched(bytes, 'elst', 4, u32(0xffffffff)));
    const m = await measureFile(broken);
    expect(m.wrapper?.brand ?? null).toBeNull();
    expect(m.unmeasured.map(({ what }) => what)).toEqual(
      expect.arrayContaining(['wrapper', 'layers.container']),
    );
    for (const name of [
      'fast-start',
      'container-structure',
      'aspect-layers',
      'scan-layers',
      'edit-list',
      'duration',
      'file-type',
    ]) {
      expect(outcome(m, name)?.outcome, name).toBe('unmeasured');
    }
  });
});

describe('coding', () => {
  it.each([
    [
      'closed groups of 10',
      ['-g', '10', '-bf', '2', '-sc_threshold', '0'],
      { shortest: 10, longest: 10, closed: true },
    ],
    [
      'open groups of 12',
      ['-x264-params', 'keyint=12:min-keyint=12:bframes=2:b-adapt=0:open-gop=1:scenecut=0'],
      { shortest: 12, longest: 12, closed: false },
    ],
  ])('%s, in MOV and in Matroska', async (name, options, gop) => {
    const clip = [
      '-f',
      'lavfi',
      '-i',
      'testsrc2=s=64x36:r=25:d=1.2',
      '-c:v',
      'libx264',
      '-pix_fmt',
      'yuv420p',
    ];
    const mov = await make(`${name}.mov`, ...clip, ...options);
    const mkv = await make(`${name}.mkv`, '-i', mov, '-c', 'copy');
    for (const file of [mov, mkv]) {
      const { coding } = await measureFile(file);
      expect(coding, file).toMatchObject({ packets: 30, gop, intraOnly: false });
      expect(coding?.timestamps).toEqual({ missing: 0, repeated: 0, backward: 0 });
    }
  });

  it('the bit rate is that of the packets; each picture of ProRes stands alone', async () => {
    const mov = await make('rate.mov', ...PICTURE, ...PRORES);
    const { stdout } = await execa('ffprobe', [
      '-v',
      'error',
      '-show_entries',
      'packet=size',
      '-of',
      'csv=p=0',
      mov,
    ]);
    const bits = stdout.split('\n').reduce((sum, size) => sum + 8 * Number(size), 0);
    // One second of picture.
    const { coding } = await measureFile(mov);
    expect(coding?.bitRate).toEqual({ mean: bits, peak: bits });
    expect(coding).toMatchObject({ intraOnly: true, gop: { shortest: 1, longest: 1, closed: true } });
  });

  it('a frame left out leaves a gap in time', async () => {
    const gap = await make(
      'gap.mov',
      ...PICTURE,
      '-vf',
      'select=not(eq(n\\,10))',
      '-vsync',
      'vfr',
      ...X264,
      '-bf',
      '0',
    );
    const m = await measureFile(gap);
    expect(m.events.filter(({ kind }) => kind === 'timestamp-gap').map(({ from }) => from)).toEqual([10]);
    expect(outcome(m, 'timestamps')).toMatchObject({ outcome: 'fail', measured: 'a gap or repeat' });
  });
});
