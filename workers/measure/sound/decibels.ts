/** dB of a magnitude, 1 is full scale; null for nothing. */
export function decibels(magnitude: number): number | null {
  return magnitude > 0 ? 20 * Math.log10(magnitude) : null;
}

/** dB of a power or mean square; null for nothing. */
export function powerDecibels(power: number): number | null {
  return power > 0 ? 10 * Math.log10(power) : null;
}

/** Magnitude of a level in dBFS. */
export function magnitudeOf(dbfs: number): number {
  return 10 ** (dbfs / 20);
}
