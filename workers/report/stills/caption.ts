import type { ScanName } from '../../../jobs/manifest/colour.js';
import { nits, percent } from '../../../jobs/words/quantities.js';
import type { BlackLines, Mark } from './mark.js';

/**
 * One sentence under a still: what is seen, what of it is marked and how much of the picture that is, and how
 * it was rendered.
 *
 * @param area share of the picture that is marked
 */
export function stillCaption(
  mark: Mark,
  shown: { readonly area: number; readonly rendered: string },
  scan: ScanName | null,
): string {
  const parts = [
    marked(mark, shown.area),
    shown.rendered,
    ...(scan === null || scan === 'progressive' ? [] : ['both fields are shown as they lie in the frame']),
  ];
  const text = parts.join('; ');
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

function marked(mark: Mark, area: number): string {
  const outlined = `outlined and hatched: ${percent(area)} of the picture`;
  switch (mark.kind) {
    case 'signal-range':
      return `${outlined}, outside the EBU R 103 tolerance after its filter`;
    case 'reserved-codes':
      return `${outlined}, stored at codes SDI keeps for itself`;
    case 'brighter-than':
      return `${outlined}, brighter than ${nits(mark.nits)}`;
    case 'peak':
      return `${outlined}, the brightest of the file, ${nits(mark.nits)} and above`;
    case 'outside-p3':
      return `${outlined}, outside P3-D65`;
    case 'bars':
      return `${outlined}, the black around the picture`;
    case 'blank-lines':
      return `outlined and hatched: ${sides(mark)}`;
    case 'flash':
      return `${outlined}, which changes ${mark.red ? 'to or from a saturated red' : 'in light'} at once in this frame, the worst of its second`;
    case 'nothing':
      return `${mark.seen}, nothing marked`;
  }
}

function sides({ top, bottom, left, right }: BlackLines): string {
  const told = [
    ['at the top', top],
    ['at the bottom', bottom],
    ['at the left', left],
    ['at the right', right],
  ] as const;
  const lines = told.flatMap(([where, lines]) => (lines === 0 ? [] : [`${lines} ${where}`]));
  return `black lines, ${lines.join(', ')}`;
}
