import type { Measurement } from '../../jobs/measurement/measurement.js';

/**
 * Why the measurement itself says that a figure is missing or not to be relied on; null when it says nothing.
 *
 * Subjects are paths in the measurement (`levels.gamutError`, `audio[1].integratedLufs`). A note on a whole
 * part (`levels`) counts for every figure in it; a note on another figure of the same part does not.
 */
export function doubtAbout(measurement: Measurement, ...subjects: readonly string[]): string | null {
  const note = measurement.unmeasured.find(({ what }) => subjects.some((subject) => covers(what, subject)));
  return note === undefined ? null : note.why;
}

function covers(what: string, subject: string): boolean {
  return what === subject || subject.startsWith(`${what}.`) || subject.startsWith(`${what}[`);
}

/** The reason to give when a figure is null. */
export function reasonFor(measurement: Measurement, figure: string, ...subjects: readonly string[]): string {
  return doubtAbout(measurement, ...subjects) ?? `the measurement holds no ${figure}`;
}

/** What to do where a figure is missing or doubted. */
export const MEASURE_AGAIN = 'Measure the file again from a decodable copy.';
