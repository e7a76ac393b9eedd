import { firstOf } from './numbers.js';

/** `same content: A/C001.mov, B/C001.mov (...)`: what shows it is said, since only hashes prove it. */
export function sameContentText(files: readonly string[], by: 'hash' | 'samples'): string {
  const shown =
    by === 'hash'
      ? 'by the hashes of their lists'
      : 'same size, and the same bytes wherever they were looked at; not every byte was compared';
  return `same content: ${firstOf(files, 5)} (${shown})`;
}
