/** Test tones for loudness meters, built from their description in the standards. */
export interface Segment {
  readonly seconds: number;
  /** Peak level in dBFS of each channel; null is silence. */
  readonly levels: readonly (number | null)[];
}

/** The same segment on both channels of a stereo pair. */
export function stereo(seconds: number, level: number | null): Segment {
  return { seconds, levels: [level, level] };
}

/** Interleaved samples of one continuous sine whose level steps from segment to segment. */
export function toneSequence(segments: readonly Segment[], sampleRate = 48_000, hertz = 1_000): Float32Array {
  const channels = segments[0]?.levels.length ?? 0;
  const counts = segments.map((s) => Math.round(s.seconds * sampleRate));
  const samples = new Float32Array(counts.reduce((a, b) => a + b, 0) * channels);
  let frame = 0;
  segments.forEach((segment, index) => {
    const gains = segment.levels.map((level) => (level === null ? 0 : 10 ** (level / 20)));
    for (let i = 0; i < (counts[index] ?? 0); i++, frame++) {
      const value = Math.sin((2 * Math.PI * hertz * frame) / sampleRate);
      for (let c = 0; c < channels; c++) samples[frame * channels + c] = value * (gains[c] ?? 0);
    }
  });
  return samples;
}

/** A mono sine of a fixed phase with 10 ms tapers, as the true-peak signals of Tech 3341 have. */
export function peakTone(
  sampleRate: number,
  divisor: number,
  amplitude: number,
  degrees: number,
): Float64Array {
  const length = sampleRate / 2;
  const taper = sampleRate / 100;
  return Float64Array.from({ length }, (_, i) => {
    const fade = Math.min(1, i / taper, (length - 1 - i) / taper);
    return fade * amplitude * Math.sin((2 * Math.PI * i) / divisor + (degrees * Math.PI) / 180);
  });
}

/**
 * Tech 3341 cases 20 to 23: a tone at fs/6 and half amplitude that holds one period of fs/4 at full
 * amplitude, made at 4 fs, low-passed below fs/2 and decimated from `offset`. Joined at a zero crossing.
 */
export function hiddenPeak(sampleRate: number, offset: number): Float64Array {
  const long = 24; // samples of a period of fs/6 at 4 fs
  const short = 16; // and of fs/4
  const before = long * 200;
  const length = before * 2 + short;
  const tone = Float64Array.from({ length }, (_, i) => {
    if (i < before) return 0.5 * Math.sin((2 * Math.PI * i) / long);
    if (i < before + short) return Math.sin((2 * Math.PI * (i - before)) / short);
    return 0.5 * Math.sin((2 * Math.PI * (i - before - short)) / long);
  });
  const taper = sampleRate / 25;
  const faded = tone.map((v, i) => v * Math.min(1, i / taper, (length - 1 - i) / taper));
  const reach = 256;
  const kernel = Array.from({ length: 2 * reach + 1 }, (_, i) => {
    const t = i - reach;
    const hann = 0.5 + 0.5 * Math.cos((Math.PI * t) / (reach + 1));
    return hann * (t === 0 ? 0.25 : Math.sin((Math.PI * t) / 4) / (Math.PI * t));
  });
  return Float64Array.from({ length: Math.floor((length - offset) / 4) }, (_, n) => {
    let sum = 0;
    for (let k = 0; k < kernel.length; k++)
      sum += (kernel[k] ?? 0) * (faded[n * 4 + offset + k - reach] ?? 0);
    return sum;
  });
}
