import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { readBoxes } from '../../../workers/probe/boxes/read-boxes.js';
import { DamagedBoxes } from '../../../workers/probe/boxes/walk-boxes.js';
import { box, fullBox, u8, u16, u32, zeros } from '../../media/boxes.js';
import { temporaryFolder } from '../../media/known-clip.js';

/**
 * Files built box by box after ISO/IEC 14496-12 (layouts of the boxes) and the QuickTime File Format (`nclc`,
 * `fiel`, `tmcd`); both from memory. Expected figures follow from the numbers put in.
 */
const folder = await temporaryFolder();
afterAll(folder.remove);

let files = 0;
async function read(...content: readonly Buffer[]) {
  const bytes = Buffer.concat(content);
  const path = join(folder.path, `${files++}.mov`);
  await writeFile(path, bytes);
  return readBoxes(path, bytes.length);
}

const FTYP = box('ftyp', Buffer.from('qt  '), u32(0), Buffer.from('qt  '));
const MVHD = fullBox('mvhd', 0, u32(0, 0, 1000, 2000), zeros(80));
const IDENTITY = zeros(36);

interface Track {
  readonly handler: string;
  readonly timescale: number;
  readonly duration?: number;
  readonly entry: Buffer;
  readonly tables: readonly Buffer[];
  readonly edits?: Buffer;
}
function trak({ handler, timescale, duration = 0, entry, tables, edits }: Track): Buffer {
  return box(
    'trak',
    fullBox('tkhd', 0, u32(0, 0, 1, 0, 0), zeros(16), IDENTITY, u32(0, 0)),
    ...(edits ? [box('edts', edits)] : []),
    box(
      'mdia',
      fullBox('mdhd', 0, u32(0, 0, timescale, duration), u16(0x55c4, 0)),
      fullBox('hdlr', 0, zeros(4), Buffer.from(handler), zeros(12), u8(0)),
      box('minf', box('stbl', fullBox('stsd', 0, u32(1), entry), ...tables)),
    ),
  );
}
/** A QuickTime picture entry: 78 bytes of fields, then boxes. */
function picture(type: string, ...boxes: readonly Buffer[]): Buffer {
  return box(type, zeros(78), ...boxes);
}
const stts = (...runs: readonly (readonly [count: number, delta: number])[]) =>
  fullBox('stts', 0, u32(runs.length, ...runs.flat()));
const stsz = (...sizes: readonly number[]) => fullBox('stsz', 0, u32(0, sizes.length, ...sizes));
const FOUR = [stts([4, 512]), stsz(10, 20, 30, 40)];
const video = (entry: Buffer, part: Partial<Track> = {}) =>
  trak({ handler: 'vide', timescale: 12_800, duration: 2048, entry, tables: FOUR, ...part });
const moov = (...tracks: readonly Buffer[]) => box('moov', MVHD, ...tracks);

describe('a picture entry', () => {
  const layerOf = async (...boxes: readonly Buffer[]) =>
    (await read(FTYP, moov(video(picture('apch', ...boxes))))).picture;

  it.each([
    // H.273: 9 BT.2020, 16 PQ, 9 non-constant luminance; 1 BT.709.
    ['nclc', box('colr', Buffer.from('nclc'), u16(9, 16, 9)), ['bt2020', 'smpte2084', 'bt2020nc', null]],
    [
      'nclx, narrow',
      box('colr', Buffer.from('nclx'), u16(1, 1, 1), u8(0)),
      ['bt709', 'bt709', 'bt709', 'narrow'],
    ],
    [
      'nclx, full',
      box('colr', Buffer.from('nclx'), u16(9, 18, 9), u8(0x80)),
      ['bt2020', 'arib-std-b67', 'bt2020nc', 'full'],
    ],
    [
      'nclc, unspecified in part',
      box('colr', Buffer.from('nclc'), u16(1, 2, 1)),
      ['bt709', null, 'bt709', null],
    ],
  ])('%s', async (_, colr, [primaries, transfer, matrix, range]) => {
    expect((await layerOf(colr))?.colour).toEqual({ primaries, transfer, matrix, range });
  });

  it('says nothing of colour by a colour profile, an unspecified nclc or a box cut short', async () => {
    expect((await layerOf(box('colr', Buffer.from('prof'), zeros(20))))?.colour).toBeNull();
    expect((await layerOf(box('colr', Buffer.from('nclc'), u16(2, 2, 2))))?.colour).toBeNull();
    expect((await layerOf(box('colr', Buffer.from('nclc'), u16(1))))?.colour).toBeNull();
    const both = await layerOf(
      box('colr', Buffer.from('prof'), zeros(20)),
      box('colr', Buffer.from('nclc'), u16(1, 1, 1)),
    );
    expect(both?.colour?.primaries).toBe('bt709');
  });

  it.each([
    [1, 0, 'progressive'],
    [2, 1, 'interlaced-tff'],
    [2, 6, 'interlaced-bff'],
    [2, 9, 'interlaced-tff'],
    [2, 14, 'interlaced-bff'],
    [2, 0, null],
    [3, 9, null],
  ])('fiel %i %i', async (fields, order, scan) => {
    expect((await layerOf(box('fiel', u8(fields, order))))?.scan).toBe(scan);
  });

  it('gives the sample aspect; none by a zero', async () => {
    expect((await layerOf(box('pasp', u32(128, 90))))?.sampleAspect).toBe('64/45');
    expect((await layerOf(box('pasp', u32(1, 0))))?.sampleAspect).toBeNull();
  });

  it('gives the clean aperture; none by a zero', async () => {
    const offsets = u32(0, 1, 0, 1);
    const clap = (...size: readonly number[]) => layerOf(box('clap', u32(...size), offsets));
    expect((await clap(1888, 1, 2124, 2))?.cleanAperture).toEqual({ width: 1888, height: 1062 });
    expect((await clap(1888, 0, 1062, 1))?.cleanAperture).toBeNull();
    expect((await clap(0, 1, 1062, 1))?.cleanAperture).toBeNull();
  });

  it('gives mastering display and light level', async () => {
    // P3-D65 at 0.0001 to 1000 cd/m2 in units of 0.00002 and 0.0001 cd/m2, order green, blue, red, white,
    // max, min.
    const mdcv = box(
      'mdcv',
      u16(13_250, 34_500, 7500, 3000, 34_000, 16_000, 15_635, 16_450),
      u32(10_000_000, 1),
    );
    const layer = await layerOf(mdcv, box('clli', u16(1000, 400)));
    expect(layer?.lightLevel).toEqual({ maxCll: 1000, maxFall: 400 });
    expect(layer?.mastering).toEqual({
      red: [0.68, 0.32],
      green: [0.265, 0.69],
      blue: [0.15, 0.06],
      white: [0.3127, 0.329],
      maxLuminance: 1000,
      minLuminance: 0.0001,
    });
  });

  it.each([
    // H.264, annex A: profile_idc 122 with constraint_set3 is High 4:2:2 Intra; level_idc 41 is 4.1, 9 is 1b.
    ['avcC', u8(1, 122, 0x10, 41, 0xff, 0xe0, 0), 'High 4:2:2 Intra', '4.1'],
    ['avcC', u8(1, 66, 0x40, 9, 0xff, 0xe0, 0), 'Constrained Baseline', '1b'],
    ['avcC', u8(1, 100, 0, 50, 0xff, 0xe0, 0), 'High', '5'],
    // H.265, annex A: profile_idc 2 is Main 10; level_idc 153 is 5.1 (times 30).
    ['hvcC', Buffer.concat([u8(1, 2), zeros(10), u8(153), zeros(10)]), 'Main 10', '5.1'],
  ])('%s', async (type, content, profile, level) => {
    expect(await layerOf(box(type, content))).toMatchObject({ profile, level });
  });
});

describe('a sound entry', () => {
  const MP4 = box('ftyp', Buffer.from('iso8'), u32(0), Buffer.from('iso8'));
  const fields = (version: number, channels: number, bits: number) =>
    Buffer.concat([zeros(6), u16(1, version, 0), zeros(4), u16(channels, bits, 0, 0), u32(48_000 * 65_536)]);
  const enda = (order: number) => box('wave', box('frma', Buffer.from('in24')), box('enda', u16(order)));
  const pcmC = (order: number, bits: number) => fullBox('pcmC', 0, u8(order, bits));
  // QuickTime, version 2: size, rate, channels, a constant, bits, flags, bytes, frames.
  const lpcm = (bits: number, flags: number) =>
    Buffer.concat([fields(2, 3, 16), u32(72), zeros(8), u32(2, 0x7f00_0000, bits, flags, 0, 1)]);

  it.each([
    ['ipcm', MP4, Buffer.concat([fields(0, 2, 16), pcmC(1, 24)]), [24, 'signed', true]],
    ['ipcm', MP4, Buffer.concat([fields(1, 2, 16), pcmC(0, 32)]), [32, 'signed', false]],
    ['fpcm', MP4, Buffer.concat([fields(0, 2, 16), pcmC(0, 64)]), [64, 'float', false]],
    ['ipcm', MP4, fields(0, 2, 16), null],
    ['ipcm', MP4, Buffer.concat([fields(0, 2, 16), pcmC(0, 20)]), null],
    ['mp4a', MP4, fields(0, 2, 16), null],
    ['sowt', FTYP, fields(0, 2, 16), [16, 'signed', true]],
    ['twos', FTYP, fields(0, 2, 24), [24, 'signed', false]],
    ['in24', FTYP, Buffer.concat([fields(1, 2, 16), zeros(16)]), [24, 'signed', false]],
    ['in24', FTYP, Buffer.concat([fields(1, 2, 16), zeros(16), enda(1)]), [24, 'signed', true]],
    ['fl32', FTYP, Buffer.concat([fields(1, 2, 16), zeros(16), enda(0)]), [32, 'float', false]],
    // kAudioFormatFlag: 1 float, 2 big-endian, 4 signed.
    ['lpcm', FTYP, lpcm(24, 4), [24, 'signed', true]],
    ['lpcm', FTYP, lpcm(32, 1 + 2), [32, 'float', false]],
  ] as const)('%s', async (code, ftyp, entry, expected) => {
    const tables = [stts([4, 1]), stsz(6, 6, 6, 6)];
    const track = trak({ handler: 'soun', timescale: 48_000, entry: box(code, entry), tables });
    const { sounds } = await read(ftyp, moov(track));
    const pcm = expected && { bits: expected[0], kind: expected[1], littleEndian: expected[2] };
    expect(sounds.get(1)).toEqual({ code, channels: 2, pcm, contradiction: null, speakers: null });
  });
});

describe('times of tracks', () => {
  const trackOf = async (edits: Buffer | undefined, part: Partial<Track> = {}) =>
    (await read(FTYP, moov(video(picture('apch'), { ...(edits ? { edits } : {}), ...part })))).wrapper
      .tracks[0];
  const elst = (version: 0 | 1, ...rows: readonly Buffer[]) =>
    fullBox('elst', version, u32(rows.length / 2), ...rows);
  const RATE_1 = u16(1, 0);

  it('without an edit list', async () => {
    expect(await trackOf(undefined)).toEqual({
      kind: 'video',
      codec: 'apch',
      samples: 4,
      presentedSamples: 4,
      partlyPresented: 0,
      mediaSeconds: 0.16,
      presentedSeconds: 0.16,
      startSeconds: 0,
      edits: [],
    });
  });

  it.each([
    // Samples at 0, 512, 1024 and 1536 ticks of 12,800 a second; edits of milliseconds and ticks.
    ['all', [[160, 0]], 4, 0, [0, 512, 1024, 1536]],
    ['what begins within', [[80, 512]], 2, 0, [0, 512]],
    ['none that began before', [[100, 300]], 3, 1, [0, 512, 1024]],
    [
      'after a delay',
      [
        [200, -1],
        [80, 0],
      ],
      2,
      0,
      [2560, 3072],
    ],
    [
      'twice what is shown twice',
      [
        [80, 0],
        [80, 0],
      ],
      4,
      0,
      [0, 512, 1024, 1536],
    ],
  ] as const)('counts the pictures an edit list presents: %s', async (_, list, count, partly, ticks) => {
    const edits = elst(0, ...list.flatMap((row) => [u32(...row), RATE_1]));
    const { wrapper, times } = await read(FTYP, moov(video(picture('apch'), { edits })));
    expect(wrapper.tracks[0]).toMatchObject({ presentedSamples: count, partlyPresented: partly });
    expect([...Array.from(times?.ticks ?? [])]).toEqual(ticks);
  });

  it('does not count pictures that are held or shown faster', async () => {
    const { times } = await read(
      FTYP,
      moov(video(picture('apch'), { edits: elst(0, u32(160, 0), u16(0, 0)) })),
    );
    expect(times).toBeNull();
  });

  it('an empty edit of 200 ms delays', async () => {
    const track = await trackOf(elst(0, u32(200, -1), RATE_1, u32(160, 0), RATE_1));
    expect(track).toMatchObject({ startSeconds: 0.2, presentedSeconds: 0.16 });
    expect(track?.edits).toEqual([
      { seconds: 0.2, mediaStartSeconds: null, rate: 1 },
      { seconds: 0.16, mediaStartSeconds: 0, rate: 1 },
    ]);
  });

  it('in 64 bits as in 32', async () => {
    const track = await trackOf(elst(1, u32(0, 200, -1, -1), RATE_1, u32(0, 160, 0, 0), RATE_1));
    expect(track).toMatchObject({ startSeconds: 0.2, presentedSeconds: 0.16 });
  });

  it('an edit that begins with the first picture presented takes the delay of reordering away', async () => {
    const ctts = fullBox('ctts', 0, u32(2, 1, 1024, 3, 512));
    // Pictures are presented from tick 1024 (0.08 s) on: presented 1024, 1024, 1536, 2048.
    const reordered = { tables: [...FOUR, ctts] };
    expect((await trackOf(undefined, reordered))?.startSeconds).toBe(0.08);
    expect((await trackOf(elst(0, u32(160, 1024), RATE_1), reordered))?.startSeconds).toBe(0);
    expect((await trackOf(elst(0, u32(160, 512), RATE_1), reordered))?.startSeconds).toBe(0.04);
  });

  it('offsets below zero, in either version', async () => {
    for (const version of [0, 1]) {
      const ctts = fullBox('ctts', version, u32(2, 1, 512, 3, -512));
      const { packets } = await read(FTYP, moov(video(picture('apch'), { tables: [...FOUR, ctts] })));
      expect([...(packets?.presentationTimes ?? [])]).toEqual([512, 0, 512, 1024]);
    }
  });

  it('an edit at half speed, an edit list that presents nothing, a clock that stands', async () => {
    expect((await trackOf(elst(0, u32(160, 0), u16(0, 0x8000))))?.edits).toEqual([
      { seconds: 0.16, mediaStartSeconds: 0, rate: 0.5 },
    ]);
    expect(await trackOf(elst(0, u32(200, -1), RATE_1))).toMatchObject({
      startSeconds: null,
      presentedSeconds: 0,
    });
    expect(await trackOf(undefined, { timescale: 0 })).toMatchObject({
      startSeconds: null,
      mediaSeconds: null,
    });
  });

  it('a length of all ones is not known', async () => {
    expect((await trackOf(undefined, { duration: 0xffffffff }))?.presentedSeconds).toBeNull();
  });
});

describe('samples', () => {
  it('sizes, times and key frames', async () => {
    const tables = [stts([1, 512], [3, 256]), stsz(10, 20, 30, 40), fullBox('stss', 0, u32(2, 1, 3))];
    const { packets } = await read(FTYP, moov(video(picture('avc1'), { tables })));
    expect([...(packets?.bytes ?? [])]).toEqual([10, 20, 30, 40]);
    expect([...(packets?.decodeTimes ?? [])]).toEqual([0, 512, 768, 1024]);
    expect([...(packets?.key ?? [])]).toEqual([1, 0, 1, 0]);
    expect(packets?.timeBase).toEqual({ num: 1, den: 12_800 });
  });

  it('without a table of key frames each is one; of one size there is no list', async () => {
    const tables = [stts([4, 512]), fullBox('stsz', 0, u32(7, 4))];
    const { packets } = await read(FTYP, moov(video(picture('apch'), { tables })));
    expect([...(packets?.key ?? [])]).toEqual([1, 1, 1, 1]);
    expect([...(packets?.bytes ?? [])]).toEqual([7, 7, 7, 7]);
  });

  // Walked sample by sample, it would not end within the time of a test.
  it('two hours of PCM are counted, not walked', async () => {
    const sound = trak({
      handler: 'soun',
      timescale: 48_000,
      duration: 345_600_000,
      entry: box('in24', zeros(28)),
      tables: [stts([345_600_000, 1]), fullBox('stsz', 0, u32(3, 345_600_000))],
    });
    const { wrapper } = await read(FTYP, moov(sound));
    expect(wrapper.tracks[0]).toMatchObject({ kind: 'audio', samples: 345_600_000, presentedSeconds: 7200 });
  });
});

describe('a timecode track', () => {
  const MDAT_AT = FTYP.length + 8;
  interface Timecode {
    readonly flags?: number;
    readonly scale?: number;
    readonly duration?: number;
    readonly perSecond?: number;
    readonly counts: readonly number[];
    readonly lengths: readonly number[];
    readonly type?: string;
  }
  async function timecode({
    flags = 0,
    scale = 25,
    duration = 1,
    perSecond = 25,
    counts,
    lengths,
    type = 'tmcd',
  }: Timecode) {
    const entry = box(type, zeros(8), u32(0, flags, scale, duration), u8(perSecond, 0));
    const wide = type === 'tc64';
    const samples = wide ? counts.flatMap((count) => [0, count]) : counts;
    const track = trak({
      handler: 'tmcd',
      timescale: scale,
      entry,
      tables: [
        stts(...lengths.map((frames): [number, number] => [1, frames * duration])),
        fullBox('stsz', 0, u32(wide ? 8 : 4, counts.length)),
        fullBox('stsc', 0, u32(1, 1, counts.length, 1)),
        fullBox('stco', 0, u32(1, MDAT_AT)),
      ],
    });
    return (await read(FTYP, box('mdat', u32(...samples)), moov(track))).wrapper.timecode;
  }
  // 10 hours at 25 frames a second: 10 x 3600 x 25.
  const TEN = 900_000;

  it('one sample for the whole programme', async () => {
    expect(await timecode({ counts: [TEN], lengths: [50] })).toEqual({
      start: '10:00:00:00',
      frameRate: '25/1',
      framesPerSecond: 25,
      dropFrame: false,
      samples: 1,
      frames: 50,
      jumps: [],
    });
  });

  it('of 64 bits', async () => {
    expect((await timecode({ counts: [TEN], lengths: [50], type: 'tc64' }))?.start).toBe('10:00:00:00');
  });

  it('drop frame: the count at one minute is the label after the two that are dropped (ST 12-1)', async () => {
    const track = await timecode({
      flags: 1,
      scale: 30_000,
      duration: 1001,
      perSecond: 30,
      counts: [1800],
      lengths: [9],
    });
    expect(track).toMatchObject({ start: '00:01:00;02', frameRate: '30000/1001', dropFrame: true });
  });

  it('a drop flag at 25 has no label', async () => {
    expect(await timecode({ flags: 1, counts: [TEN], lengths: [50] })).toMatchObject({
      start: null,
      dropFrame: true,
    });
  });

  it('goes on over several samples, or jumps', async () => {
    const on = await timecode({ counts: [TEN, TEN + 10, TEN + 30], lengths: [10, 20, 5] });
    expect(on).toMatchObject({ samples: 3, frames: 35, jumps: [] });
    const off = await timecode({ counts: [TEN, TEN + 11, TEN + 31], lengths: [10, 20, 5] });
    expect(off?.jumps).toEqual([{ frame: 10, expected: TEN + 10, found: TEN + 11 }]);
  });

  it('is none where it counts something else or has no rate', async () => {
    expect(await timecode({ flags: 8, counts: [1], lengths: [5] })).toBeNull();
    expect(await timecode({ duration: 0, counts: [1], lengths: [5] })).toBeNull();
  });
});

describe('the file around', () => {
  const SAMPLES = box('mdat', zeros(100));
  const INDEX = moov(video(picture('apch')));

  it.each([
    [
      'index in front',
      [FTYP, INDEX, SAMPLES],
      { indexFirst: true, fragments: 0, trailingBytes: 0, brand: 'qt  ' },
    ],
    ['index behind', [FTYP, SAMPLES, INDEX], { indexFirst: false, trailingBytes: 0 }],
    [
      '64-bit sizes',
      [FTYP, Buffer.concat([u32(1), Buffer.from('mdat'), u32(0, 116), zeros(100)]), INDEX],
      { indexFirst: false },
    ],
    [
      'samples to the end of the file',
      [FTYP, INDEX, Buffer.concat([u32(0), Buffer.from('mdat'), zeros(9)])],
      { trailingBytes: 0 },
    ],
    ['three bytes behind', [FTYP, SAMPLES, INDEX, zeros(3)], { trailingBytes: 3 }],
    ['junk behind', [FTYP, SAMPLES, INDEX, Buffer.alloc(20, 0xaa)], { trailingBytes: 20 }],
    ['an empty box behind is a box', [FTYP, SAMPLES, INDEX, box('free')], { trailingBytes: 0 }],
    [
      'fragments',
      [FTYP, INDEX, box('moof'), SAMPLES, box('moof'), SAMPLES],
      { indexFirst: true, fragments: 2 },
    ],
    ['no brand', [SAMPLES, INDEX], { brand: null }],
  ])('%s', async (_, boxes, expected) => {
    expect((await read(...boxes)).wrapper).toMatchObject(expected);
  });
});

describe('hostile files are refused in words, at once', () => {
  const raw = (size: number, type: string, content = zeros(0)) =>
    Buffer.concat([u32(size), Buffer.from(type, 'latin1'), content]);
  let nested = zeros(0);
  for (let depth = 0; depth < 10_000; depth++) nested = box('trak', nested);

  it.each<[string, readonly Buffer[], RegExp]>([
    ['two bytes', [u8(0, 0)], /no index/],
    ['nothing', [], /no index/],
    ['samples alone', [FTYP, box('mdat', zeros(10))], /no index/],
    ['an index larger than the file', [FTYP, raw(5000, 'moov')], /past the end/],
    ['an index of an exabyte', [FTYP, raw(1, 'moov', u32(0x10000000, 0))], /more than any real one/],
    [
      'a box that is larger than the box around it',
      [FTYP, box('moov', MVHD, raw(900, 'trak'))],
      /larger than the box around it/,
    ],
    ['a box too small to be one', [FTYP, box('moov', MVHD, raw(7, 'trak'), zeros(8))], /too small/],
    ['a compressed index', [FTYP, box('moov', box('cmov', zeros(20)))], /compressed/],
    [
      'as many tracks as fit',
      [FTYP, box('moov', ...Array.from({ length: 300 }, () => box('trak')))],
      /300 tracks/,
    ],
    [
      'as many boxes as fit',
      [FTYP, box('moov', ...Array.from({ length: 10_001 }, () => box('free')))],
      /more than 10000/,
    ],
    [
      'a size table that promises more than it has',
      [
        FTYP,
        moov(video(picture('apch'), { tables: [stts([4, 1]), fullBox('stsz', 0, u32(0, 0xffffffff, 1))] })),
      ],
      /declares/,
    ],
    [
      'one size for as many samples as there are numbers',
      [
        FTYP,
        moov(video(picture('apch'), { tables: [stts([4, 1]), fullBox('stsz', 0, u32(1, 0xffffffff))] })),
      ],
      /declares 4294967295 samples/,
    ],
    [
      'a time table with fewer samples',
      [FTYP, moov(video(picture('apch'), { tables: [stts([3, 512]), stsz(1, 2, 3, 4)] }))],
      /3 of them have a time/,
    ],
    [
      'a table of times cut short',
      [FTYP, moov(video(picture('apch'), { tables: [fullBox('stts', 0, u32(9, 1, 1)), stsz(1)] }))],
      /too short/,
    ],
    [
      'an edit list that promises more than it has',
      [FTYP, moov(video(picture('apch'), { edits: fullBox('elst', 0, u32(0xffffffff)) }))],
      /edit list/,
    ],
    [
      'a table without its fields',
      [FTYP, moov(video(picture('apch'), { tables: [box('stts'), stsz(1)] }))],
      /short/,
    ],
  ])('%s', async (_, content, reason) => {
    const reading = read(...content);
    await expect(reading).rejects.toThrow(DamagedBoxes);
    await expect(reading).rejects.toThrow(reason);
  });

  it.each<[string, readonly Buffer[]]>([
    ['ten thousand boxes in each other', [FTYP, box('moov', MVHD, nested)]],
    [
      'a time run as long as numbers go',
      [FTYP, moov(video(picture('apch'), { tables: [stts([0xffffffff, 1]), stsz(1)] }))],
    ],
    ['an entry without its fields', [FTYP, moov(video(box('apch')))]],
    [
      'a timecode track without samples',
      [
        FTYP,
        moov(
          trak({
            handler: 'tmcd',
            timescale: 25,
            entry: box('tmcd', zeros(8), u32(0, 0, 25, 1), u8(25, 0)),
            tables: [],
          }),
        ),
      ],
    ],
  ])('or read as far as they go: %s', async (_, content) => {
    await expect(read(...content)).resolves.toBeDefined();
  });

  it('whatever byte is changed, and wherever it ends', async () => {
    const whole = Buffer.concat([
      FTYP,
      box('mdat', u32(900_000)),
      moov(
        video(
          picture(
            'avc1',
            box('avcC', u8(1, 100, 0, 41, 0xff, 0xe1, 0, 4, 1, 2, 3, 4, 1, 0, 1, 9)),
            box('colr', Buffer.from('nclx'), u16(1, 1, 1), u8(0)),
            box('pasp', u32(1, 1)),
            box('fiel', u8(2, 9)),
          ),
          {
            edits: fullBox('elst', 0, u32(1, 160, 0), u16(1, 0)),
            tables: [...FOUR, fullBox('ctts', 0, u32(1, 4, 512))],
          },
        ),
        trak({
          handler: 'tmcd',
          timescale: 25,
          entry: box('tmcd', zeros(8), u32(0, 0, 25, 1), u8(25, 0)),
          tables: [
            stts([1, 4]),
            fullBox('stsz', 0, u32(4, 1)),
            fullBox('stsc', 0, u32(1, 1, 1, 1)),
            fullBox('stco', 0, u32(1, 28)),
          ],
        }),
      ),
    ]);
    expect((await read(whole)).wrapper.timecode?.start).toBe('10:00:00:00');
    const byte = fc.tuple(fc.nat(whole.length - 1), fc.constantFrom(0, 1, 2, 7, 8, 0x7f, 0x80, 0xff));
    await fc.assert(
      fc.asyncProperty(
        fc.array(byte, { minLength: 1, maxLength: 4 }),
        fc.nat(whole.length),
        async (changes, cut) => {
          const hostile = Buffer.from(whole);
          for (const [at, value] of changes) hostile[at] = value;
          const content = cut % 3 === 0 ? hostile.subarray(0, cut) : hostile;
          await read(content).catch((error: unknown) => {
            if (!(error instanceof DamagedBoxes)) throw error;
          });
        },
      ),
      { numRuns: 1500 },
    );
  });
});
