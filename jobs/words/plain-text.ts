/** Text for a terminal or a log: no control characters, and lines of limited width. */

/** Control characters, line and paragraph separators, and marks that turn the direction of writing. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are the characters to be found
const UNSAFE = /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g;

/** The text with characters that could forge or hide output written as escapes (`\n`, `\u202e`). */
export function visible(text: string): string {
  const named: Readonly<Record<string, string>> = { '\n': '\\n', '\r': '\\r', '\t': '\\t' };
  return text.replace(
    UNSAFE,
    (character) => named[character] ?? `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

/**
 * Terminal columns of a character: two for East Asian wide forms and emoji, none for combining marks.
 */
function columns(character: string): number {
  if (/\p{M}/u.test(character)) return 0;
  return /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6]|\p{Emoji_Presentation}|[\u{20000}-\u{3fffd}]/u.test(
    character,
  )
    ? 2
    : 1;
}

/** Terminal columns of a text. */
export function textWidth(text: string): number {
  return Array.from(text).reduce((sum, character) => sum + columns(character), 0);
}

/**
 * Lines of at most `width` columns, broken at blanks; a word too long for a line is broken where the line
 * ends.
 */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (textWidth(joined) <= width) {
      line = joined;
      continue;
    }
    if (line !== '') lines.push(line);
    const pieces = cut(word, width);
    line = pieces.pop() ?? '';
    lines.push(...pieces);
  }
  return [...lines, line];
}

function cut(word: string, width: number): string[] {
  const pieces = [''];
  for (const character of word) {
    const last = pieces.at(-1) ?? '';
    if (textWidth(last) + columns(character) > width) pieces.push(character);
    else pieces[pieces.length - 1] = last + character;
  }
  return pieces;
}
