import type { Measurement } from '../../jobs/measurement/measurement.js';

/**
 * Why the measurement marks a figure as missing or unreliable; null where it does not.
 *
 * Subjects are paths in the measurement (`levels.gamutError`, `audio[1].integratedLufs`). A note on a section
 * (`levels`) covers every figure in it; a note on another figure of the section does not.
 */
export function doubtAbout(measurement: Measurement, ...subjects: readonly string[]): string | null {
  const note = measurement.unmeasured.find(({ what }) => subjects.some((subject) => covers(what, subject)));
  return note === undefined ? null : note.why;
}

function covers(what: string, subject: string): boolean {
  return what === subject || subject.startsWith(`${what}.`) || subject.startsWith(`${what}[`);
}

/** The reason to report when a figure is null. */
export function reasonFor(measurement: Measurement, figure: string, ...subjects: readonly string[]): string {
  return doubtAbout(measurement, ...subjects) ?? `the measurement does not include the ${figure}`;
}

/** What to do where a figure is missing or doubted. */
export const MEASURE_AGAIN = 'Measure a copy of the file that can be decoded.';
