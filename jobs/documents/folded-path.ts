/**
 * The same for all paths that some file system takes for one: those of the same letters in another case (the
 * usual file systems of cards, NTFS, APFS, HFS+) or written with other code points (a letter with its accent
 * as one or as two, which macOS and Linux write differently). Told from one another by more than that they
 * differ on all.
 */
export function foldedPath(path: string): string {
  // Down and up again: 'ẞ', 'ß' and 'ss' fold alike, and so do both small sigmas.
  return path.normalize('NFC').toLowerCase().toUpperCase().normalize('NFC');
}
