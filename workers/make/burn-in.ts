import { GoodgateError } from '../../jobs/errors.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { timecodeAtRate } from '../../signal/timecode-at-rate.js';
import { isCameraLog } from '../../signal/transfer/transfer-functions.js';
import { escapeDrawtext, escapeFilterValue } from '../ffmpeg/escape.js';

/**
 * drawtext for reel and clip name (top), a line of text (below it) and running timecode (bottom). A
 * timecode that does not exist at the rate of the output is not drawn: none is better than a wrong one.
 * Throws GoodgateError `missing-tool` without a font.
 */
export function burnInFilters(
  recipe: OutputRecipe,
  sourceRate: string | null,
  fontFile: string | null,
): string[] {
  const { burnIn } = recipe;
  if (burnIn === null) return [];
  if (fontFile === null) {
    throw new GoodgateError('missing-tool', {
      what: 'there is no font to burn in clip name and timecode',
      next: 'install a font (fonts-dejavu on Debian, dejavu-sans-mono-fonts on Fedora), or leave out burnIn',
    });
  }
  const size = Math.max(8, Math.round(recipe.raster.height / 20));
  const look = [
    `fontfile=${escapeFilterValue(fontFile)}`,
    `fontsize=${size}`,
    `fontcolor=${textColour(recipe)}`,
    'box=1:boxcolor=black@0.5',
    `boxborderw=${Math.round(size / 4)}`,
    'x=(w-text_w)/2',
  ].join(':');
  const filters: string[] = [];
  const name = [burnIn.reel, burnIn.clipName].filter((part) => part !== null).join('  ');
  for (const [text, y] of [
    [name, size],
    [burnIn.text ?? '', size * 3],
  ] as const) {
    if (text === '') continue;
    // A line break or control character in a name would break the line; it is replaced by U+FFFD.
    filters.push(`drawtext=${look}:y=${y}:text=${escapeDrawtext(text.replace(/\p{Cc}/gu, '\ufffd'))}`);
  }
  if (burnIn.timecode !== null) {
    const start = timecodeAtRate(burnIn.timecode, sourceRate ?? recipe.frameRate, recipe.frameRate);
    if (start !== null) {
      const clock = `timecode=${escapeFilterValue(start)}:timecode_rate=${recipe.frameRate}`;
      filters.push(`drawtext=${look}:y=h-text_h-${size}:${clock}`);
    }
  }
  return filters;
}

/**
 * White for text. Full code in PQ would be 10,000 cd/m2. Reference white: 58 % of the
 * PQ signal, 75 % of HLG (ITU-R BT.2408, table 1); 60 % for camera curves (common practice, no source).
 */
function textColour({ colour }: OutputRecipe): string {
  if (colour.transfer === 'smpte2084') return grey(0.58);
  if (colour.transfer === 'arib-std-b67') return grey(0.75);
  return isCameraLog(colour.transfer) ? grey(0.6) : 'white';
}

function grey(signal: number): string {
  const code = Math.round(signal * 255)
    .toString(16)
    .padStart(2, '0');
  return `0x${code.repeat(3)}`;
}
