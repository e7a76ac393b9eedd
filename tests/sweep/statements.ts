import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import type { PictureTruth, SoundTruth } from './decoded-truth.js';
import type { Made } from './sweep-media.js';

/** One statement held against the truth: null where it was not made. */
export interface Statement {
  readonly about: string;
  readonly said: string | null;
  readonly truth: string;
  readonly right: boolean;
}

export function held(
  about: string,
  said: unknown,
  truth: unknown,
  right = String(said) === String(truth),
): Statement {
  return {
    about,
    said: said === null || said === undefined ? null : String(said),
    truth: String(truth),
    right,
  };
}

/**
 * The rate that frames have, by their times alone: the mean distance where all are about the same. Null where
 * they are not, or have no times.
 */
export function rateOfTimes(times: readonly (number | null)[]): number | null {
  const known = times.flatMap((time) => time ?? []);
  if (known.length !== times.length || known.length < 2) return null;
  const distances = known.slice(1).map((time, i) => time - (known[i] ?? 0));
  const mean = ((known.at(-1) ?? 0) - (known[0] ?? 0)) / distances.length;
  // Clocks of 1/1000 s round both ends of a frame.
  return distances.every((one) => Math.abs(one - mean) < Math.max(0.0011, 0.01 * mean)) ? 1 / mean : null;
}

/**
 * The rate to a millionth: what the ticks of the clock say where it has the same number for every frame;
 * else, on a clock that rounds, that of the pictures that were encoded, if every time is theirs within a
 * tick.
 */
function exactRate({ ticks, clock }: PictureTruth, encoded: string | null): number | null {
  const known = ticks.flatMap((tick) => tick ?? []);
  const [first = 0] = known;
  if (known.length !== ticks.length || known.length < 3) return null;
  const step = (known[1] ?? 0) - first;
  if (step > 0 && known.every((tick, i) => tick - first === i * step) && step > 2) {
    const rate = clock / step;
    const asEncoded = encoded === null ? null : parseRational(encoded);
    // A clock of milliseconds has 40 for 25 and no whole number for the others: it is exact only by chance.
    if (clock > 1000 || asEncoded === null || Math.abs(toNumber(asEncoded) / rate - 1) < 1e-9) return rate;
  }
  const rate = encoded === null ? null : parseRational(encoded);
  if (rate === null) return null;
  const ideal = clock / toNumber(rate);
  return known.every((tick, i) => Math.abs(tick - first - i * ideal) <= 1) ? toNumber(rate) : null;
}

const isWithin = (said: string | null, rate: number): boolean => {
  const value = said === null ? null : parseRational(said);
  return value !== null && Math.abs(toNumber(value) / rate - 1) < 1e-6;
};

/** ffmpeg's names for the ranges. */
const RANGES: Readonly<Record<string, string>> = { tv: 'narrow', pc: 'full' };

/** Chroma subsampling by the name of a pixel format: read by eye from ffmpeg's list of them. */
function chromaOf(pixelFormat: string): string | null {
  const [, a, b, c] = /^yuvj?a?(4)(\d)(\d)p/.exec(pixelFormat) ?? [];
  return a === undefined || b === undefined || c === undefined ? null : `${a}:${b}:${c}`;
}

/**
 * Tags as decoded frames carry them. Where the container says otherwise, as the encoder was told to, and the
 * decoder knows but one answer (of JPEG, say), what the container says is no wrong statement either.
 */
function colourStatements(
  made: Made,
  video: NonNullable<ClipFacts['video']>,
  measured: NonNullable<Measurement['video']>,
  truth: PictureTruth,
): Statement[] {
  const { primaries, transfer, range } = truth.colour;
  const matrix = /^(?:gbr|rgb|bgr|0rgb|argb|abgr|pal8)/.test(truth.pixelFormat) ? 'gbr' : truth.colour.matrix;
  const chroma = chromaOf(truth.pixelFormat);
  const [asked0, asked1, asked2, asked3] = made.colour ?? [];
  const tag = (about: string, said: string | null, frames: string | null, asked: string | undefined) =>
    frames === null ? [] : [held(about, said, frames, said === frames || said === asked)];
  return [
    ...[video, measured].flatMap(({ colour }, i) => {
      const who = i === 0 ? 'scan' : 'measure';
      return [
        ...tag(`${who}: primaries`, colour.primaries, primaries, asked0),
        ...tag(`${who}: transfer`, colour.transfer, transfer, asked1),
        ...tag(`${who}: matrix`, colour.matrix, matrix, asked2),
        ...tag(`${who}: range`, colour.range, RANGES[range ?? ''] ?? null, RANGES[asked3 ?? '']),
      ];
    }),
    ...(chroma === null
      ? []
      : [
          held('scan: chroma', video.chroma, chroma),
          held('measure: chroma declared', measured.chroma.declared, chroma),
        ]),
  ];
}

/** @param isWhole what was made here is; what others made where a decode of it prints no error */
export function wholeStatement({ decode }: Measurement, isWhole: boolean): Statement {
  return held('measure: whole', !decode.truncated && decode.errors === 0, isWhole);
}

export function pictureStatements(
  made: Made,
  facts: ClipFacts,
  measurement: Measurement,
  truth: PictureTruth,
): Statement[] {
  const { video } = facts;
  const measured = measurement.video;
  if (video === null || measured === null) return [held('a picture', 'none', 'one')];
  const rate = rateOfTimes(truth.times);
  const near = (said: string | null): boolean => {
    const value = said === null ? null : parseRational(said);
    // Of 17 frames on a clock of 1/1000 s the mean is known to 1 in 250 at 15 a second.
    return rate === null || (value !== null && Math.abs(toNumber(value) / rate - 1) < 0.005);
  };
  const aspect =
    [...truth.aspects].filter((one) => one !== 'N/A' && !/^0:|:0$/.test(one))[0]?.replace(':', '/') ?? null;
  const scan =
    truth.interlaced === 0
      ? 'progressive'
      : truth.topFirst === truth.frames
        ? 'interlaced-tff'
        : 'interlaced-bff';
  const exact = exactRate(truth, made.rate);
  return [
    ...colourStatements(made, video, measured, truth),
    ...(exact === null
      ? []
      : [
          held('scan: rate to 1e-6', video.frameRate, exact, isWithin(video.frameRate, exact)),
          held('measure: rate to 1e-6', measured.frameRate, exact, isWithin(measured.frameRate, exact)),
        ]),
    held('scan: frames', video.frames, truth.frames),
    held('measure: frames', measured.frames, truth.frames),
    held('scan: raster', `${video.width}x${video.height}`, `${truth.width}x${truth.height}`),
    held('measure: raster', `${measured.width}x${measured.height}`, `${truth.width}x${truth.height}`),
    held('scan: pixel format', video.pixelFormat, truth.pixelFormat),
    ...(rate === null
      ? []
      : [
          held('scan: rate', video.frameRate, rate, near(video.frameRate)),
          held('measure: rate', measured.frameRate, rate, near(measured.frameRate)),
        ]),
    held('scan and measure: same rate', video.frameRate, measured.frameRate),
    ...(rate === null
      ? []
      : [
          held('scan: constant', video.constantRate, true),
          held('measure: constant', measured.constantRate, true),
        ]),
    ...(aspect === null ? [] : [held('scan: sample aspect', video.sampleAspect, aspect)]),
    held('scan: scan', video.scan, scan),
    ...(truth.luma === null
      ? []
      : [
          held('measure: least luma', measurement.levels?.luma?.min ?? null, truth.luma.min),
          held('measure: largest luma', measurement.levels?.luma?.max ?? null, truth.luma.max),
        ]),
    ...(rate === null
      ? []
      : [
          held(
            'measure: length of picture',
            measured.durationSeconds.toFixed(3),
            (truth.frames / rate).toFixed(3),
            Math.abs(measured.durationSeconds - truth.frames / rate) < 0.5 / rate,
          ),
        ]),
  ];
}

export function soundStatements(facts: ClipFacts, measurement: Measurement, truth: SoundTruth): Statement[] {
  const [said] = facts.audio;
  const [measured] = measurement.audio;
  if (said === undefined || measured === undefined) return [held('sound', 'none', 'one')];
  const peak = measured.samplePeakDbfs;
  const loudness = measured.integratedLufs;
  return [
    ...(truth.layout === null
      ? []
      : [
          held('scan: layout', said.layout, truth.layout),
          held('measure: layout', measured.layout, truth.layout),
        ]),
    ...(truth.loudness === null
      ? []
      : [
          held(
            'measure: loudness',
            loudness?.toFixed(3) ?? null,
            truth.loudness.toFixed(3),
            loudness !== null && Math.abs(loudness - truth.loudness) < 0.005,
          ),
        ]),
    held('scan: channels', said.channels, truth.channels),
    held('scan: sample rate', said.sampleRate, truth.rate),
    held('measure: samples', measured.samples, truth.samples),
    held(
      'measure: sample peak',
      peak?.toFixed(2) ?? null,
      truth.peak.toFixed(2),
      peak !== null && Math.abs(peak - truth.peak) < 0.011,
    ),
  ];
}
