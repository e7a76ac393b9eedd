import { setImmediate } from 'node:timers/promises';
import { SIGNATURE_SIDE as SIDE, type Signatures } from '../../measure/picture/signature/packed-signature.js';
import type { FramesFound } from './find-other-frames.js';
import { matchTones } from './match-tones.js';

/** Frames of a copy that are looked at. */
const LOOKED_AT = 24;
/** Fields that differ by less (standard deviation of G', a signal) show no pattern: dark, or one colour. */
const LEAST_TONE = 0.02;
/** Offsets between the frames of both that are tried; of longer files every so manieth. */
const MOST_OFFSETS = 20_000;
/** Share of the frames that has to be alike for the copy not to be another. */
const BEST_SHARE = 0.5;
/**
 * Patterns of frames that correlate by less, however they are laid on one another, are of other pictures.
 * Copies in other tones, turned, cropped or in bars stay above, most pictures of other scenes below (by made
 * pictures whose spectrum falls as that of scenes does, no source).
 */
const FOREIGN = 0.7;
/** What of the original's width or height the copy may show, less than 1, or take up, more than 1. */
const ZOOMS = [0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1, 1.1, 1.25, 1.33, 1.5, 1.78, 2] as const;

type Field = Float64Array;

/**
 * All frames of a copy as others than the original has, where that is certain; null where it is not.
 *
 * @param pace frames of the original for each of the copy, where the rates differ
 */
export async function foreignFrames(
  original: Signatures,
  copy: Signatures,
  pace: number,
): Promise<FramesFound | null> {
  if (!(await isForeignPicture(original, copy, pace))) return null;
  const frames = Math.min(original.frames, copy.frames);
  const [a, b] = [new Float64Array(original.values), new Float64Array(original.values)];
  const off = spread(frames).map((frame) => {
    original.read(frame, a);
    copy.read(frame, b);
    return Math.sqrt(a.reduce((sum, value, i) => sum + (value - (b[i] ?? 0)) ** 2, 0) / a.length);
  });
  const usual = off.toSorted((x, y) => x - y)[off.length >> 1] ?? 0;
  return { frames, usual, apart: [{ from: 0, to: frames, shows: null }], doubtful: [], alike: 0 };
}

/**
 * Whether a copy certainly shows another picture than its original throughout: not late, turned, mirrored,
 * cropped, in bars, in other tones, or too dark or even to be told.
 *
 * @param pace frames of the original for each of the copy, where the rates differ
 */
export async function isForeignPicture(
  original: Signatures,
  copy: Signatures,
  pace: number,
): Promise<boolean> {
  const shown = spread(copy.frames)
    .map((frame) => ({ frame, fields: green(copy, frame) }))
    .filter(({ fields }) => toneOf(fields) >= LEAST_TONE);
  if (isWithoutPattern(copy) || isWithoutPattern(original)) return false;
  for (const tones of [original, matchTones(original, copy)]) {
    const had = { frames: tones.frames, at: (frame: number) => green(tones, frame) };
    for (const each of new Set([1, pace])) {
      if (await isFound(had, shown, each)) return false;
    }
  }
  return true;
}

/** Whether most frames show no pattern by which they could be told: dark, of one colour, or of fine noise. */
export function isWithoutPattern(signatures: Signatures): boolean {
  const frames = spread(signatures.frames);
  const shown = frames.filter((frame) => toneOf(green(signatures, frame)) >= LEAST_TONE);
  return 2 * shown.length < frames.length;
}

interface Pictures {
  readonly frames: number;
  at(frame: number): Field;
}

interface Shown {
  readonly frame: number;
  readonly fields: Field;
}

/** Numbers of frames spread evenly over so many. */
function spread(frames: number): number[] {
  const count = Math.min(LOOKED_AT, frames);
  return Array.from({ length: count }, (_, i) => Math.floor(((i + 0.5) * frames) / count));
}

function green(signatures: Signatures, frame: number): Field {
  const all = new Float64Array(signatures.values);
  signatures.read(frame, all);
  return all.slice(0, SIDE * SIDE);
}

function toneOf(fields: Field): number {
  return Math.sqrt(normalised(fields.slice()) / fields.length);
}

/** Takes the mean away and makes the sum of squares 1; returns what that was. */
function normalised(fields: Field): number {
  let mean = 0;
  for (const field of fields) mean += field / fields.length;
  let power = 0;
  for (let i = 0; i < fields.length; i++) {
    fields[i] = (fields[i] ?? 0) - mean;
    power += (fields[i] ?? 0) ** 2;
  }
  const scale = power > 0 ? 1 / Math.sqrt(power) : 0;
  for (let i = 0; i < fields.length; i++) fields[i] = (fields[i] ?? 0) * scale;
  return power;
}

/** Whether the copy's frames are those of the original in some way. */
async function isFound(had: Pictures, shown: readonly Shown[], pace: number): Promise<boolean> {
  const copies = shown.map(({ frame, fields }) => ({ at: Math.round(frame * pace), fields: unit(fields) }));
  const turns = TURNS.map((turn) => copies.map(({ at, fields }) => ({ at, fields: turned(fields, turn) })));
  const known = new Map<number, Field>();
  const originalAt = (frame: number): Field => {
    const field = known.get(frame) ?? unit(had.at(frame));
    known.set(frame, field);
    return field;
  };
  const last = copies.at(-1)?.at ?? 0;
  const step = Math.max(1, Math.ceil((last + had.frames) / MOST_OFFSETS));
  const least = Math.max(1, Math.ceil(copies.length * BEST_SHARE));
  let tried = 0;
  for (let offset = -step * Math.floor(last / step); offset < had.frames; offset += step) {
    if (tried++ % 200 === 0) await setImmediate();
    for (const each of turns) {
      const likeness = each
        .filter(({ at }) => at + offset >= 0 && at + offset < had.frames)
        .map(({ at, fields }) => Math.abs(product(originalAt(at + offset), fields)));
      if (likeness.length >= least && bestOf(likeness, Math.ceil(likeness.length * BEST_SHARE)) >= FOREIGN)
        return true;
    }
  }
  const pairs = shown
    .map(({ frame, fields }) => ({ at: Math.round(frame * pace), fields: unit(fields) }))
    .filter(({ at }) => at < had.frames)
    .map(({ at, fields }) => ({ fields, original: had.at(at) }));
  return zooms().some((zoom) => {
    const likeness = pairs.map(({ fields, original }) =>
      Math.abs(product(unit(zoomed(original, zoom)), fields)),
    );
    return likeness.length > 0 && bestOf(likeness, Math.ceil(likeness.length * BEST_SHARE)) >= FOREIGN;
  });
}

function unit(fields: Field): Field {
  const copy = fields.slice();
  normalised(copy);
  return copy;
}

function product(a: Field, b: Field): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (a[i] ?? 0) * (b[i] ?? 0);
  return sum;
}

/** What so many of the values reach. */
function bestOf(values: readonly number[], count: number): number {
  return values.toSorted((a, b) => b - a)[count - 1] ?? 0;
}

/** The eight ways a picture can lie: which field stands in the place of (row, column). */
const LAST = SIDE - 1;
const TURNS: readonly ((row: number, column: number) => number)[] = [
  (row, column) => row * SIDE + column,
  (row, column) => row * SIDE + LAST - column,
  (row, column) => (LAST - row) * SIDE + column,
  (row, column) => (LAST - row) * SIDE + LAST - column,
  (row, column) => column * SIDE + row,
  (row, column) => column * SIDE + LAST - row,
  (row, column) => (LAST - column) * SIDE + row,
  (row, column) => (LAST - column) * SIDE + LAST - row,
];

function turned(fields: Field, turn: (row: number, column: number) => number): Field {
  return fields.map((_, i) => fields[turn(Math.floor(i / SIDE), i % SIDE)] ?? 0);
}

/** How much of the original the copy shows, and the middle of that, as shares of width and height. */
interface Zoom {
  readonly across: number;
  readonly down: number;
  readonly x: number;
  readonly y: number;
}

/** Along one side or both alike; of what is cut to the start, the middle and the end. */
function zooms(): Zoom[] {
  const places = (zoom: number): number[] => (zoom < 1 ? [zoom / 2, 0.5, 1 - zoom / 2] : [0.5]);
  return ZOOMS.flatMap((zoom) =>
    [
      { across: zoom, down: 1 },
      { across: 1, down: zoom },
      { across: zoom, down: zoom },
    ].flatMap((size) =>
      places(size.across).flatMap((x) => places(size.down).map((y) => ({ ...size, x, y }))),
    ),
  );
}

/** What the fields of a copy would be that shows this of a picture; beside it black. */
function zoomed(fields: Field, { across, down, x, y }: Zoom): Field {
  const at = (place: number, zoom: number, middle: number): number =>
    (middle + ((place + 0.5) / SIDE - 0.5) * zoom) * SIDE - 0.5;
  return fields.map((_, i) => {
    const [row, column] = [at(Math.floor(i / SIDE), down, y), at(i % SIDE, across, x)];
    if (row < -0.5 || row > LAST + 0.5 || column < -0.5 || column > LAST + 0.5) return 0;
    const [top, left] = [held(Math.floor(row)), held(Math.floor(column))];
    const [v, u] = [Math.min(Math.max(row - top, 0), 1), Math.min(Math.max(column - left, 0), 1)];
    const of = (r: number, c: number): number => fields[r * SIDE + c] ?? 0;
    return (
      (of(top, left) * (1 - u) + of(top, left + 1) * u) * (1 - v) +
      (of(top + 1, left) * (1 - u) + of(top + 1, left + 1) * u) * v
    );
  });
}

function held(place: number): number {
  return Math.min(Math.max(place, 0), LAST - 1);
}
