import { namingClip } from '../ffmpeg/fault.js';
import { fileUrl } from '../ffmpeg/input-guard.js';

const KNOWN: readonly (readonly [RegExp, string])[] = [
  [
    /moov atom not found/i,
    'it has no index: its recording or copy was cut short, or it is not a MOV or MP4 file',
  ],
  [/not on whitelist/i, 'it is not a clip: a playlist or a format that goodgate does not read'],
  [/End of file/i, 'it ends before any picture or sound begins'],
  [/Invalid data found/i, 'no picture or sound is found in it: damaged, or not a media file'],
  [/Permission denied/i, 'it may not be read: permission denied'],
  [/No such file/i, 'it is not there'],
  [/Is a directory/i, 'it is a folder'],
  [/Not yet implemented/i, 'this ffmpeg does not support its format'],
  // Demuxers report damage with this message too.
  [/Input\/output error/i, 'reading it fails: damaged, or a read error of its disk'],
];

/** Turns the output of ffprobe into one sentence for people; its last line where nothing matches. */
export function reasonInPlainWords(stderr: string, path: string): string {
  const known = KNOWN.find(([pattern]) => pattern.test(stderr));
  if (known) return known[1];
  const named = namingClip(stderr, 'the file').replaceAll(fileUrl(path), 'the file');
  const last = named.trim().split('\n').at(-1)?.trim() ?? '';
  const reason = last.replace(/^\[[^\]]*\]\s*/, '').slice(0, 300);
  return reason === '' ? 'ffprobe cannot read it and gives no reason' : `ffprobe cannot read it: ${reason}`;
}
