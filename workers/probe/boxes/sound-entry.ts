import { type SoundRecord, soundRecord } from './sound-record.js';
import { type SpeakerOrder, speakerOrder } from './speaker-order.js';
import { type Box, boxesBetween } from './walk-boxes.js';

/** What the sample entry of a sound track declares. */
export interface SoundEntry {
  /** Four-character code. */
  readonly code: string;
  readonly channels: number;
  /** Format of PCM samples, from the boxes; null for coded sound, and where the boxes do not declare it. */
  readonly pcm: PcmForm | null;
  /** Where coded sound is described twice, and not alike: how, in words. */
  readonly contradiction: string | null;
  /** Which loudspeaker each channel is for. */
  readonly speakers: SpeakerOrder;
}

export interface PcmForm {
  readonly bits: number;
  readonly kind: 'signed' | 'unsigned' | 'float';
  readonly littleEndian: boolean;
}

/**
 * Bytes of a sample entry of sound before its boxes, and what versions 1 and 2 of QuickTime add
 * (QuickTime File Format; from memory).
 */
const ENTRY_BYTES = 28;
const ADDED: Readonly<Record<number, number>> = { 1: 16, 2: 36 };
const WHOLE_BITS: ReadonlySet<number> = new Set([8, 16, 24, 32]);
const FLOAT_BITS: ReadonlySet<number> = new Set([32, 64]);

/**
 * `isQuickTime`: by the brand; in MP4 an entry of version 1 has no extra fields. Null for an entry that is
 * too short.
 */
export function soundEntry(data: Buffer, entry: Box, isQuickTime: boolean): SoundEntry | null {
  if (entry.end - entry.body < ENTRY_BYTES) return null;
  const version = isQuickTime ? data.readUInt16BE(entry.body + 8) : 0;
  const fields = ENTRY_BYTES + (ADDED[version] ?? 0);
  if (entry.end - entry.body < fields) return null;
  const channels = version === 2 ? data.readUInt32BE(entry.body + 40) : data.readUInt16BE(entry.body + 16);
  const boxes = boxesBetween(data, entry.body + fields, entry.end);
  const { type: code } = entry;
  const form =
    code === 'ipcm' || code === 'fpcm'
      ? isoPcm(data, code, boxes)
      : isQuickTime
        ? quickTimePcm(data, entry, version, boxes)
        : null;
  const bits = form?.kind === 'float' ? FLOAT_BITS : WHOLE_BITS;
  const inner = boxes.find(({ type }) => type === 'wave');
  const all = inner === undefined ? boxes : [...boxes, ...boxesBetween(data, inner.body, inner.end)];
  return {
    code,
    channels,
    pcm: form !== null && bits.has(form.bits) ? form : null,
    contradiction: contradictionOf(
      { channels, sampleRate: version === 2 ? 0 : data.readUInt16BE(entry.body + 24) },
      soundRecord(data, code, all),
      code,
    ),
    speakers: speakerOrder(data, boxes, channels),
  };
}

/**
 * ffmpeg decodes by the record, other programs by the entry. The entry of ALAC may say 2 channels whatever
 * there are, and no entry holds a rate of 65,536 Hz and more.
 */
function contradictionOf(
  entry: { readonly channels: number; readonly sampleRate: number },
  record: SoundRecord | null,
  code: string,
): string | null {
  if (record === null) return null;
  const channels = code !== 'alac' && entry.channels !== record.channels;
  const rated = record.sampleRate !== null && record.sampleRate < 2 ** 16 && entry.sampleRate > 0;
  const rate = rated && entry.sampleRate !== record.sampleRate;
  if (!channels && !rate) return null;
  const [outer, inner] = channels
    ? [`${entry.channels} channels`, `${record.channels}`]
    : [`${entry.sampleRate} Hz`, `${record.sampleRate} Hz`];
  return `its boxes contradict each other: the sample entry declares ${outer}, the record of the codec (${code}) ${inner}`;
}

/**
 * `pcmC` (ISO/IEC 23003-5, clause 5.3; from memory): version and flags, then bit 0 of a byte for
 * little-endian, then bits a sample.
 */
function isoPcm(data: Buffer, code: string, boxes: readonly Box[]): PcmForm | null {
  const pcmC = boxes.find(({ type }) => type === 'pcmC');
  if (pcmC === undefined || pcmC.end - pcmC.body < 6) return null;
  return {
    bits: data.readUInt8(pcmC.body + 5),
    kind: code === 'fpcm' ? 'float' : 'signed',
    littleEndian: (data.readUInt8(pcmC.body + 4) & 1) === 1,
  };
}

/**
 * Codes of QuickTime that name the bits; `enda` within `wave` reverses their byte order.
 */
const NAMED: Readonly<Record<string, { readonly bits: number; readonly kind: PcmForm['kind'] }>> = {
  in24: { bits: 24, kind: 'signed' },
  in32: { bits: 32, kind: 'signed' },
  fl32: { bits: 32, kind: 'float' },
  fl64: { bits: 64, kind: 'float' },
};

function quickTimePcm(data: Buffer, entry: Box, version: number, boxes: readonly Box[]): PcmForm | null {
  const sampleBits = data.readUInt16BE(entry.body + 18);
  const named = NAMED[entry.type];
  if (named !== undefined && version !== 2) return { ...named, littleEndian: isLittleEndian(data, boxes) };
  if (entry.type === 'sowt') return { bits: sampleBits, kind: 'signed', littleEndian: true };
  if (entry.type === 'twos') return { bits: sampleBits, kind: 'signed', littleEndian: false };
  if (entry.type !== 'lpcm' || version !== 2) return null;
  const flags = data.readUInt32BE(entry.body + 52);
  return {
    bits: data.readUInt32BE(entry.body + 48),
    kind: (flags & 1) !== 0 ? 'float' : (flags & 4) !== 0 ? 'signed' : 'unsigned',
    littleEndian: (flags & 2) === 0,
  };
}

function isLittleEndian(data: Buffer, boxes: readonly Box[]): boolean {
  const wave = boxes.find(({ type }) => type === 'wave');
  const inside = wave === undefined ? boxes : [...boxes, ...boxesBetween(data, wave.body, wave.end)];
  const enda = inside.find(({ type }) => type === 'enda');
  return enda !== undefined && enda.end - enda.body >= 2 && data.readUInt16BE(enda.body) === 1;
}
