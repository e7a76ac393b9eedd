import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import { openWorkshop, type Workshop } from './goodgate.js';

/**
 * A clip that others encoded and muxed: media/test.webm of the npm package ebml 3.0.0 (MIT), VP8 and Vorbis,
 * 320 x 240, 2500/83 frames a second; the picture shows the number of each frame of its source of 25 frames a
 * second. What is expected comes from its container, walked here by RFC 8794 and RFC 9559, and from those
 * numbers, read by eye.
 */
const CLIP = fileURLToPath(new URL('../../node_modules/ebml/media/test.webm', import.meta.url));

let shop: Workshop;
let found: Measurement;
let seconds: number[];
let blocks: Block[];
let header: { readonly width: number; readonly height: number; readonly duration: number };
beforeAll(async () => {
  shop = await openWorkshop();
  const { stdout } = await shop.start(['measure', CLIP, '--json', '--frames', 'frames.csv']);
  found = measurement.parse(JSON.parse(String(stdout)));
  const rows: Record<string, string>[] = parse(await readFile(join(shop.folder, 'frames.csv')), {
    columns: true,
  });
  seconds = rows.map((row) => Number(row.seconds));
  ({ blocks, header } = walk(await readFile(CLIP)));
}, 60_000);
afterAll(() => shop.close());

interface Block {
  readonly track: number;
  /** Milliseconds: the clip leaves TimestampScale at its default. */
  readonly time: number;
  readonly key: boolean;
}

/** Masters that are gone into: Segment, Cluster, Info, Tracks, TrackEntry, Video. */
const MASTERS = new Set([0x18538067, 0x1f43b675, 0x1549a966, 0x1654ae6b, 0xae, 0xe0]);

function walk(bytes: Buffer): { blocks: Block[]; header: typeof header } {
  const list: Block[] = [];
  const numbers = new Map<number, number>();
  let cluster = 0;
  const vint = (at: number): { length: number; value: number; raw: number } => {
    const length = Math.clz32(bytes.readUInt8(at)) - 23;
    const raw = bytes.readUIntBE(at, Math.min(length, 6)) * 256 ** Math.max(length - 6, 0);
    return {
      length,
      raw,
      value: length > 6 ? bytes.readUIntBE(at + 2, length - 2) : raw - 2 ** (7 * length),
    };
  };
  for (let at = 0; at < bytes.length; ) {
    const id = vint(at);
    const size = vint(at + id.length);
    const data = at + id.length + size.length;
    at = MASTERS.has(id.raw) ? data : data + size.value;
    if (id.raw === 0xe7) cluster = bytes.readUIntBE(data, size.value);
    if (id.raw === 0xb0 || id.raw === 0xba) numbers.set(id.raw, bytes.readUIntBE(data, size.value));
    if (id.raw === 0x4489)
      numbers.set(id.raw, size.value === 8 ? bytes.readDoubleBE(data) : bytes.readFloatBE(data));
    if (id.raw !== 0xa3) continue;
    const track = vint(data);
    const time = cluster + bytes.readInt16BE(data + track.length);
    list.push({ track: track.value, time, key: (bytes.readUInt8(data + track.length + 2) & 0x80) !== 0 });
  }
  const number = (id: number): number => numbers.get(id) ?? Number.NaN;
  return { blocks: list, header: { width: number(0xb0), height: number(0xba), duration: number(0x4489) } };
}

describe('a clip of another encoder and muxer', () => {
  it('has the frames, key frames, raster, times and duration of its container', () => {
    const picture = blocks.filter(({ track }) => track === 1);
    expect(picture.length).toBeGreaterThan(100);
    expect(found.video).toMatchObject({
      codec: 'vp8',
      width: header.width,
      height: header.height,
      frames: picture.length,
      constantRate: true,
    });
    expect(found.coding?.packets).toBe(picture.length);
    expect(found.coding?.keyFrames.container).toBe(picture.filter(({ key }) => key).length);
    expect(found.container.durationSeconds).toBeCloseTo(header.duration / 1000, 3);
    expect(seconds).toHaveLength(picture.length);
    picture.forEach(({ time }, i) => {
      expect(seconds[i]).toBeCloseTo(time / 1000, 4);
    });
    expect(found.decode).toMatchObject({ errors: 0, truncated: false });
  });

  it('repeats where its counter does, and nowhere else', () => {
    // Frames 0, 40, 80, 120 and 160 show 0, 33, 66, 99 and 132: 25 frames of the source to 2500/83 of the
    // clip.
    const shows = (frame: number): number => Math.floor((frame * 83) / 100);
    expect([0, 40, 80, 120, 160].map(shows)).toEqual([0, 33, 66, 99, 132]);
    const repeats = (frame: number): boolean => frame > 0 && shows(frame) === shows(frame - 1);
    const { duplicate, freeze, missingMotion, shortShot } = found.temporal ?? {};
    for (const { from, to } of duplicate?.ranges ?? []) {
      for (let frame = from; frame < to; frame++) expect(repeats(frame), `frame ${frame}`).toBe(true);
    }
    for (const { from, every } of duplicate?.regular.ranges ?? []) {
      expect(every).toBe(6);
      expect(repeats(from), `frame ${from}`).toBe(true);
    }
    const all = Array.from({ length: 182 }, (_, frame) => frame).filter(repeats).length;
    expect(all).toBe(31);
    const told = (duplicate?.frames ?? 0) + (duplicate?.regular.frames ?? 0);
    // The coder's own noise covers a few.
    expect(told).toBeGreaterThan(0.75 * all);
    expect(told).toBeLessThanOrEqual(all);
    expect(found.fields?.cadence.name).toBe('repeat-1-in-6');
    expect([freeze?.places, missingMotion?.places, shortShot?.places]).toEqual([0, 0, 0]);
  });
});
