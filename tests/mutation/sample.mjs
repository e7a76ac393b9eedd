import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

/**
 * So many lines of code of the files, chosen at random by a seed, as places of the mutation tool. A change
 * counts where it lies within one line: that of a whole block is left out.
 */
export function sampleLines(globs, count, seed) {
  const listed = execFileSync('git', ['ls-files', '-co', '--', ...globs.map((glob) => `:(glob)${glob}`)]);
  const lines = listed
    .toString()
    .split('\n')
    .filter(Boolean)
    .flatMap((file) => codeLines(file).map((line) => `${file}:${line}:0-${line}:999`));
  const random = generator(seed);
  const keyed = lines.map((line) => ({ line, key: random() })).sort((a, b) => a.key - b.key);
  return keyed.slice(0, count).map(({ line }) => line);
}

/** Numbers of the lines, from 1, that are neither empty nor a comment, a bracket or an import. */
function codeLines(file) {
  return readFileSync(file, 'utf8')
    .split('\n')
    .flatMap((text, index) =>
      /^\s*($|\/\/|\/?\*|[\])};,]+$|import |export type )/.test(text) ? [] : [index + 1],
    );
}

/** mulberry32: small, and the same numbers everywhere. */
function generator(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
