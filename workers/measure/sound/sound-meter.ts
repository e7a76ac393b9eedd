import type { SoundCurve } from '../../../jobs/measurement/measured-curves.js';
import type { SoundContent } from '../../../jobs/measurement/measured-sound.js';
import { channelWeights } from './channel-weights.js';
import { decibels } from './decibels.js';
import type { Hop } from './hop.js';
import { KFilter } from './k-weighting.js';
import { LoudnessCurve } from './loudness-curve.js';
import { integratedLoudness, loudness, loudnessRange } from './loudness-gate.js';
import { SoundStudy } from './sound-study.js';
import { TRUE_PEAK_HISTORY, TruePeak } from './true-peak.js';

/**
 * All sums use this grid. Windows start every 10 ms: on 100 ms a short burst reads low (Tech 3341
 * case 13).
 */
const HOPS_PER_SECOND = 100;
const MOMENTARY_HOPS = 40;
const SHORT_TERM_HOPS = 300;
/** Gating blocks overlap by 75 %, loudness-range windows by 2.9 s: both move on every 100 ms. */
const GATE_HOPS = 10;
/** Tech 3342 clause 5: silence appended to a file, so that its last 1.5 s weigh as much as the rest. */
const RANGE_TAIL_HOPS = 150;

export interface SoundFormat {
  /** Hz, 8,000 to 768,000. */
  readonly sampleRate: number;
  readonly channels: number;
  /** ffmpeg's name of the layout, or null. */
  readonly layout: string | null;
  /** Bits of the whole-number samples that are stored; null or absent for lossy coding and floating point. */
  readonly sampleDepth?: number | null | undefined;
}

export interface SoundFigures {
  /** Samples per channel. */
  readonly samples: number;
  /** BS.1770-5, LUFS; null when no 400 ms block passes the gates. */
  readonly integratedLufs: number | null;
  /** Tech 3342 v4, LU. */
  readonly loudnessRange: number | null;
  /** Largest loudness of any whole 400 ms, LUFS; null for silence and for less than 400 ms. */
  readonly maxMomentaryLufs: number | null;
  /** Largest loudness of any whole 3 s, LUFS; null for silence and for less than 3 s. */
  readonly maxShortTermLufs: number | null;
  /** Null when every sample is zero. */
  readonly truePeakDbtp: number | null;
  readonly samplePeakDbfs: number | null;
  /**
   * Samples that were no number or infinite, over all channels. They were measured as zero: no figure holds
   * when this is not 0.
   */
  readonly invalidSamples: number;
  /** `assumed` when the layout is unknown and every channel counted 1. */
  readonly weighting: 'layout' | 'assumed';
  readonly content: SoundContent;
  readonly curve: Omit<SoundCurve, 'stream'>;
}

interface Channel {
  readonly weight: number;
  readonly filter: KFilter;
  readonly peak: TruePeak;
  /** The hop being filled, with the samples before it that interpolation needs. */
  readonly samples: Float64Array;
}

/** Mean squares of whole windows, and sums over the newest hops. */
class HopSums {
  readonly #energies = new Float64Array(SHORT_TERM_HOPS);
  readonly #lengths = new Float64Array(SHORT_TERM_HOPS);
  count = 0;

  push(energy: number, length: number): void {
    const slot = this.count % SHORT_TERM_HOPS;
    this.#energies[slot] = energy;
    this.#lengths[slot] = length;
    this.count++;
  }

  /**
   * Mean square of the newest `hops` hops, summed afresh each time so that no rounding builds up; null before
   * there are so many.
   */
  meanSquare(hops: number): number | null {
    if (this.count < hops) return null;
    let energy = 0;
    let length = 0;
    for (let i = this.count - hops; i < this.count; i++) {
      energy += this.#energies[i % SHORT_TERM_HOPS] ?? 0;
      length += this.#lengths[i % SHORT_TERM_HOPS] ?? 0;
    }
    return energy / length;
  }
}

/**
 * Loudness, peaks and content of one audio stream, from its samples (1.0 is full scale).
 *
 * Figures do not depend on how the samples are cut into chunks. Memory grows by 1.2 MB an hour, for the gates
 * and the curve.
 */
export class SoundMeter {
  readonly #sampleRate: number;
  readonly #channels: readonly Channel[];
  readonly #weighting: 'layout' | 'assumed';
  readonly #hops = new HopSums();
  readonly #gateBlocks: number[] = [];
  readonly #rangeWindows: number[] = [];
  readonly #curve = new LoudnessCurve();
  readonly #study: SoundStudy;
  #maxMomentary = 0;
  #maxShortTerm = 0;
  #samples = 0;
  #invalid = 0;
  /** Samples in the hop being filled, and how many it takes. */
  #filled = 0;
  #hopLength: number;
  /** Interleaved values of a sample frame that a chunk boundary cut through. */
  #cutFrame: number[] = [];
  #finished = false;

  constructor(format: SoundFormat) {
    const { sampleRate, channels } = format;
    if (!Number.isInteger(sampleRate) || sampleRate < 8_000 || sampleRate > 768_000) {
      throw new RangeError(`a sample rate of ${sampleRate} Hz: 8000 to 768000 can be measured`);
    }
    if (!Number.isInteger(channels) || channels < 1) throw new RangeError(`${channels} channels: at least 1`);
    const { weights, weighting } = channelWeights(channels, format.layout);
    this.#sampleRate = sampleRate;
    this.#weighting = weighting;
    const longestHop = Math.ceil(sampleRate / HOPS_PER_SECOND);
    this.#channels = weights.map((weight) => ({
      weight,
      filter: new KFilter(sampleRate),
      peak: new TruePeak(sampleRate),
      samples: new Float64Array(TRUE_PEAK_HISTORY + longestHop),
    }));
    this.#study = new SoundStudy({ ...format, sampleDepth: format.sampleDepth ?? null });
    this.#hopLength = this.#hopEnd(1);
  }

  /** Interleaved samples. A chunk may end anywhere. */
  push(interleaved: Float32Array | Float64Array): void {
    if (this.#finished) throw new Error('samples after the end: a finished meter takes no more');
    let chunk = interleaved;
    const channels = this.#channels.length;
    if (this.#cutFrame.length > 0) {
      const missing = channels - this.#cutFrame.length;
      this.#cutFrame.push(...chunk.subarray(0, missing));
      chunk = chunk.subarray(missing);
      if (this.#cutFrame.length < channels) return;
      const frame = Float64Array.from(this.#cutFrame);
      this.#cutFrame = [];
      this.#pushFrames(frame, 1);
    }
    const frames = Math.floor(chunk.length / channels);
    this.#pushFrames(chunk, frames);
    this.#cutFrame.push(...chunk.subarray(frames * channels));
  }

  /** The figures. Call once, after the last sample. */
  finish(): SoundFigures {
    if (this.#finished) throw new Error('a meter can be finished once');
    this.#finished = true;
    const integratedLufs = integratedLoudness(this.#gateBlocks);
    const maxMomentaryLufs = loudness(this.#maxMomentary);
    const maxShortTermLufs = loudness(this.#maxShortTerm);
    const curve = this.#curve.points;
    this.#study.push(this.#cutHop(), this.#samples - this.#filled, false);
    this.#ringOut();
    const peaks = this.#channels.map(({ peak }) => peak);
    return {
      samples: this.#samples,
      integratedLufs,
      loudnessRange: loudnessRange(this.#rangeWindows),
      maxMomentaryLufs,
      maxShortTermLufs,
      truePeakDbtp: decibels(Math.max(...peaks.map(({ truePeak }) => truePeak))),
      samplePeakDbfs: decibels(Math.max(...peaks.map(({ samplePeak }) => samplePeak))),
      invalidSamples: this.#invalid,
      weighting: this.#weighting,
      content: this.#study.finish(this.#samples, peaks),
      curve,
    };
  }

  /** The incomplete hop at the end of the stream. */
  #cutHop(): Hop[] {
    const from = TRUE_PEAK_HISTORY;
    const end = from + this.#filled;
    return this.#channels.map(({ samples }) => {
      let peak = 0;
      for (let i = from; i < end; i++) peak = Math.max(peak, Math.abs(samples[i] ?? 0));
      return { samples, from, end, peak };
    });
  }

  #hopEnd(hop: number): number {
    return Math.round((hop * this.#sampleRate) / HOPS_PER_SECOND);
  }

  #pushFrames(chunk: Float32Array | Float64Array, frames: number): void {
    let done = 0;
    while (done < frames) {
      const take = Math.min(frames - done, this.#hopLength - this.#filled);
      this.#channels.forEach((channel, c) => {
        this.#copyChannel(channel.samples, chunk, done, take, c);
      });
      this.#filled += take;
      this.#samples += take;
      done += take;
      if (this.#filled === this.#hopLength) this.#endHop(true);
    }
  }

  #copyChannel(
    to: Float64Array,
    chunk: Float32Array | Float64Array,
    firstFrame: number,
    frames: number,
    channel: number,
  ): void {
    const stride = this.#channels.length;
    let at = TRUE_PEAK_HISTORY + this.#filled;
    let from = firstFrame * stride + channel;
    for (let i = 0; i < frames; i++, at++, from += stride) {
      const value = chunk[from] ?? 0;
      // NaN and infinity would stay in the memory of the filters.
      if (Number.isFinite(value)) to[at] = value;
      else {
        to[at] = 0;
        this.#invalid++;
      }
    }
  }

  #endHop(isProgramme: boolean): void {
    const length = this.#filled;
    const end = TRUE_PEAK_HISTORY + length;
    let energy = 0;
    const hops: Hop[] = [];
    for (const { weight, filter, peak, samples } of this.#channels) {
      hops.push({ samples, from: TRUE_PEAK_HISTORY, end, peak: peak.push(samples, end) });
      if (weight > 0) energy += weight * filter.energy(samples, TRUE_PEAK_HISTORY, end);
    }
    if (isProgramme) this.#study.push(hops, this.#samples - length, true);
    for (const { samples } of this.#channels) samples.copyWithin(0, length, end);
    this.#hops.push(energy, length);
    this.#filled = 0;
    this.#hopLength = this.#hopEnd(this.#hops.count + 1) - this.#hopEnd(this.#hops.count);
    this.#readWindows(isProgramme);
  }

  #readWindows(isProgramme: boolean): void {
    const onGate = this.#hops.count % GATE_HOPS === 0;
    const momentary = this.#hops.meanSquare(MOMENTARY_HOPS);
    if (momentary !== null) {
      this.#maxMomentary = Math.max(this.#maxMomentary, momentary);
      if (onGate) this.#gateBlocks.push(momentary);
    }
    const shortTerm = this.#hops.meanSquare(SHORT_TERM_HOPS);
    if (shortTerm !== null) {
      this.#maxShortTerm = Math.max(this.#maxShortTerm, shortTerm);
      if (onGate) this.#rangeWindows.push(shortTerm);
    }
    const column = Math.floor((this.#hops.count - 1) / GATE_HOPS);
    if (isProgramme) this.#curve.add(column, momentary, shortTerm);
  }

  /** Silence after the end: the interpolator sees its last samples, the loudness range its last 1.5 s. */
  #ringOut(): void {
    for (let hop = 0; hop < RANGE_TAIL_HOPS; hop++) {
      for (const { samples } of this.#channels) {
        samples.fill(0, TRUE_PEAK_HISTORY + this.#filled, TRUE_PEAK_HISTORY + this.#hopLength);
      }
      this.#filled = this.#hopLength;
      this.#endHop(false);
    }
  }
}
