/**
 * Words as a page sets them: a minus as long as a plus, a multiplication sign, and a figure on one line with
 * its unit. Everywhere else they stay what a keyboard can type (jobs/words/numbers.ts).
 */
export function typeset(text: string): string {
  return text
    .replace(/(?<=^|[\s(])-(?=\d|inf\b)/g, '\u2212')
    .replace(/(?<=^|[\s(\u2212])inf(?= [dLs%])/g, '\u221e')
    .replace(/(?<=\d) x (?=\d)/g, ' \u00d7 ')
    .replace(
      /(?<=[\d\u221e]) (?=(?:%|s|min|h|B|[kMGTP]B|dB|dBFS|dBTP|LU|LUFS|Hz|Mbit\/s|cd\/m²)(?![\w²]))/g,
      '\u00a0',
    );
}
