import { fileUrl } from '../ffmpeg/input-guard.js';

const KNOWN: readonly (readonly [RegExp, string])[] = [
  [
    /moov atom not found/i,
    'it has no index: its recording or copy was cut short, or it is no MOV or MP4 file at all',
  ],
  [/not on whitelist/i, 'it is not a clip: a playlist or a format that goodgate does not read'],
  [/End of file/i, 'it ends before any picture or sound begins'],
  [/Invalid data found/i, 'no picture or sound can be made out in it: damaged, or not a media file'],
  [/Permission denied/i, 'it may not be read: permission denied'],
  [/No such file/i, 'it is not there'],
  [/Is a directory/i, 'it is a folder'],
  [/Not yet implemented/i, 'it is of a kind that this ffmpeg does not know'],
  // Demuxers say so of damage too.
  [/Input\/output error/i, 'reading it breaks off: damaged, or its disk gives a read error'],
];

/** Turns what ffprobe printed into one sentence for people; ffprobe's own last line where nothing fits. */
export function reasonInPlainWords(stderr: string, path: string): string {
  const known = KNOWN.find(([pattern]) => pattern.test(stderr));
  if (known) return known[1];
  const last = stderr.replaceAll(fileUrl(path), 'the file').trim().split('\n').at(-1)?.trim() ?? '';
  const said = last.replace(/^\[[^\]]*\]\s*/, '').slice(0, 300);
  return said === '' ? 'ffprobe cannot read it and gives no reason' : `ffprobe cannot read it: ${said}`;
}
