import { z } from 'zod';

/**
 * How much a loss costs whoever grades, edits or delivers: `slight` is rounding, light coding, and notes
 * beside the picture; `marked` takes detail or data that nothing brings back; `grave` changes what is seen or
 * takes a part away.
 */
export const severity = z.enum(['slight', 'marked', 'grave']);
export type Severity = z.infer<typeof severity>;

const SEVERITIES: Readonly<Record<string, Severity>> = {
  ...{ matrix: 'slight', range: 'slight', 'lossy-coding': 'slight', metadata: 'slight', chapters: 'slight' },
  ...{ cover: 'slight', attachment: 'slight', 'subtitle-style': 'slight', 'icc-profile': 'slight' },
  ...{ rendering: 'grave', 'burn-in': 'grave', crop: 'grave', interlace: 'grave', alpha: 'grave' },
  ...{ captions: 'grave', subtitles: 'grave', 'second-picture': 'grave', 'missing-frames': 'grave' },
  ...{ 'log-codes': 'grave' },
};

/** Of a loss by its short name; one that is in no list is `marked`. Pure. */
export function severityOf(what: string): Severity {
  return Object.hasOwn(SEVERITIES, what) ? (SEVERITIES[what] ?? 'marked') : 'marked';
}

/** Whether a loss is as severe, or more. Pure. */
export function isAtLeast(what: string, least: Severity): boolean {
  return severity.options.indexOf(severityOf(what)) >= severity.options.indexOf(least);
}
