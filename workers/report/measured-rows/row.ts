/**
 * One figure in words. Text from the file (codec names, reels) stands in it as it is: whoever shows it makes
 * it harmless.
 */
export type Row = readonly [label: string, value: string];

export interface RowGroup {
  readonly title: string;
  readonly rows: readonly Row[];
}

export function sureness(confidence: 'high' | 'low'): string {
  return confidence === 'high' ? '' : ' (not for sure)';
}
