import { power } from './align.js';
import type { DecodedSound } from './decoded-sound.js';
import { transform } from './fft.js';

/** Sound is looked for by its low band, which every coder keeps as a wave: about so many samples a second. */
const LOW_RATE = 4000;
/** The loudest so many samples of each quarter of the shorter stream are looked for in the longer: 1 s. */
const LENGTH = 4096;
const STRETCHES = 4;
const BLOCK = 32_768;
/** Mean square below which a stretch is not looked for: -60 dBFS. */
const QUIET = 1e-6;
/** Speeds of a converted rate, without keeping the pitch: 1000/1001 and 24 to 25. */
const SPEEDS = [1, 1000 / 1001, 1001 / 1000, 24 / 25, 25 / 24];
/**
 * With another length of about this the pitch may have been kept, which leaves no wave to be found; a coder
 * pads by less than so many seconds.
 */
const CONVERTED = { least: 0.002, most: 0.07, padding: 0.06 };
/**
 * Nothing correlates by this much anywhere: another sound. The same sound does, whatever it was coded with,
 * also in a mix with as much of others; noise, speech and tones of others stay below (chosen by made
 * sounds, no source).
 */
const FOREIGN = 0.3;
/** Low samples of all channels of a stream that are kept at most. */
const MOST_KEPT = 4e7;

/**
 * Whether the sound of a stream, or of one channel of the copy, is nowhere in the other: it was looked for at
 * all offsets, in either polarity, on every channel and in their sum, and at the speeds of converted rates.
 * False where that is not certain: too short, quiet, or of a length that a conversion explains.
 */
export async function isForeignSound(
  original: DecodedSound,
  copy: DecodedSound,
  rate: number,
  channel: number | null = null,
): Promise<boolean> {
  const by = Math.round(rate / LOW_RATE);
  if (Math.max(original.samples * original.channels, copy.samples * copy.channels) / by > MOST_KEPT)
    return false;
  const off = Math.abs(copy.samples / original.samples - 1);
  const isPadding = Math.abs(copy.samples - original.samples) <= CONVERTED.padding * rate;
  if (off > CONVERTED.least && off < CONVERTED.most && !isPadding) return false;
  const [had, is] = [await lowBand(original, by), await lowBand(copy, by)];
  const own = channel === null ? is : is.filter((_, index) => index === channel);
  const isLonger = channel === null && copy.samples > original.samples;
  const stretches = loudStretches(isLonger ? had : own);
  if (stretches.length === 0) return false;
  const needles = SPEEDS.flatMap((speed) => stretches.map((stretch) => atSpeed(stretch, speed)));
  const all = isLonger ? is : had;
  return [...all, ...(all.length > 1 ? [sumOf(all)] : [])].every((hay) => !isIn(hay, needles));
}

/** Channels at the low rate, without their mean: even spectra tell sounds apart better. */
async function lowBand(sound: DecodedSound, by: number): Promise<Float32Array[]> {
  const samples = Math.floor(sound.samples / by);
  const low = Array.from({ length: sound.channels }, () => new Float32Array(samples));
  const piece = 100_000;
  for (let from = 0; from < samples; from += piece) {
    const count = Math.min(piece, samples - from);
    const read = await sound.read(from * by, count * by);
    for (const [channel, fine] of read.entries()) {
      const into = low[channel];
      for (let i = 0; into !== undefined && i < count; i++) {
        let sum = 0;
        for (let k = i * by; k < (i + 1) * by; k++) sum += fine[k] ?? 0;
        into[from + i] = sum / by;
      }
    }
  }
  // Means of two overlap by half, so that an offset of a part of a sample costs little; then their steps.
  for (const channel of low) {
    for (let i = samples - 1; i > 1; i--) channel[i] = ((channel[i] ?? 0) - (channel[i - 2] ?? 0)) / 2;
    channel.fill(0, 0, 2);
  }
  return low;
}

/** The loudest stretch of each quarter, on its loudest channel; those that are heard. */
function loudStretches(channels: readonly Float32Array[]): Float32Array[] {
  const samples = channels[0]?.length ?? 0;
  const quarter = Math.max(LENGTH, Math.floor(samples / STRETCHES));
  const found: Float32Array[] = [];
  if (samples < LENGTH) return found;
  for (let part = 0; part < STRETCHES; part++) {
    // Of short sound they overlap, from its start to its end.
    const from = Math.floor((part * (samples - quarter)) / (STRETCHES - 1));
    let [loudest, most]: [Float32Array | null, number] = [null, QUIET * LENGTH];
    for (let at = from; at + LENGTH <= from + quarter; at += LENGTH / 4) {
      for (const channel of channels) {
        const stretch = channel.subarray(at, at + LENGTH);
        const squares = power(stretch);
        if (squares > most) [loudest, most] = [stretch, squares];
      }
    }
    if (loudest !== null) found.push(loudest);
  }
  return found;
}

function sumOf(channels: readonly Float32Array[]): Float32Array {
  return Float32Array.from({ length: channels[0]?.length ?? 0 }, (_, i) =>
    channels.reduce((sum, channel) => sum + (channel[i] ?? 0), 0),
  );
}

/** As it is read faster or slower, by straight lines; shorter where it is read faster. */
function atSpeed(samples: Float32Array, speed: number): Float32Array {
  const length = Math.min(samples.length, Math.floor((samples.length - 1) / speed));
  return Float32Array.from({ length }, (_, i) => {
    const [at, part] = [Math.floor(i * speed), (i * speed) % 1];
    return (samples[at] ?? 0) * (1 - part) + (samples[at + 1] ?? 0) * part;
  });
}

/** Whether one of some stretches correlates with a place of a longer sound. */
function isIn(hay: Float32Array, needles: readonly Float32Array[]): boolean {
  const spectra = pairsOf(needles).map(([a, b]) => spectrumOf(a, b));
  const step = BLOCK - LENGTH;
  // A stretch may begin before it or end after it.
  const padded = new Float32Array(hay.length + 2 * LENGTH);
  padded.set(hay, LENGTH);
  for (let from = 0; from < padded.length; from += step) {
    const block = padded.subarray(from, from + BLOCK);
    const energy = energies(block);
    const [re, im] = [new Float64Array(BLOCK), new Float64Array(BLOCK)];
    re.set(block);
    transform(re, im, false);
    for (const spectrum of spectra) if (correlates(re, im, energy, spectrum, step)) return true;
  }
  return false;
}

function pairsOf(needles: readonly Float32Array[]): (readonly [Float32Array, Float32Array | null])[] {
  return needles.flatMap((needle, index) =>
    index % 2 === 0 ? [[needle, needles[index + 1] ?? null] as const] : [],
  );
}

interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Roots of the powers of both. */
  readonly norms: readonly [number, number];
  readonly lengths: readonly [number, number];
}

/** Of two stretches at once, as the real and the imaginary part. */
function spectrumOf(a: Float32Array, b: Float32Array | null): Spectrum {
  const [re, im] = [new Float64Array(BLOCK), new Float64Array(BLOCK)];
  re.set(a);
  if (b !== null) im.set(b);
  transform(re, im, false);
  const norm = (of: Float32Array | null): number => (of === null ? 0 : Math.sqrt(power(of)));
  return { re, im, norms: [norm(a), norm(b)], lengths: [a.length, b?.length ?? 0] };
}

/** Sums of squares from the first sample on. */
function energies(samples: Float32Array): Float64Array {
  const sums = new Float64Array(BLOCK + LENGTH + 1);
  for (let i = 0; i < sums.length - 1; i++) sums[i + 1] = (sums[i] ?? 0) + (samples[i] ?? 0) ** 2;
  return sums;
}

function correlates(
  hayRe: Float64Array,
  hayIm: Float64Array,
  energy: Float64Array,
  { re, im, norms, lengths }: Spectrum,
  places: number,
): boolean {
  const [outRe, outIm] = [new Float64Array(BLOCK), new Float64Array(BLOCK)];
  for (let i = 0; i < BLOCK; i++) {
    const [a, b, c, d] = [hayRe[i] ?? 0, hayIm[i] ?? 0, re[i] ?? 0, im[i] ?? 0];
    outRe[i] = a * c + b * d;
    outIm[i] = b * c - a * d;
  }
  transform(outRe, outIm, true);
  return [outRe, outIm].some((products, of) => {
    const [norm, length] = [norms[of] ?? 0, lengths[of] ?? 0];
    if (norm === 0) return false;
    for (let at = 0; at < places; at++) {
      const squares = (energy[at + length] ?? 0) - (energy[at] ?? 0);
      // What is next to silent there correlates by rounding alone.
      if (squares < QUIET * length * 0.01) continue;
      if (Math.abs(products[at] ?? 0) >= FOREIGN * norm * Math.sqrt(squares)) return true;
    }
    return false;
  });
}
