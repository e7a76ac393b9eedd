/** Quoted for a POSIX shell; what cannot be typed is written in the `$'...'` form of bash, zsh and ksh. */
export function shellWord(text: string): string {
  if (/^[A-Za-z0-9_./:=@%+,-]+$/.test(text)) return text;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this is about
  if (/[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]/.test(text)) {
    return `$'${Array.from(text, escapedCharacter).join('')}'`;
  }
  return `'${text.replaceAll("'", `'\\''`)}'`;
}

function escapedCharacter(character: string): string {
  if (character === "'" || character === '\\') return `\\${character}`;
  if (/[ -~]/.test(character) || /[\p{L}\p{N}]/u.test(character)) return character;
  return Array.from(
    new TextEncoder().encode(character),
    (byte) => `\\x${byte.toString(16).padStart(2, '0')}`,
  ).join('');
}
